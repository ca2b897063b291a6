"""Weighing a vessel again: what agrees, what does not, and what somebody decides."""

from datetime import timedelta

import pytest
from django.utils import timezone

from inventory.models import Movement, Weighing
from inventory.operations import ledger
from tests.factories import G, make_balance, make_batch, make_tared, make_vessel
from tests.web.laboratory import make_oiled
from tests.web.person import (
    answered,
    recorded,
    refused,
    refused_as_a_whole,
    sent_twice,
)

# What the vessel below reads by its record: see laboratory.READS_UG.
AGREES = "24.9953 g"
# Half a gram less.
LESS = "24.4953 g"
MORE = "25.4953 g"


@pytest.fixture
def vessel(shipped):
    """Return an argon-filled ampoule of 20 mL that holds 5 g of rubidium."""
    make_balance(name="Balance 1")
    return make_vessel(make_batch("Rb"))


def weigh_again(vessel):
    return f"/vessels/{vessel.pk}/check/"


def differences(vessel):
    """Return the signed µg that readings were found to change in the ledger."""
    found = Movement.objects.filter(kind="difference")
    return [
        movement.mass_ug if movement.to_vessel_id else -movement.mass_ug
        for movement in found
        if vessel.pk in (movement.to_vessel_id, movement.from_vessel_id)
    ]


def minutes_ago(minutes):
    when = timezone.localtime() - timedelta(minutes=minutes)
    return when.strftime("%Y-%m-%dT%H:%M")


def test_a_reading_that_agrees_is_recorded_and_changes_nothing_one_can_see(
    as_keeper, vessel
):
    page = recorded(as_keeper, weigh_again(vessel), reading=AGREES)

    assert "it agrees" in page.messages
    assert "Remaining 5.000" in page.main.text
    assert "within 2 u: it agrees" in page.table_under("over-time")[-1]
    assert AGREES in page.table_under("readings")[-1]
    # Far below the 0.1 mg that the balance shows.
    assert all(abs(each) < 100 for each in differences(vessel))


def test_a_reading_that_disagrees_shows_how_much_and_records_nothing(as_keeper, vessel):
    page = answered(as_keeper, weigh_again(vessel), reading=LESS)

    assert page.status == 422
    assert list(page.wrong()) == ["reading"]
    assert "Nothing was recorded." in page.main.text
    assert page.facts["D"].startswith("−500.0 mg")
    assert not Weighing.objects.filter(purpose="check").exists()
    assert not Movement.objects.filter(kind="difference").exists()


def test_the_uncertainty_of_the_difference_and_their_ratio_are_shown(as_keeper, vessel):
    # u(D) is at least that of the metal, stated to 1 mg, and of two readings of
    # 0.2 mg each and their last digit (JCGM 100, 5.1.2): 1.04 mg. The air, whose
    # change between them nobody noted, moves 28 mL of glass by a further milligram.
    page = answered(as_keeper, weigh_again(vessel), reading=LESS)

    u = float(page.facts["u(D)"].split(" mg")[0])
    ratio = float(page.facts["D is"].split(" u")[0])
    assert 1.04 < u < 2.0
    assert ratio == pytest.approx(500.0 / u, rel=0.05)
    assert "more than 3 u: investigate before use" in page.facts["D is"]


def test_a_reading_between_two_and_three_u_asks_to_be_checked(as_keeper, vessel):
    # 3.3 mg over a record whose u(D) is about 1.35 mg.
    page = answered(as_keeper, weigh_again(vessel), reading="24.9986 g")

    assert page.status == 422
    assert "between 2 u and 3 u: check" in page.facts["D is"]


def causes(page):
    return [item.text for item in page.by_id("disagrees").above("section").all("li")]


def test_a_gain_under_argon_may_be_air_that_got_in(as_keeper, vessel):
    found = causes(answered(as_keeper, weigh_again(vessel), reading=MORE))

    assert any(cause.startswith("Air got in") for cause in found)
    assert not any(cause.startswith("Metal was taken") for cause in found)
    assert not any(cause.startswith("Liquid medium") for cause in found)
    assert all(cause.endswith(".") for cause in found)


def test_a_loss_may_be_metal_that_nobody_recorded(as_keeper, vessel):
    found = causes(answered(as_keeper, weigh_again(vessel), reading=LESS))

    assert "Metal was taken and not recorded." in found
    assert not any(cause.startswith("Air got in") for cause in found)


def test_under_oil_the_oil_is_named_first(as_keeper, shipped):
    make_balance(name="Balance 1")

    found = causes(answered(as_keeper, weigh_again(make_oiled()), reading="32 g"))

    assert found[0].startswith("Liquid medium was carried out")


def test_vessels_at_the_place_that_the_reading_fits_are_offered(as_keeper, vessel):
    mistaken = make_vessel(vessel.batch, holding_ug=6 * G)
    other = make_vessel(vessel.batch, holding_ug=7 * G)

    # 6 g of rubidium less its 6.5 mg of argon, and 0.015 % more.
    page = answered(as_keeper, weigh_again(vessel), reading="25.9944 g")

    assert mistaken.get_absolute_url() in page.links
    assert other.get_absolute_url() not in page.links


def test_a_reading_that_fits_no_other_vessel_offers_none(as_keeper, vessel):
    make_vessel(vessel.batch, holding_ug=6 * G)

    page = answered(as_keeper, weigh_again(vessel), reading=LESS)

    assert "would fit" not in page.main.text


def test_a_check_sent_twice_is_recorded_once_and_says_so(as_keeper, vessel):
    page = sent_twice(as_keeper, weigh_again(vessel), reading=AGREES)

    assert Weighing.objects.filter(purpose="check").count() == 1
    assert "had been sent already" in page.messages


def test_an_empty_vessel_is_tared_and_not_checked(as_keeper, vessel):
    tared = make_tared(vessel.batch)

    words = refused_as_a_whole(as_keeper, weigh_again(tared), reading="20 g")

    assert "has not been filled yet: tare it instead." in words


def test_a_check_before_the_filling_is_refused_at_its_moment(as_keeper, vessel):
    said = refused(
        as_keeper, weigh_again(vessel), "read_at",
        reading=AGREES, read_at=minutes_ago(3000),
    )  # fmt: skip

    assert said.startswith(f"This is before {vessel} was filled")


def test_a_weighing_between_two_others_is_taken_in_where_it_belongs(as_keeper, vessel):
    recorded(as_keeper, weigh_again(vessel), reading=AGREES, read_at=minutes_ago(5))

    page = recorded(
        as_keeper, weigh_again(vessel), reading="24.9954 g", read_at=minutes_ago(30)
    )

    steps = page.table_under("over-time")
    assert [row[1] for row in steps[-2:]] == ["Weighed again", "Weighed again"]
    assert steps[-2][0] < steps[-1][0]
    assert steps[-2][3].startswith("+0.1 mg")
    # Read anew: the later one is held against a record that knows the earlier.
    assert not steps[-1][3].startswith("+0.1 mg")


def test_the_estimate_does_not_mind_in_which_order_readings_are_written_down(
    as_keeper, vessel
):
    other = make_vessel(vessel.batch)
    first, second = ("24.9954 g", minutes_ago(30)), ("24.9949 g", minutes_ago(5))

    for each, order in ((vessel, (first, second)), (other, (second, first))):
        for reading, at in order:
            recorded(as_keeper, weigh_again(each), reading=reading, read_at=at)

    one, two = ledger.read(vessel.pk), ledger.read(other.pk)
    assert one.remaining_ug == two.remaining_ug
    assert one.u_ug == pytest.approx(two.u_ug, rel=1e-9)
