"""Printing labels as a browser does it, and looking at what comes out."""

from uuid import UUID, uuid4

import pypdfium2
import zxingcpp

from tests.web.pages import Page

LABELS = "/labels/"
SIGNED = {"request_id": str(UUID(int=7))}
DPI = 300


def asked_for(*vessels, **wishes):
    """Return what the form of a print job sends, for a first label."""
    keys = [vessel.pk for vessel in vessels]
    return {"request_id": str(uuid4()), "vessel": keys, **wishes}


def the_pdf(client, *vessels, **wishes):
    """Print labels and return the bytes of the PDF."""
    answer = client.post(LABELS, asked_for(*vessels, **wishes), follow=True)
    if answer["Content-Type"] != "application/pdf":
        raise AssertionError(Page(answer).main.text)
    return b"".join(answer.streaming_content)


def codes(picture):
    """Return what an independent decoder reads off a printed page."""
    return [found.text for found in zxingcpp.read_barcodes(picture)]


def kind_of(answer):
    """Return what an answer is, and let go of its file."""
    answer.close()
    return answer.status_code, answer["Content-Type"].partition(";")[0]


def painted(pdf):
    """Return the pages as a printer of 300 dpi would make them."""
    document = pypdfium2.PdfDocument(pdf)
    try:
        return [page.render(scale=DPI / 72).to_pil() for page in document]
    finally:
        document.close()
