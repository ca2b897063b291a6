"""Empty vessels: tared, tared again, moved, retired."""

from datetime import timedelta

import pytest
from django.utils import timezone

from inventory.models import LogEntry, Weighing
from inventory.operations import corrections, filling, vessels
from tests.domain.records import refused
from tests.factories import (
    ML,
    G,
    earlier,
    make_balance,
    make_batch,
    make_place,
    make_tared,
    make_vessel,
    medium,
    observe,
    signed,
    take,
)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shipped")]


def empty(mark="", tare_ug=20 * G, **more):
    return vessels.Empty("ampoule", 5 * ML, observe(tare_ug), mark, **more)


def test_vessels_tared_for_a_batch_get_its_next_numbers_in_order():
    batch = make_batch("Rb")

    first = vessels.tare([empty(), empty()], batch=batch, **signed())
    second = vessels.tare([empty()], batch=batch, **signed())

    assert [v.number for v in first + second] == [1, 2, 3]
    assert [v.code for v in first + second] == [f"{batch}-0{n}" for n in (1, 2, 3)]


def test_a_retired_vessel_keeps_its_number_for_ever():
    batch = make_batch()
    (gone,) = vessels.tare([empty()], batch=batch, **signed())
    vessels.retire(gone, reason="cracked", **signed())

    (new,) = vessels.tare([empty()], batch=batch, **signed())

    assert (gone.number, new.number) == (1, 2)


def test_a_tare_is_kept_raw_with_its_instrument_and_conditions():
    balance = make_balance()
    tare = observe(
        12_873_100,
        balance=balance,
        air_temperature_c=21.5,
        air_pressure_pa=100_900.0,
        air_humidity=0.42,
        liquid_ug=50 * G,
        u_liquid_ug=10_000,
    )

    (vessel,) = vessels.tare([vessels.Empty("vial", ML, tare, "A 7")], **signed())

    kept = Weighing.objects.get(vessel=vessel)
    for name in vessels.Observation.__dataclass_fields__:
        assert getattr(kept, name) == getattr(tare, name)
    assert kept.purpose == "tare"


def test_without_a_batch_a_vessel_is_known_by_its_glass_mark():
    (vessel,) = vessels.tare([empty("A 7")], **signed())

    assert vessel.code is None
    assert str(vessel) == "glass A 7"


def test_without_a_batch_a_vessel_needs_a_glass_mark():
    unmarked = [empty("A 7", field="row_1"), empty(field="row_2")]

    with refused(
        "Without a batch a vessel is known by the mark on its glass: give each one.",
        "row_2-glass_mark",
    ):
        vessels.tare(unmarked, **signed())


def test_a_glass_mark_in_use_is_refused():
    holder = make_tared(make_batch(), glass_mark="A 7")

    with refused(
        f"The glass mark A 7 is taken by {holder}, which is not retired.",
        "row_1-glass_mark",
    ):
        vessels.tare([empty("A 7", field="row_1")], **signed())


def test_a_glass_mark_twice_on_one_form_is_refused():
    twice = [empty("A 7"), empty("A 7", field="row_2")]

    with refused("The glass mark A 7 is taken twice here.", "row_2-glass_mark"):
        vessels.tare(twice, **signed())


def test_glass_of_a_retired_vessel_becomes_a_new_vessel():
    used = make_tared(make_batch(), glass_mark="A 7")
    vessels.retire(used, reason="washed", **signed())

    (again,) = vessels.tare([empty("A 7")], batch=used.batch, **signed())

    assert again.pk != used.pk
    assert again.code != used.code


def test_a_tare_read_in_the_future_is_refused():
    later = observe(20 * G, read_at=timezone.now() + timedelta(hours=1))

    with refused("This lies in the future.", "read_at"):
        vessels.tare([vessels.Empty("vial", ML, later, "A 7")], **signed())


def test_a_clock_a_little_ahead_is_no_future():
    ahead = observe(20 * G, read_at=timezone.now() + timedelta(minutes=4))

    vessels.tare([vessels.Empty("vial", ML, ahead, "A 7")], **signed())

    assert Weighing.objects.get().read_at == ahead.read_at


def test_one_wrong_vessel_refuses_the_whole_set():
    holder = make_tared(make_batch(), glass_mark="A 7")
    good, bad = empty("A 1"), empty("A 7", field="row_2")

    with refused(
        f"The glass mark A 7 is taken by {holder}, which is not retired.",
        "row_2-glass_mark",
    ):
        vessels.tare([good, bad], **signed())


def test_the_newest_tare_of_an_empty_vessel_counts():
    vessel = make_tared(make_batch(), tare_ug=20 * G)
    vessels.tare_again(vessel, observe(20 * G + 1_000, gas="argon"), **signed())

    filled = fill_by_weight(vessel, observe(25 * G + 1_000, gas="argon"))

    assert [w.reading_ug for w in vessel.weighings.all()][:2] == [20 * G, 20_001_000]
    assert filled.light.reading_ug == 20_001_000


def fill_by_weight(vessel, gross):
    argon = medium("argon")
    what = filling.Filling(vessel.batch, argon, argon, "stopcock", gross=gross)
    return filling.fill(vessel, what, happened_at=earlier(), **signed())


def test_a_filled_vessel_can_no_longer_be_tared():
    vessel = make_vessel()

    with refused(f"{vessel} is filled: its tare can no longer be weighed."):
        vessels.tare_again(vessel, observe(20 * G), **signed())


def test_a_retired_vessel_can_no_longer_be_tared():
    vessel = make_tared(make_batch())
    vessels.retire(vessel, reason="cracked", **signed())

    with refused(f"{vessel} is retired."):
        vessels.tare_again(vessel, observe(20 * G), **signed())


def test_taring_again_in_the_future_is_refused():
    vessel = make_tared(make_batch())
    later = observe(20 * G, read_at=timezone.now() + timedelta(hours=1))

    with refused("This lies in the future.", "read_at"):
        vessels.tare_again(vessel, later, **signed())


def test_a_vessel_that_moves_stands_in_the_new_place():
    vessel, shelf = make_vessel(), make_place()

    moved = vessels.move(vessel, shelf, **signed())

    vessel.refresh_from_db()
    assert vessel.place == moved.place == shelf
    assert LogEntry.objects.first().summary == f"{vessel} moved to {shelf}"


def test_an_empty_vessel_retires_today():
    vessel = make_vessel()
    take(vessel)

    retired = vessels.retire(vessel, reason="washed", **signed())

    assert retired.retired_on == timezone.localdate()


def test_a_vessel_that_holds_metal_does_not_retire():
    vessel = make_vessel(holding_ug=5 * G)

    with refused(
        f"{vessel} still holds 5.000 g. Withdraw it, or record how it was destroyed, "
        "first."
    ):
        vessels.retire(vessel, reason="tidying", **signed())


def test_a_vessel_retires_once():
    vessel = make_tared(make_batch())
    vessels.retire(vessel, reason="cracked", **signed())

    with refused(f"{vessel} is retired already."):
        vessels.retire(vessel, reason="cracked", **signed())


def test_a_retired_vessel_that_gets_metal_back_is_in_use_again():
    vessel = make_vessel(holding_ug=5 * G)
    taken = take(vessel)
    vessels.retire(vessel, reason="washed", **signed())

    corrections.correct(taken, reason="another ampoule was meant", **signed())

    vessel.refresh_from_db()
    assert vessel.retired_on is None
    assert vessel.spent_on is None
    assert vessel.opened_on is None
