"""How much of a file that is sent in is taken at all."""

from django.conf import settings
from django.core.files.uploadhandler import FileUploadHandler


class BoundedUploadHandler(FileUploadHandler):
    """Pass on a file up to the limit and one byte more, which tells that it is over.

    The rest is read and forgotten: nobody fills the server's disk with one form.
    """

    def receive_data_chunk(self, raw_data, start):
        room = settings.FILE_BYTES_MAX + 1 - start
        return raw_data[:room] if room > 0 else None

    def file_complete(self, file_size):
        return None
