"""A share is agreed, changed and taken back; asking keeps to it."""

import pytest

from inventory.models import LogEntry, Material, Share
from inventory.operations import bookings, projects, shares
from tests.domain.records import refused
from tests.factories import (
    G,
    make_booking,
    make_partner,
    make_project,
    make_request,
    make_share,
    make_vessel,
    signed,
)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shipped")]


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


def metal(symbol="Rb"):
    return Material.objects.get(symbol=symbol)


def book(share, vessel, mass_ug=None, **facts):
    facts = {"project": share.project, "partner": share.partner, **facts}
    return make_booking(vessel, mass_ug, **facts)


def changed(share, **facts):
    facts = {"mass_ug": None, "vessel_count": None, **facts}
    facts = {"smallest_purity": None, "note": "", **facts}
    given = share.project, share.partner, share.material
    return shares.set_share(*given, facts=facts, **signed())


def test_a_share_is_agreed_once_and_changed_after_that(share):
    again = changed(share, vessel_count=4, smallest_purity=0.999)

    assert again == share == Share.objects.get()
    assert (again.mass_ug, again.vessel_count) == (None, 4)
    assert again.smallest_purity == 0.999


def test_the_log_says_what_was_agreed_changed_and_taken_back(share):
    changed(share, vessel_count=4)
    shares.drop(share, reason="the work is over", **signed())

    said = LogEntry.objects.filter(verb__startswith="share").order_by("id")
    assert [entry.summary for entry in said] == [
        "Agreed on the share of Thin films in Getters: 10.000 g of rubidium",
        "Changed the share of Thin films in Getters: 4 vessels of rubidium",
        "Took back the share of Thin films in Getters, 4 vessels of rubidium: the work "
        "is over",
    ]


def test_a_share_is_for_a_partner_of_the_project(project):
    other = make_partner("Zeolites")

    with refused("Zeolites is no partner of this project.", "partner"):
        make_share(project, other)


def test_nothing_is_agreed_in_a_closed_project(project, partner):
    projects.close(project, **signed())

    with refused("This project is closed."):
        make_share(project, partner)


def test_a_share_is_not_less_than_what_is_used_and_promised(share):
    book(share, make_vessel(), 4 * G)

    with refused(
        "0 g used and 4.000 g promised already: agree on that much at least, or "
        "release a booking first.",
        "amount",
    ):
        changed(share, mass_ug=3 * G)
    assert changed(share, mass_ug=4 * G).mass_ug == 4 * G


def test_a_share_that_was_gone_beyond_is_still_changed_in_other_things(share):
    vessel = make_vessel(holding_ug=12 * G, capacity_ul=40_000)
    book(share, vessel, beyond_share="agreed by telephone")

    assert changed(share, mass_ug=10 * G, note="until May").note == "until May"


def test_a_share_is_not_taken_back_while_metal_of_it_is_promised(share):
    line = book(share, make_vessel()).lines.get()
    sentence = (
        "Thin films is still promised rubidium of it. Serve or release those bookings "
        "first."
    )
    with refused(sentence):
        shares.drop(share, reason="over", **signed())

    bookings.release(line, reason="over", **signed())

    assert shares.drop(share, reason="over", **signed()) == share.project
    assert not Share.objects.exists()


def test_a_share_is_not_taken_back_while_somebody_asks_for_it(share):
    make_request(share.project, "2 g", partner=share.partner)

    with refused("Thin films has asked for rubidium of it. Answer that first."):
        shares.drop(share, reason="over", **signed())


def test_a_share_that_is_gone_is_not_taken_back_again(share):
    shares.drop(share, reason="over", **signed())

    with refused("This share was taken back already."):
        shares.drop(share, reason="over", **signed())


def asks(share, **amount):
    shares.refuse_asking(share.project, share.partner, share.material, **amount)


def test_a_partner_asks_for_all_that_is_left_and_no_more(share):
    asks(share, mass_ug=10 * G)

    with refused("The share, 10.000 g of rubidium, has 10.000 g left.", "amount"):
        asks(share, mass_ug=10 * G + 1)


def test_what_was_asked_for_and_is_not_served_yet_is_taken(share):
    earlier = make_request(share.project, "4 g", partner=share.partner)

    with refused(
        "The share, 10.000 g of rubidium, has 6.000 g left. You asked for 4.000 g "
        "already.",
        "amount",
    ):
        asks(share, mass_ug=7 * G)
    asks(share, mass_ug=10 * G, apart_from=earlier)


def test_what_is_booked_for_a_request_counts_once(share):
    request = make_request(share.project, "4 g", partner=share.partner)
    book(share, make_vessel(), 3 * G, request=request)

    # 10 - 3 promised - 1 still asked for = 6 g.
    asks(share, mass_ug=6 * G)
    with refused(
        "The share, 10.000 g of rubidium, has 6.000 g left. You asked for 1.000 g "
        "already.",
        "amount",
    ):
        asks(share, mass_ug=6 * G + 1)


def test_a_partner_without_a_share_may_not_ask(project, partner):
    with refused(
        "No share of potassium is agreed for Thin films in Getters.", "material"
    ):
        shares.refuse_asking(project, partner, metal("K"), mass_ug=G)


def test_a_share_in_vessels_is_asked_for_in_vessels(project, partner):
    share = make_share(project, partner, vessel_count=2)
    asks(share, vessel_count=2)

    with refused(
        "The share of rubidium is a number of vessels: ask for vessels.", "amount"
    ):
        asks(share, mass_ug=G)
    with refused("The share, 2 vessels of rubidium, has 2 vessels left.", "amount"):
        asks(share, vessel_count=3)


def test_whole_vessels_of_a_share_in_mass_are_asked_for_while_anything_is_left(share):
    book(share, make_vessel(), 4 * G)
    asks(share, vessel_count=3)
    book(share, make_vessel(holding_ug=6 * G), 6 * G)

    with refused("The share, 10.000 g of rubidium, has 0 g left.", "amount"):
        asks(share, vessel_count=1)


def test_asking_for_less_pure_metal_than_the_share_s_is_refused(project, partner):
    share = make_share(project, partner, smallest_purity=0.999)
    asks(share, mass_ug=G, smallest_purity=0.9999)

    with refused(
        "The share is of metal of 99.9 % or purer: ask for no less, or leave this "
        "empty.",
        "smallest_purity",
    ):
        asks(share, mass_ug=G, smallest_purity=0.99)


def test_the_project_as_a_whole_has_no_share_to_keep_to(project):
    shares.refuse_asking(project, None, metal(), mass_ug=500 * G)
