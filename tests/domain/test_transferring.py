"""Metal from one vessel into others: both sides, and what is lost between them."""

from math import hypot

import pytest

from inventory.models import Movement
from inventory.operations import ledger, transferring
from tests.domain.by_hand import NAK, metal, u_filled
from tests.domain.taken import drawn, weighed_out
from tests.domain.transferred import (
    arrival,
    into_one,
    make_source,
    make_target,
    transfer,
)
from tests.factories import (
    ROOM,
    G,
    earlier,
    expected_reading,
    make_tared,
    medium,
    newest_state,
)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shipped")]

TWO = metal(2e6, NAK)


def held(vessel):
    return ledger.read(vessel.pk).remaining_ug


def kinds():
    return sorted(Movement.objects.exclude(kind="fill").values_list("kind", flat=True))


def gap(source, taken_ug, how=weighed_out):
    """Return the Balance of a transfer that put 2 g by the readings into one target."""
    target = make_target(source.batch)
    return transferring.work_out(
        ledger.read(source.pk),
        [arrival(source, target)],
        how(source, taken_ug),
        earlier(minutes=1),
    )


def test_what_arrives_is_what_the_filled_vessel_gained():
    source = make_source()

    target, movement = into_one(source)

    assert movement.mass_ug == pytest.approx(TWO, rel=1e-4)
    assert (movement.kind, movement.method) == ("transfer", "weighed")
    assert (movement.from_vessel, movement.to_vessel) == (source, target)
    assert (movement.light.purpose, movement.heavy.purpose) == ("tare", "gross")
    assert held(target) == movement.mass_ug
    assert held(source) == source.remaining_ug - movement.mass_ug


def test_a_source_that_was_not_weighed_lost_what_arrived_as_surely_as_that():
    source = make_source()
    before = newest_state(source)

    target, movement = into_one(source)

    state = newest_state(source)
    assert state.metal_ug == pytest.approx(before.metal_ug - movement.mass_ug, abs=1)
    assert state.u_metal_ug == pytest.approx(
        hypot(before.u_metal_ug, movement.u_ug), rel=1e-3
    )
    assert newest_state(target).metal_ug == pytest.approx(movement.mass_ug, abs=1)


def test_one_transfer_fills_many_vessels():
    source = make_source()
    targets = [make_target(source.batch) for _ in range(3)]
    grosses = (11 * G, 12 * G, 13 * G)

    movements = transfer(
        source,
        [arrival(source, t, g) for t, g in zip(targets, grosses, strict=True)],
    )

    for n, (target, movement) in enumerate(zip(targets, movements, strict=True)):
        assert held(target) == movement.mass_ug
        assert movement.mass_ug == pytest.approx(metal((n + 1) * 1e6, NAK), rel=1e-4)
    assert held(source) == source.remaining_ug - sum(m.mass_ug for m in movements)
    assert len({movement.entry for movement in movements}) == 1


def test_the_log_names_all_that_were_filled():
    source = make_source()
    targets = [make_target(source.batch) for _ in range(2)]

    movements = transfer(source, [arrival(source, target) for target in targets])

    assert movements[0].entry.summary == (
        f"Transferred 4.007 g from {source} to {targets[0]}, {targets[1]}"
    )


def test_with_both_sides_weighed_the_source_follows_its_own_readings():
    source = make_source()
    how = weighed_out(source, 2_100_000)

    into_one(source, how=how)

    state = newest_state(source)
    assert state.metal_ug == pytest.approx(source.remaining_ug - 2.1e6, abs=3)
    assert held(source) == pytest.approx(source.remaining_ug - 2.1e6, abs=3)
    purposes = source.weighings.order_by("id").values_list("purpose", flat=True)
    assert list(purposes) == ["tare", "gross", "before", "after"]


def test_the_source_may_be_measured_by_the_volume_drawn():
    source = make_source()

    _, movement = into_one(source, how=drawn(2_400))

    left = source.remaining_ug - 2_400 * NAK
    assert held(source) == pytest.approx(left, rel=1e-3)
    assert movement.mass_ug == pytest.approx(TWO, rel=1e-4)


def test_the_gap_is_what_left_less_what_arrived_with_the_uncertainty_of_both():
    found = gap(make_source(), 2_100_000)

    assert found.arrived_ug == pytest.approx(TWO, rel=1e-4)
    assert found.gap_ug == pytest.approx(2.1e6 - TWO, rel=2e-3)
    u_arrived = u_filled(TWO, NAK)
    assert found.u_arrived_ug == pytest.approx(u_arrived, rel=0.15)
    assert found.u_gap_ug == pytest.approx(
        hypot(found.left.u_ug, found.u_arrived_ug), rel=1e-6
    )


@pytest.mark.parametrize(("times_u", "significant"), [(1.9, False), (2.1, True)])
@pytest.mark.parametrize("sign", [1, -1])
def test_a_gap_counts_from_two_u_on(sign, times_u, significant):
    source = make_source()
    even = gap(source, round(TWO))

    found = gap(source, round(TWO + sign * times_u * even.u_gap_ug) - even.gap_ug)

    assert found.gap_ug == pytest.approx(sign * times_u * even.u_gap_ug, abs=5)
    assert found.gap_is_significant is significant


def test_without_a_reading_of_the_source_there_is_no_gap():
    source = make_source()
    target = make_target(source.batch)

    found = transferring.work_out(
        source, [arrival(source, target)], None, earlier(minutes=1)
    )

    assert (found.gap_ug, found.gap_is_significant) == (0, False)


def test_a_gap_nobody_decided_on_stays_unaccounted_for_in_the_open():
    source = make_source()

    _, movement = into_one(source, how=weighed_out(source, 2_100_000))

    found = movement.entry.movements.get(kind="difference")
    assert found.mass_ug == pytest.approx(2.1e6 - TWO, abs=200)
    assert (found.from_vessel, found.to_end) == (source, "unaccounted")
    assert "loss" not in kinds()


def test_a_gap_is_a_loss_by_decision_with_its_uncertainty_and_reason():
    source = make_source()

    _, movement = into_one(
        source, how=weighed_out(source, 2_100_000), loss_reason="wetted the funnel"
    )

    lost = movement.entry.movements.get(kind="loss")
    assert lost.mass_ug == pytest.approx(2.1e6 - TWO, abs=200)
    assert lost.u_ug > u_filled(TWO, NAK)
    assert (lost.to_end, lost.purpose) == ("loss", "wetted the funnel")
    assert kinds() == ["loss", "transfer"]


def test_less_arriving_than_left_is_unaccounted_for_in_so_many_words():
    source = make_source()

    _, movement = into_one(source, how=weighed_out(source, 2_100_000))

    gap = movement.entry.movements.filter(kind="difference").first()
    assert gap.mass_ug == pytest.approx(2.1e6 - TWO, abs=200)
    assert (gap.from_vessel, gap.to_end) == (source, "unaccounted")
    assert gap.purpose.endswith("did not arrive: unaccounted for")


def test_glass_without_a_batch_takes_the_batchs_next_number():
    source = make_source()
    glass = make_target(None, glass_mark="A 7")

    transfer(source, [arrival(source, glass)])

    glass.refresh_from_db()
    assert (glass.batch, glass.code) == (source.batch, f"{source.batch}-02")


def test_the_filled_vessels_know_their_medium_closure_and_day():
    source = make_source()
    target = make_tared(
        source.batch, tare_ug=10 * G, capacity_ul=5_000, gas="vacuum", **ROOM
    )
    sealed = arrival(source, target, kept_in="vacuum", closure="flame_sealed")

    transfer(source, [sealed], happened_at=earlier(minutes=1))

    target.refresh_from_db()
    assert (target.medium, target.gas) == (medium("vacuum"), medium("vacuum"))
    assert target.is_sealed
    assert target.filled_on == ledger.log.local_date(earlier())


def test_a_transfer_opens_the_source_and_may_spend_it():
    source = make_source(gain_ug=2 * G)

    into_one(source, gross_ug=12 * G)

    source.refresh_from_db()
    assert source.opened_on is not None
    assert bool(source.spent_on) == (held(source) == 0)


def test_another_gas_left_in_the_source_is_inside_from_then_on():
    source = make_source()

    into_one(source, how=weighed_out(source, 2_010_000, gas="vacuum"))

    source.refresh_from_db()
    assert (source.gas, source.medium) == (medium("vacuum"), medium("vacuum"))
    assert expected_reading(source, **ROOM) < expected_reading(
        source, gas="argon", **ROOM
    )


def test_working_out_a_transfer_records_nothing():
    source = make_source()
    before = Movement.objects.count(), source.weighings.count()

    gap(source, 2_100_000)

    assert (Movement.objects.count(), source.weighings.count()) == before
