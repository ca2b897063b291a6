"""Plans as they stand side by side on their page, and sending one of them."""

from tests.web.pages import Page, controls, values
from tests.web.person import opened


def at(*requests, **more):
    query = "&".join(f"request={request.pk}" for request in requests)
    return f"/plan/?{query}" + "".join(f"&{k}={v}" for k, v in more.items())


def plans(page):
    """Return the cards of the page, the first plan first."""
    return [
        each for each in page.main.all("section") if "plan" in each["class"].split()
    ]


def sent_by(card, **typed):
    """Return what the form of a card sends."""
    (form,) = card.all("form", method="post")
    found = {c["name"]: v for c in controls(form) for v in values(c)}
    return {**found, **typed}


def reserved(client, address, number=0, **typed):
    card = plans(opened(client, address))[number]
    answer = client.post(address, sent_by(card, **typed))
    assert answer.status_code == 302, Page(answer).main.text
    return opened(client, answer["Location"])


def link(element, words):
    (found,) = [a for a in element.all("a") if a.text == words]
    return found["href"]
