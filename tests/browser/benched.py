"""What one does at the bench, in the words of its page."""

import pytest

ROW = "**/bench/row/"
WAITING = "kept here, not sent yet"


def bench_of(batch):
    return f"/batches/{batch}/bench/"


def box(page, vessel, name="Gross"):
    return page.get_by_label(f"{name} of {vessel or 'the new vessel'}", exact=True)


def state(page, vessel):
    """Return the cell in which a vessel's row says how it stands."""
    row = page.get_by_role("row").filter(has=page.get_by_text(str(vessel), exact=True))
    return row.get_by_role("cell").last


def tab_to(page, control):
    for _ in range(40):
        if control.evaluate("element => element === document.activeElement"):
            return
        page.keyboard.press("Tab")
    pytest.fail(f"{control} is not reached by tabulator")


def weigh(page, vessel, reading="25"):
    """Choose what the first row is kept in, which the others follow; type its gross."""
    box(page, vessel, "Kept in").select_option("argon")
    box(page, vessel).fill(reading)
    box(page, vessel).press("Enter")


def lose(page):
    """Lose every row on its way to the server."""
    page.route(ROW, lambda route: route.abort("aborted"))


def come_back(page):
    """Turn to the page again, as from another window."""
    page.bring_to_front()
    page.evaluate("window.dispatchEvent(new Event('focus'))")
