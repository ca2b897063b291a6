"""Files kept with a batch: put with it, and taken off again."""

from contextvars import ContextVar
from functools import wraps

from django.core.files.base import ContentFile
from django.utils.text import Truncator

from inventory.models import Attachment, AttachmentKind, Batch
from inventory.models.evidence import nameless

from . import log, uploads
from .errors import OperationError

STORAGE = Attachment._meta.get_field("file").storage
NAME_MAX = Attachment._meta.get_field("name").max_length

_written = ContextVar("written")


def with_its_files(operation):
    """Run an operation that writes files; those without a row in the end are deleted.

    It goes around the transaction: the end of that decides.
    """

    @wraps(operation)
    def run(*args, **kwargs):
        written, kept = [], set()
        token = _written.set(written)
        try:
            made = operation(*args, **kwargs)
            kept = {made.file.name, made.thumbnail.name}
            return made
        finally:
            _written.reset(token)
            for name in written:
                if name not in kept:
                    STORAGE.delete(name)

    return run


def write(data):
    """Write a file under a name that says nothing, and return that name."""
    name = STORAGE.save(nameless(None, ""), ContentFile(data))
    _written.get().append(name)
    return name


def in_one_line(name):
    """Return a name as it can stand in a line, and in the header of an answer."""
    shown = "".join(each if each.isprintable() else " " for each in name)
    return " ".join(shown.split())[:NAME_MAX] or "file"


@with_its_files
@log.operation
def attach(batch, sound, *, kind, name="", for_partners=False, by, request_id):
    """Keep a file with `batch`, and return the attachment.

    `sound` is what `uploads.examine` gave: working through a large picture takes a
    while, and nobody else should wait for it.
    """
    batch = log.lock(Batch.objects.all(), batch.pk)
    if earlier := log.repeated(request_id):
        return earlier.attachments.get()
    name = in_one_line(name or sound.name)
    if kind == AttachmentKind.PHOTO and not sound.is_picture:
        phrase = uploads.type_of(sound.media_type).phrase
        raise OperationError(f"This is {phrase}, not a photo.", "kind")
    same = Attachment.objects.standing().filter(batch=batch, sha256=sound.sha256)
    if kept := same.first():
        raise OperationError(f"This file is already kept as “{kept.name}”.", "file")
    entry = log.write(
        "attach",
        f"Put “{name}” with batch {batch}",
        by=by,
        request_id=request_id,
        batch=batch,
    )
    return Attachment.objects.create(
        batch=batch,
        kind=kind,
        name=name,
        media_type=sound.media_type,
        size_bytes=len(sound.data),
        sha256=sound.sha256,
        file=write(sound.data),
        thumbnail=write(sound.thumbnail) if sound.thumbnail else "",
        for_partners=for_partners,
        entry=entry,
    )


@log.operation
def withdraw(attachment, *, reason, by, request_id):
    """Take a file off its batch: nobody is shown it again, its line stays."""
    batch = log.lock(Batch.objects.all(), attachment.batch_id)
    if earlier := log.repeated(request_id):
        return earlier.attachments.get()
    if (
        attachment.withdraws_id
        or Attachment.objects.filter(withdraws=attachment).exists()
    ):
        raise OperationError("This file is taken off already.")
    entry = log.write(
        "attachment-withdraw",
        f"Took “{Truncator(attachment.name).chars(60)}” off {batch}: {reason}",
        by=by,
        request_id=request_id,
        batch=batch,
    )
    return Attachment.objects.create(
        batch=batch,
        kind=attachment.kind,
        name=attachment.name,
        media_type=attachment.media_type,
        size_bytes=attachment.size_bytes,
        sha256=attachment.sha256,
        file=attachment.file.name,
        thumbnail=attachment.thumbnail.name,
        for_partners=attachment.for_partners,
        withdraws=attachment,
        entry=entry,
    )
