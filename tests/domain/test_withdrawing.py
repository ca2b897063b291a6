"""Taking metal out: by weight, by volume, as a whole; and destroying it."""

from math import sqrt

import pytest
from django.utils import timezone

from inventory.models import Vessel
from inventory.operations import corrections, ledger, taking
from inventory.operations.taking import Liquid
from tests.domain.taken import destroy, drawn, only_line, weighed, weighed_out
from tests.factories import (
    ROOM,
    G,
    earlier,
    make_batch,
    make_booking,
    make_project,
    make_vessel,
    make_weighed_vessel,
    observe,
    signed,
    take,
)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shipped")]

# At 20 °C and 1013.25 hPa: air by OIML R 111-1:2004, E.3 (1.1993); argon by pM/RT.
AIR, ARGON, RUBIDIUM = 1.1993, 1.6608, 1532.0


def test_the_whole_ampoule_takes_everything_with_its_uncertainty():
    vessel = make_vessel(holding_ug=5 * G, u_ug=2_000)

    movement = take(vessel, taking.Whole())

    assert (movement.mass_ug, movement.u_ug) == (5 * G, 2_000)
    assert (movement.method, movement.to_end) == ("whole", "experiment")
    assert ledger.read(vessel.pk).remaining_ug == 0


def test_the_rest_of_an_opened_vessel_is_as_uncertain_as_all_that_moved():
    vessel = make_vessel(make_batch("NaK"), holding_ug=5 * G, u_ug=3_000)
    first = take(vessel, drawn(1_000))

    rest = take(vessel, taking.Whole())

    # JCGM 100, 5.1.2: independent contributions add in quadrature.
    assert rest.u_ug == pytest.approx(sqrt(3_000**2 + first.u_ug**2), abs=1)
    assert rest.mass_ug == 5 * G - first.mass_ug


def test_by_weight_the_metal_is_the_difference_with_both_lifts():
    vessel = make_weighed_vessel(gain_ug=5 * G)

    movement = take(vessel, weighed(25 * G, 23 * G, **ROOM))

    # Balance of forces, after taken as the tare: m (1 - ρ_Ar/ρ_Rb) = (1 - ρ_air/8000) ΔG.
    by_hand = 2e6 * (1 - AIR / 8000) / (1 - ARGON / RUBIDIUM)
    assert by_hand == pytest.approx(2_001_871, abs=3)
    assert movement.mass_ug == pytest.approx(by_hand, abs=2)
    assert (movement.heavy.purpose, movement.light.purpose) == ("before", "after")


def test_what_the_reading_before_finds_is_posted_before_the_metal_is_taken():
    vessel = make_vessel(holding_ug=5 * G, u_ug=10_000, **ROOM)

    movement = take(vessel, weighed_out(vessel, 2 * G, off_ug=15_000))

    found, taken = movement.entry.movements.order_by("id")
    assert taken == movement
    assert found.kind == "difference"
    # Nearly all of the 15 mg: the reading is fifty times as sure as the statement.
    assert found.mass_ug == pytest.approx(15_000, rel=2e-3)
    assert found.purpose == "The reading before taking, weighed with what was known"
    assert movement.mass_ug == pytest.approx(2 * G, abs=20)


def test_a_vessel_emptied_to_a_little_below_its_tare_is_spent():
    vessel = make_weighed_vessel(gain_ug=5 * G)

    movement = take(vessel, weighed(25 * G, 20 * G - 300, **ROOM))

    assert movement.mass_ug == vessel.remaining_ug
    assert ledger.read(vessel.pk).spent_on is not None


def test_by_weight_oil_that_came_out_too_is_taken_off():
    vessel = make_weighed_vessel(make_batch("K"), gain_ug=5 * G, oil_ug=10 * G)
    how = taking.Weighed(
        observe(35 * G, gas="argon", liquid_ug=10 * G, **ROOM),
        observe(32 * G, gas="argon", liquid_ug=9 * G, u_liquid_ug=1_000, **ROOM),
        liquid=Liquid(-1 * G, 1_000),
    )

    movement = take(vessel, how)

    # Balance of forces with m_liquid = 1 g; potassium 862 and oil 840 kg/m³ (catalogue).
    right = 3e6 * (1 - AIR / 8000) - 1e6 * (1 - ARGON / 840)
    assert movement.mass_ug == pytest.approx(right / (1 - ARGON / 862), abs=5)


def test_gas_that_was_pumped_off_left_only_the_room_beside_the_metal():
    vessel = make_weighed_vessel(gain_ug=5 * G)
    how = taking.Weighed(
        observe(25 * G, gas="argon", **ROOM), observe(23 * G, gas="vacuum", **ROOM)
    )

    movement = take(vessel, how)

    # Balance of forces, the vessel after as the tare: of the 20 mL, 3.033 g of
    # rubidium (5.005 - 1.972) stay filled, and argon left the rest.
    room_ul = 20_000 - 3.033e6 / RUBIDIUM
    right = 2e6 * (1 - AIR / 8000) - ARGON * room_ul
    assert movement.mass_ug == pytest.approx(right / (1 - ARGON / RUBIDIUM), abs=10)


def test_by_volume_the_metal_is_volume_times_density():
    vessel = make_vessel(make_batch("NaK"), holding_ug=5 * G)

    movement = take(vessel, drawn(2_000, temperature_c=20.0, u_volume_ul=20))

    # NaK with 77.8 % potassium: 866 kg/m³ at 20 °C (Foust 1972, eq. 1.9).
    assert movement.mass_ug == pytest.approx(2_000 * 866, rel=2e-3)
    # Relative: 1 % of the volume, 6/866 = 0.7 % of the density, in quadrature.
    assert movement.u_ug / movement.mass_ug == pytest.approx(0.0122, rel=0.03)
    assert (movement.volume_ul, movement.temperature_c) == (2_000, 20.0)
    assert movement.method == "volume"


def test_liquid_caesium_is_lighter_when_it_is_warmer():
    vessel = make_vessel(make_batch("Cs"), holding_ug=9 * G, kept_in="vacuum")

    movement = take(vessel, drawn(2_000, temperature_c=50.0))

    # CRC Handbook, density of molten elements: 1843 - 0.556 (t - 28.5), kg/m³.
    assert movement.mass_ug == pytest.approx(2_000 * (1843 - 0.556 * 21.5), abs=10)


def test_the_first_withdrawal_opens_the_vessel_and_the_last_spends_it():
    vessel = make_vessel(make_batch("NaK"), holding_ug=5 * G, filled_at=earlier(days=9))
    monday, friday = earlier(days=6), earlier(days=2)

    take(vessel, drawn(1_000), happened_at=monday)
    between = ledger.read(vessel.pk)
    take(vessel, taking.Whole(), happened_at=friday)

    vessel.refresh_from_db()
    assert (between.opened_on, between.spent_on) == (
        timezone.localtime(monday).date(),
        None,
    )
    assert vessel.opened_on == timezone.localtime(monday).date()
    assert vessel.spent_on == timezone.localtime(friday).date()
    assert not Vessel.objects.in_stock().exists()


def test_what_is_free_beside_a_promise_can_be_taken():
    vessel = make_vessel(make_batch("NaK"), holding_ug=5 * G)
    make_booking(vessel, 3 * G)

    movement = take(vessel, drawn(2_000))

    left = ledger.read(vessel.pk)
    assert left.free_ug == 2 * G - movement.mass_ug
    assert left.promised_ug == 3 * G


def test_against_its_booking_the_promised_metal_can_be_taken():
    vessel, project = make_vessel(holding_ug=5 * G), make_project()
    line = only_line(make_booking(vessel, project=project))

    movement = take(vessel, line=line)

    line.refresh_from_db()
    assert (movement.project, movement.booking_line) == (project, line)
    assert line.closed_by == movement.entry


def test_settling_a_line_frees_what_was_not_needed():
    vessel = make_vessel(make_batch("NaK"), holding_ug=5 * G)
    line = only_line(make_booking(vessel, 4 * G))

    take(vessel, drawn(1_000), line=line, settle=True)

    assert ledger.read(vessel.pk).promised_ug == 0


def test_not_settling_a_line_keeps_the_rest_promised():
    vessel = make_vessel(make_batch("NaK"), holding_ug=5 * G)
    booking = make_booking(vessel, 4 * G)

    movement = take(vessel, drawn(1_000), line=only_line(booking), settle=False)

    assert ledger.read(vessel.pk).promised_ug == 4 * G - movement.mass_ug
    served, rest = booking.lines.all()
    assert (served.mass_ug, served.closed_by) == (4 * G, movement.entry)
    assert (rest.mass_ug, rest.closed_by) == (4 * G - movement.mass_ug, None)


def test_taking_more_than_the_line_promises_keeps_nothing_promised():
    vessel = make_vessel(make_batch("NaK"), holding_ug=5 * G)
    booking = make_booking(vessel, 1 * G)

    take(vessel, drawn(2_000), line=only_line(booking), settle=False)

    assert booking.lines.count() == 1
    assert ledger.read(vessel.pk).promised_ug == 0


def test_working_out_a_withdrawal_records_nothing(django_assert_num_queries):
    vessel = ledger.read(make_vessel(make_batch("NaK")).pk)

    with django_assert_num_queries(2):  # when it was filled, the catalogue's numbers
        taken = taking.work_out(vessel, drawn(1_000), earlier(minutes=1))

    assert taken.mass_ug > 0
    assert ledger.read(vessel.pk).remaining_ug == vessel.remaining_ug


def test_destroying_ends_all_that_the_vessel_holds():
    vessel = make_vessel(holding_ug=5 * G, u_ug=2_000)

    movement = destroy(vessel, how="quenched in alcohol")

    assert (movement.mass_ug, movement.u_ug) == (5 * G, 2_000)
    assert (movement.kind, movement.to_end) == ("destruction", "destroyed")
    assert movement.purpose == "quenched in alcohol"
    vessel.refresh_from_db()
    assert vessel.spent_on == timezone.localtime(movement.happened_at).date()


def test_a_destruction_that_never_happened_is_corrected():
    vessel = make_vessel(holding_ug=5 * G)
    movement = destroy(vessel)

    corrections.correct(movement, reason="the one beside it", **signed())

    assert ledger.read(vessel.pk).remaining_ug == 5 * G
