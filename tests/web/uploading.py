"""Sending a file with a form, as a browser does: chosen anew every time."""

from inventory.models import LogEntry
from tests.uploads import pdf, upload

from .pages import Page
from .person import filled_in, opened


def send(client, batch, file=None, **typed):
    """Send the form with a file, by default a certificate; return the answer."""
    at = f"/batches/{batch}/attach/"
    sent = filled_in(client, at, **typed)
    return client.post(at, {**sent, "file": file or upload("Lot 7.pdf", pdf())})


def kept(client, batch, file=None, **typed):
    """Send a file, see that it was recorded, and return the batch's page."""
    before = LogEntry.objects.count()
    answer = send(client, batch, file, **typed)
    assert answer.status_code == 302, Page(answer).wrong() or Page(answer).main.text
    assert LogEntry.objects.count() == before + 1
    return opened(client, answer["Location"])


def refused(client, batch, file=None, **typed):
    """Send a form that is refused; return {field: sentence}, nothing being recorded."""
    before = LogEntry.objects.count()
    page = Page(send(client, batch, file, **typed))
    assert page.status == 422
    assert LogEntry.objects.count() == before
    return page.wrong()
