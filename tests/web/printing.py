"""The PDF that an address gives, and what it says."""

from tests.pdf import reread
from tests.web.pages import Page


def got(client, address, **query):
    """Return the bytes of the PDF at `address`, which has to be there."""
    answer = client.get(address, query)
    assert answer.status_code == 200, Page(answer).main.text
    assert answer["Content-Type"] == "application/pdf"
    return b"".join(answer.streaming_content)


def said(client, address, **query):
    """Return all that a PDF says, with single plain spaces."""
    return reread.words(got(client, address, **query))


def refused(client, address, **query):
    """Return the page that says why no PDF is made."""
    page = Page(client.get(address, query))
    assert page.status == 422
    return page


def values(page):
    """Return {term: value without its note} of a page's lists of facts."""
    return {
        pair.all("dt")[0].text: own_words(pair.all("dd")[0])
        for facts in page.main.all("dl")
        for pair in facts.all("div")
        if pair.all("dt")
    }


def own_words(element):
    notes = element.all("span")
    words = [
        part if isinstance(part, str) else part.text
        for part in element.inside
        if part not in notes
    ]
    return " ".join(" ".join(words).split())
