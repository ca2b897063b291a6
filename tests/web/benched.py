"""Typing in a row of the bench, and pressing its button."""

from tests.web.pages import Page
from tests.web.person import opened

GROSS = {"gross": "25.0000", "medium": "argon", "closure": "stopcock"}


def bench_of(batch, query=""):
    return f"/batches/{batch}/bench/{query}"


def row_of(vessel, **typed):
    """Return what is typed in a vessel's row, or a new one's, and its button."""
    prefix = f"v{vessel.pk}" if vessel else "n0"
    own = {f"{prefix}-{name}": value for name, value in typed.items()}
    return {**own, "save": prefix}


def press_save(client, batch, query="", **typed):
    """Open the bench, type, and press one row's button; return the answer."""
    page = opened(client, bench_of(batch, query))
    return client.post(bench_of(batch), {**page.typed(), **typed})


def wrong(answer):
    """Return {control: sentence} of a row that was refused."""
    page = Page(answer)
    assert page.status == 422
    return page.wrong()
