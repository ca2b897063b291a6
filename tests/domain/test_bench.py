"""A row of the bench: tare, gross or both in one piece, once however often sent."""

from datetime import timedelta
from uuid import uuid4

import pytest

from inventory.operations import corrections, filling, ledger
from tests.domain.benched import TARE, fill_row, gross, laid_out, new
from tests.domain.by_hand import OIL, RB, WEIGHT, K, lift, metal, u_filled
from tests.domain.records import on_record
from tests.factories import (
    ML,
    ROOM,
    G,
    earlier,
    make_balance,
    make_batch,
    make_place,
    make_tared,
    make_weighed_vessel,
    observe,
    signed,
)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shipped")]


def test_a_row_gives_the_net_mass_of_the_weighing_equation():
    vessel = make_tared(make_batch("Rb"), **ROOM)

    told = fill_row(vessel.batch, vessel=vessel, put_in=gross(vessel.batch))

    # By hand: m (1 - ρ_Ar/ρ_Rb) = (1 - ρ_air/8000) (G - T).
    assert metal(5e6, RB) == pytest.approx(5_004_677, abs=5)
    assert told.movement.mass_ug == pytest.approx(metal(5e6, RB), abs=2)
    assert told.movement.u_ug == pytest.approx(u_filled(5e6, RB), rel=0.05)


@pytest.mark.parametrize("tare_gas", ["air", "argon", "vacuum"])
@pytest.mark.parametrize("oil_ug", [0, 3 * G])
def test_a_row_records_what_filling_one_vessel_by_itself_records(tare_gas, oil_ug):
    batch, at = make_batch("K"), earlier()
    tare = observe(20 * G, gas=tare_gas, read_at=at, **ROOM)
    kept_in = "mineral_oil_light" if oil_ug else "argon"
    how = {"kept_in": kept_in, "liquid_ug": oil_ug, "accept_medium": True}
    put_in = gross(batch, read_at=at, **how)
    alone = make_tared(batch, gas=tare_gas, read_at=at, **ROOM)
    one = filling.fill(alone, put_in, happened_at=put_in.gross.read_at, **signed())

    other = fill_row(batch, **new(), tare=tare, put_in=put_in).movement

    assert (other.mass_ug, other.u_ug) == (one.mass_ug, one.u_ug)
    assert (other.kind, other.method) == (one.kind, one.method)
    assert newest(other.to_vessel) == newest(alone)


def newest(vessel):
    kept = vessel.estimates.last()
    return kept.metal_ug, kept.var_metal, kept.tare_ug, kept.liquid_ug


def test_oil_put_in_since_the_tare_comes_on_top_of_the_oil_that_was_in():
    batch = make_batch("K")
    vessel = make_tared(
        batch, tare_ug=30 * G, liquid_ug=10 * G, capacity_ul=40 * ML, **ROOM
    )
    put_in = gross(
        batch, 37 * G, kept_in="mineral_oil_light", liquid_ug=2 * G, accept_medium=True
    )

    told = fill_row(batch, vessel=vessel, put_in=put_in)

    assert told.movement.heavy.liquid_ug == 12 * G
    # By hand: 7 g more on the balance, of which 2 g are oil, each with its own lift.
    by_hand = (7e6 * WEIGHT - 2e6 * lift(OIL)) / lift(K)
    assert told.movement.mass_ug == pytest.approx(by_hand, abs=5)


def test_a_row_with_a_tare_alone_tares_a_laid_out_vessel():
    batch = make_batch()
    (vessel,) = laid_out(batch)

    told = fill_row(batch, vessel=vessel, tare=observe(20 * G, **TARE))

    assert told.vessel == vessel
    assert told.movement is None
    assert vessel.weighings.get() == told.tare


def test_a_new_row_makes_the_vessel_with_the_batch_s_next_code():
    batch, shelf = make_batch("Rb"), make_place()
    make_tared(batch)

    told = fill_row(
        batch,
        **new(glass_mark="A 7"),
        tare=observe(20 * G, **TARE),
        put_in=gross(batch, place=shelf),
    )

    assert told.vessel.code == f"{batch}-02"
    assert told.vessel.glass_mark == "A 7"
    assert told.vessel.place == shelf
    assert ledger.read(told.vessel.pk).remaining_ug == told.movement.mass_ug


def test_tare_and_gross_in_one_row_are_two_lines_in_the_logbook():
    batch = make_batch()

    told = fill_row(batch, **new(), tare=observe(20 * G, **TARE), put_in=gross(batch))

    filled, tared = [line.summary for line in batch.entries.all()[:2]]
    assert tared == f"Tared {told.vessel}"
    assert filled == f"Filled {told.vessel} with 5.005 g under argon"


def test_a_row_sent_twice_is_recorded_once_and_told_the_same():
    batch, once = make_batch(), uuid4()
    row = {**new(), "tare": observe(20 * G, **TARE), "put_in": gross(batch)}
    first = fill_row(batch, request_id=once, **row)
    before = on_record()

    second = fill_row(batch, request_id=once, **row)

    assert second == first
    assert on_record() == before


def test_a_row_sent_twice_is_told_also_when_its_vessel_is_empty_again():
    batch, once = make_batch(), uuid4()
    row = {**new(), "tare": observe(20 * G, **TARE), "put_in": gross(batch)}
    first = fill_row(batch, request_id=once, **row)
    corrections.correct(first.movement, reason="another ampoule", **signed())

    assert fill_row(batch, request_id=once, **row).movement == first.movement


def test_a_gross_that_a_slow_line_puts_before_its_tare_counts_as_read_with_it():
    batch, at = make_batch(), earlier()
    vessel = make_tared(batch, read_at=at, **ROOM)

    told = fill_row(
        batch, vessel=vessel, put_in=gross(batch, read_at=at - timedelta(minutes=2))
    )

    assert told.movement.heavy.read_at == told.movement.happened_at == at


def test_what_speaks_against_a_row_is_told_and_recorded_all_the_same():
    balance = make_balance(name="Rough", capacity_ug=22 * G, repeatability_ug=5_000)
    batch = make_batch("Rb")
    vessel = make_tared(batch, capacity_ul=3_600, balance=balance, **ROOM)

    told = fill_row(batch, vessel=vessel, put_in=gross(batch, balance=balance))

    assert [words.partition(":")[0] for words in told.cautions] == [
        "94 % full at 40 °C with the metal molten",
        "Rough weighs 10.000 g or more to a tenth of a per cent (USP ⟨41⟩); this is "
        "less.",
        "Mind",
    ]
    assert "above the 22.000 g that Rough carries" in told.cautions[-1]


def test_rows_from_a_receiver_are_transfers_out_of_it():
    batch = make_batch("Rb")
    receiver = make_weighed_vessel(batch, filled_at=earlier(hours=2))
    before_ug = receiver.remaining_ug

    told = fill_row(
        batch,
        source=receiver,
        **new(capacity_ul=5 * ML),
        tare=observe(10 * G, **TARE),
        put_in=gross(batch, 12 * G),
    )

    assert told.movement.kind == "transfer"
    assert told.movement.from_vessel == receiver
    # By hand, as for a filling: 2 g more on the balance.
    assert told.movement.mass_ug == pytest.approx(metal(2e6, RB), abs=2)
    left_ug = ledger.read(receiver.pk).remaining_ug
    assert left_ug == before_ug - told.movement.mass_ug
