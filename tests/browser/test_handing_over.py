"""From the pick list to the return, on a phone in one hand."""

import re

import pytest
from django.utils import timezone

from inventory.models import BookingLine
from inventory.operations import bookings, ledger
from tests.browser.walking import expect, field, follow, panel, press, refused, told
from tests.domain.handed import make_metal
from tests.factories import (
    ROOM,
    G,
    expected_reading,
    make_batch,
    make_partner,
    make_place,
    make_project,
    signed,
)

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def booking(shipped, partner):
    """Return a booking of two vessels for the partner's organisation."""
    batch = make_batch()
    return bookings.book(
        make_project(partner, partner="Group A", title="Vapour cells"),
        wishes=[(make_metal(batch), None) for _ in range(2)],
        partner=make_partner("Group A"),
        purpose="Vapour cell filling",
        needed_by=timezone.localdate(),
        **signed(),
    )


def scan(page, text):
    """Type as a hand scanner does: into whatever has the focus, ended by Enter."""
    page.keyboard.type(text)
    page.keyboard.press("Enter")


def narrow_enough(page):
    assert page.evaluate("document.documentElement.scrollWidth") <= 360


def test_vessels_are_picked_by_scanning_handed_over_and_come_back(
    booking, operator, partner, sit, settings
):
    settings.PUBLIC_URL = "https://metals.example.org"
    make_place(name="Shelf 2")
    wrong = make_metal(make_batch("Cs"))
    first, second = (line.vessel for line in booking.lines.order_by("id"))
    page = sit(operator, width=360)
    page.goto(booking.get_absolute_url())
    follow(page, "Pick")
    narrow_enough(page)

    # A hand scanner: a wrong vessel first, then at once the right one over it.
    scan(page, f"HTTPS://METALS.EXAMPLE.ORG/B/{wrong.batch.code}/01")
    refused(page, "Scan or type the code", f"This is {wrong}. {first} was expected")
    scan(page, f"HTTPS://METALS.EXAMPLE.ORG/B/{first.batch.code}/01")
    told(page, f"{first} is ticked.")
    expect(page.get_by_text("1 of 2 ticked")).to_be_visible()

    # The phone's camera opens the link of the label; looking ticks nothing.
    page.goto(f"/B/{second.batch.code}/02")
    expect(page.get_by_text(f"Scanned: {second}")).to_be_visible()
    assert BookingLine.objects.filter(picked_by=None).count() == 1
    press(page, f"Tick {second}")
    told(page, f"{second} is ticked.")
    narrow_enough(page)

    follow(page, "Hand over")
    field(page, "How it travels").fill("Steel can, by hand")
    narrow_enough(page)
    press(page, "Record the hand-over")
    told(page, "in 2 vessels over to Group A")
    narrow_enough(page)
    at = page.url

    # The partner reports what was used of the first.
    theirs = sit(partner, width=360)
    theirs.goto(at)
    row = theirs.get_by_role("row").filter(has_text=str(first))
    row.get_by_role("link", name="Report use").click()
    field(theirs, "Used").fill("1.2 g")
    press(theirs, "Report the use")
    told(theirs, f"Group A reports 1.200 g of {first} used")
    narrow_enough(theirs)

    # The second comes back, weighed again.
    page.goto(at)
    expect(page.get_by_text("Use reported, not measured")).to_be_visible()
    row = page.get_by_role("row").filter(has_text=str(second))
    row.get_by_role("link", name="Record its return").click()
    page.get_by_label("Opened, with metal in it").check()
    grams = expected_reading(second, taken_ug=2 * G, **ROOM) / G
    field(page, "The closed vessel").fill(f"{grams:.4f} g")
    field(page, "Gas inside now").select_option("argon")
    field(page, "Now stands in").select_option("Shelf 2")
    narrow_enough(page)
    press(page, "Record the return")
    told(page, f"{second} is back from Group A, weighed")
    expect(panel(page, "Vessels")).to_contain_text(
        re.compile(r"Came back, weighed again: (1\.99|2\.00)")
    )
    assert ledger.read(second.pk).custodian is None
