"""Filling and receiving: what is on record afterwards."""

from datetime import timedelta

import pytest
from django.utils import timezone

from inventory.operations import filling, ledger
from tests.domain.filled import receive, tared
from tests.domain.records import on_record
from tests.factories import (
    ML,
    G,
    fill,
    make_batch,
    make_place,
    make_tared,
    make_vessel,
    medium,
    observe,
)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shipped")]


def test_a_mass_that_was_stated_is_recorded_as_it_was_stated():
    vessel = make_tared(make_batch())

    movement = fill(vessel, stated_ug=5 * G, u_stated_ug=50_000)

    assert (movement.mass_ug, movement.u_ug) == (5 * G, 50_000)
    assert movement.method == "stated"
    assert movement.light is movement.heavy is None


def test_a_movement_names_the_readings_that_prove_it():
    vessel = tared(observe(20 * G, gas="argon"))

    movement = fill(vessel, gross=observe(25 * G, gas="argon"))

    assert movement.method == "weighed"
    assert (movement.light.purpose, movement.light.reading_ug) == ("tare", 20 * G)
    assert (movement.heavy.purpose, movement.heavy.reading_ug) == ("gross", 25 * G)


def test_glass_without_a_batch_gets_the_next_code_when_it_is_filled():
    batch = make_batch()
    make_vessel(batch)
    glass = make_tared(glass_mark="A 7")

    fill(glass, batch=batch, stated_ug=G)

    glass.refresh_from_db()
    assert glass.code == f"{batch}-02"


def test_a_filled_vessel_knows_its_medium_closure_place_and_day():
    vessel, shelf = make_tared(make_batch()), make_place()
    when = timezone.now() - timedelta(days=3)

    fill(
        vessel,
        kept_in="vacuum",
        stated_ug=G,
        closure="flame_sealed",
        place=shelf,
        happened_at=when,
    )

    vessel.refresh_from_db()
    assert (vessel.medium.key, vessel.gas.key) == ("vacuum", "vacuum")
    assert vessel.place == shelf
    assert vessel.filled_on == timezone.localtime(when).date()
    assert vessel.is_sealed


def test_a_vessel_that_gets_tight_is_filled_with_a_caution():
    vessel = make_tared(make_batch("Ba"), capacity_ul=ML)
    argon = medium("argon")
    what = filling.Filling(vessel.batch, argon, argon, "stopcock", stated_ug=3_300_000)

    found = filling.work_out(vessel, what)

    assert found.headspace.verdict == "tight"
    assert found.headspace.sentence in found.cautions


def test_less_than_the_balance_weighs_well_is_filled_with_a_caution():
    # USP ⟨41⟩: 2000 × the repeatability of 0.2 mg is 0.4 g.
    vessel = make_tared(make_batch(), tare_ug=20 * G)
    argon, gross = medium("argon"), observe(20_300_000, gas="argon")
    what = filling.Filling(vessel.batch, argon, argon, "stopcock", gross=gross)

    (caution,) = filling.work_out(vessel, what).cautions

    assert "weighs 400.0 mg or more" in caution


def test_working_out_a_filling_records_nothing():
    vessel = make_tared(make_batch())
    argon, gross = medium("argon"), observe(25 * G, gas="argon")
    before = on_record()

    filling.work_out(
        vessel, filling.Filling(vessel.batch, argon, argon, "stopcock", gross=gross)
    )

    assert on_record() == before


def test_received_ampoules_each_hold_what_was_stated_on_them():
    batch = make_batch(kind="bought")

    received = receive(batch, count=3)

    assert [v.code for v in received] == [f"{batch}-0{n}" for n in (1, 2, 3)]
    for vessel in received:
        assert ledger.read(vessel.pk).remaining_ug == G
        assert vessel.movements_in.get().u_ug == 10_000
        assert not vessel.weighings.exists()
