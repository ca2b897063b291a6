"""Taking metal out, destroying it and correcting, as a person does it in a browser."""

import pytest

from inventory.models import Movement
from tests.factories import (
    G,
    make_balance,
    make_batch,
    make_booking,
    make_project,
    make_vessel,
)
from tests.web.pages import Page
from tests.web.person import (
    answered,
    filled_in,
    opened,
    recorded,
    refused,
    refused_as_a_whole,
    sent_twice,
)


@pytest.fixture
def vessel(shipped):
    """Return an argon-filled ampoule of 20 mL that holds 5 g of rubidium."""
    make_balance(name="Balance 1")
    return make_vessel(make_batch("Rb"))


@pytest.fixture
def alloy(shipped):
    """Return a vessel that holds 8 g of liquid sodium-potassium alloy."""
    make_balance(name="Balance 1")
    return make_vessel(make_batch("NaK"), holding_ug=8 * G)


def withdrawal(vessel):
    return f"/vessels/{vessel.pk}/withdraw/"


# As the record expects before (see laboratory.READS_UG), and 2 g less after.
WEIGHED = {
    "method": "weighed",
    "before": "24.9953 g",
    "after": "22.9953 g",
    "purpose": "a run",
}


def taken_from(vessel):
    """Return the withdrawals, without the differences that readings find."""
    return Movement.objects.filter(from_vessel=vessel, kind="withdrawal")


WHOLE = {"method": "whole", "purpose": "a run"}


def volume_of(amount, at="25 °C"):
    return {
        "method": "volume",
        "volume": amount,
        "temperature": at,
        "purpose": "a run",
    }


def test_withdrawal_by_weighing_takes_the_difference(as_keeper, vessel):
    # 2 g less on the pan; the argon that fills the metal's room in the glass weighs
    # 2 mg of it, so 2.002 g came out (weighing equation, ρ(Rb) 1532 kg/m³).
    page = recorded(as_keeper, withdrawal(vessel), **WEIGHED)

    taken = taken_from(vessel).get()
    assert (taken.method, taken.to_end) == ("weighed", "experiment")
    assert taken.mass_ug == pytest.approx(2_001_900, abs=300)
    assert "Withdrew 2.00" in page.messages
    assert "2.998" in page.main.text


def test_withdrawal_by_volume_takes_density_times_volume(as_keeper, alloy):
    # Sodium-potassium eutectic: 0.866 g/cm³ at 20–25 °C, the figure that suppliers'
    # data sheets give (common practice, no source).
    recorded(as_keeper, withdrawal(alloy), **volume_of("3 mL", at="22"))

    taken = taken_from(alloy).get()
    assert taken.method == "volume"
    assert taken.mass_ug == pytest.approx(3 * 866_000, rel=0.01)
    assert (taken.volume_ul, taken.temperature_c) == (3_000, 22.0)


def test_withdrawal_of_the_whole_takes_exactly_what_is_left(as_keeper, vessel):
    page = recorded(as_keeper, withdrawal(vessel), **WHOLE)

    assert taken_from(vessel).get().mass_ug == 5 * G
    assert "spent" in page.main.text


def test_withdrawal_page_names_what_is_left_promised_and_free(as_keeper, vessel):
    make_booking(vessel, 2 * G)

    words = opened(as_keeper, withdrawal(vessel)).main.text

    assert "Remaining 5.000 g" in words
    assert "Promised 2.000 g" in words
    assert "Free 3.000 g" in words


def test_work_it_out_first_shows_what_stays_and_records_nothing(as_keeper, vessel):
    page = answered(as_keeper, withdrawal(vessel), **WEIGHED, **{"work-out": "1"})

    assert page.status == 200
    assert "Stays inside 2.998" in page.main.text
    assert not taken_from(vessel).exists()


def test_a_worked_out_withdrawal_can_be_recorded_from_the_same_page(as_keeper, vessel):
    at = withdrawal(vessel)
    sent = filled_in(as_keeper, at, **WEIGHED)
    page = Page(as_keeper.post(at, {**sent, "work-out": "1"}))

    assert as_keeper.post(at, page.typed()).status_code == 302

    assert taken_from(vessel).count() == 1


def test_more_than_is_left_is_refused_with_the_number_that_is(as_keeper, vessel):
    typed = {**WEIGHED, "after": "18 g"}

    words = refused_as_a_whole(as_keeper, withdrawal(vessel), **typed)

    assert f"Only 5.000 g is left in {vessel}" in words


def test_more_than_is_left_is_refused_when_worked_out_first_too(as_keeper, alloy):
    typed = {**volume_of("10 mL"), "work-out": "1"}

    words = refused_as_a_whole(as_keeper, withdrawal(alloy), **typed)

    assert f"Only 8.000 g is left in {alloy}" in words


def test_what_is_promised_to_others_is_refused_with_what_may_be_taken(
    as_keeper, vessel
):
    make_booking(vessel, 3_500_000)

    words = refused_as_a_whole(as_keeper, withdrawal(vessel), **WEIGHED)

    assert "3.500 g is promised: 1.500 g may be taken here." in words


def test_after_that_is_heavier_than_before_is_refused_at_after(as_keeper, vessel):
    typed = {**WEIGHED, "after": "26 g"}

    said = refused(as_keeper, withdrawal(vessel), "after", **typed)

    assert "Are the two swapped?" in said


def test_a_volume_of_solid_metal_is_refused_at_the_temperature(as_keeper, vessel):
    typed = volume_of("1 mL", at="20 °C")

    said = refused(as_keeper, withdrawal(vessel), "temperature", **typed)

    # Rubidium melts at 39.3 °C: CRC Handbook, as in the catalogue.
    assert said.startswith("Rubidium is solid below 39.3 °C")


@pytest.mark.parametrize(
    ("method", "missing"),
    [("weighed", ["before", "after"]), ("volume", ["volume", "temperature"])],
)
def test_what_the_chosen_way_needs_is_asked_for_at_its_fields(
    as_keeper, vessel, method, missing
):
    page = answered(as_keeper, withdrawal(vessel), method=method, purpose="a run")

    assert page.status == 422
    assert list(page.wrong()) == missing


def test_a_withdrawal_sent_twice_is_recorded_once_and_says_so(as_keeper, vessel):
    page = sent_twice(as_keeper, withdrawal(vessel), **WEIGHED)

    assert taken_from(vessel).count() == 1
    assert "had been sent already" in page.messages


def test_withdrawing_all_of_a_vessel_twice_says_that_it_was_sent_already(
    as_keeper, vessel
):
    page = sent_twice(as_keeper, withdrawal(vessel), **WHOLE)

    assert "had been sent already" in page.messages


def test_a_withdrawal_against_a_booking_serves_it(as_keeper, vessel):
    booking = make_booking(vessel, 3 * G)
    line = booking.lines.get()

    recorded(as_keeper, f"{withdrawal(vessel)}?line={line.pk}", **WEIGHED)

    line.refresh_from_db()
    assert line.closed_by is not None
    assert taken_from(vessel).get().project == booking.project
    assert "Served" in opened(as_keeper, booking.get_absolute_url()).main.text


def test_what_a_booking_has_left_stays_promised_if_it_is_not_settled(as_keeper, vessel):
    booking = make_booking(vessel, 3 * G)
    line = booking.lines.get()

    recorded(as_keeper, withdrawal(vessel), **WEIGHED, line=str(line.pk), settle=None)

    taken = taken_from(vessel).get()
    assert booking.lines.get(closed_by=None).mass_ug == 3 * G - taken.mass_ug


def test_a_withdrawal_against_a_booking_sent_twice_says_so(as_keeper, vessel):
    line = make_booking(vessel, 3 * G).lines.get()
    make_booking(vessel, 1 * G)

    page = sent_twice(as_keeper, withdrawal(vessel), **WEIGHED, line=str(line.pk))

    assert taken_from(vessel).count() == 1
    assert "had been sent already" in page.messages


def test_a_withdrawal_names_the_project_it_was_for(as_keeper, vessel):
    project = make_project(title="Films")

    page = recorded(as_keeper, withdrawal(vessel), **WEIGHED, project=str(project.pk))

    assert project.get_absolute_url() in page.links
    assert str(vessel) in opened(as_keeper, project.get_absolute_url()).main.text
