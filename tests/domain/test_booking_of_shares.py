"""A booking keeps to the partner's share, or says why not."""

import pytest

from inventory.operations import bookings
from tests.domain.records import refused
from tests.factories import (
    G,
    make_batch,
    make_booking,
    make_partner,
    make_project,
    make_share,
    make_vessel,
    medium,
    signed,
)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shipped")]

SAY_WHY = " To book it all the same, say why."


@pytest.fixture
def partner():
    return make_partner("Thin films")


@pytest.fixture
def project(partner):
    return make_project(partner=partner, title="Getters")


@pytest.fixture
def share(project, partner):
    """Return a share of 10 g of rubidium."""
    return make_share(project, partner, mass_ug=10 * G)


def book(share, vessel, mass_ug=None, **facts):
    facts = {"project": share.project, "partner": share.partner, **facts}
    return make_booking(vessel, mass_ug, **facts)


def test_a_booking_up_to_the_share_needs_no_reason(share):
    vessel = make_vessel(holding_ug=10 * G, capacity_ul=40_000)

    assert book(share, vessel).beyond_share == ""


def test_a_booking_beyond_the_share_is_refused_with_what_is_free(share):
    book(share, make_vessel(), 4 * G)
    vessel = make_vessel(holding_ug=7 * G, capacity_ul=40_000)

    with refused(
        "Thin films has 6.000 g free of its share, 10.000 g of rubidium: 0 g used, "
        "4.000 g promised. This would promise 7.000 g." + SAY_WHY,
        "beyond_share",
    ):
        book(share, vessel)


def test_a_booking_beyond_the_share_goes_through_with_a_reason_that_stays(share):
    vessel = make_vessel(holding_ug=11 * G, capacity_ul=40_000)

    assert book(share, vessel, beyond_share="the last of it").beyond_share == (
        "the last of it"
    )


def test_a_reason_that_was_not_needed_is_not_kept(share):
    assert book(share, make_vessel(), G, beyond_share="to be safe").beyond_share == ""


def test_several_vessels_of_one_booking_count_together(share):
    vessels = [make_vessel(), make_vessel(), make_vessel()]
    facts = {"purpose": "x", "needed_by": book(share, make_vessel(), G).needed_by}

    with refused(
        "Thin films has 9.000 g free of its share, 10.000 g of rubidium: 0 g used, "
        "1.000 g promised. This would promise 15.000 g." + SAY_WHY,
        "beyond_share",
    ):
        bookings.book(
            share.project,
            wishes=[(vessel, None) for vessel in vessels],
            partner=share.partner,
            **facts,
            **signed(),
        )


def test_a_share_in_vessels_counts_vessels_however_full(project, partner):
    share = make_share(project, partner, vessel_count=1)
    vessel, other = make_vessel(), make_vessel()
    book(share, vessel, 1 * G)
    book(share, vessel, 1 * G)  # The same vessel: still one.

    with refused(
        "Thin films has 0 vessels free of its share, 1 vessel of rubidium: 0 vessels "
        "used, 1 vessel promised. This would promise 1 vessel." + SAY_WHY,
        "beyond_share",
    ):
        book(share, other, 1 * G)


@pytest.mark.parametrize(
    ("purity", "has"), [(0.998, "is 99.8 %"), (None, "is not known")]
)
def test_metal_less_pure_than_the_share_is_refused(project, partner, purity, has):
    share = make_share(project, partner, smallest_purity=0.999)
    vessel = make_vessel(make_batch(kind="bought", lot="L", purity=purity))

    with refused(
        "The share is of metal of 99.9 % or purer; the purity of "
        f"{vessel.batch} {has}." + SAY_WHY,
        "beyond_share",
    ):
        book(share, vessel)
    assert book(share, vessel, beyond_share="good enough").beyond_share


def test_metal_as_pure_as_the_share_asks_is_booked(project, partner):
    share = make_share(project, partner, smallest_purity=0.998)
    vessel = make_vessel(make_batch(kind="bought", lot="L", purity=0.998))

    assert book(share, vessel)


def test_metal_in_a_medium_that_was_not_agreed_is_refused(project, partner):
    allowed = [medium("argon"), medium("vacuum")]
    share = make_share(project, partner, "K", media=allowed)
    batch = make_batch("K")
    other = make_vessel(batch, kept_in="helium")

    with refused(
        f"The share is of metal in argon or vacuum; {other} is kept in helium."
        + SAY_WHY,
        "beyond_share",
    ):
        book(share, other)
    assert book(share, make_vessel(batch))


def test_a_keeper_books_metal_that_no_share_was_agreed_for(project, partner):
    assert make_booking(make_vessel(), project=project, partner=partner)


def test_a_booking_for_the_project_as_a_whole_has_no_share_to_keep_to(share):
    vessel = make_vessel(holding_ug=11 * G, capacity_ul=40_000)

    assert make_booking(vessel, project=share.project)
