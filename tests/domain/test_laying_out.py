"""Vessels that have a code and no tare yet."""

import pytest

from inventory.models import LogEntry, Vessel
from inventory.operations import filling, vessels
from tests.domain.records import refused
from tests.factories import (
    ML,
    ROOM,
    G,
    earlier,
    fill,
    make_batch,
    make_place,
    make_tared,
    medium,
    observe,
    signed,
)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shipped")]


def lay_out(batch, count=3, **facts):
    return vessels.lay_out(batch, "ampoule", 5 * ML, count, **facts, **signed())


def is_tared(vessel):
    return Vessel.objects.for_list().get(pk=vessel.pk).is_tared


def test_laid_out_vessels_get_the_batch_s_next_codes_without_a_weighing():
    batch, shelf = make_batch("Rb"), make_place()
    make_tared(batch)

    made = lay_out(batch, place=shelf)

    assert [vessel.code for vessel in made] == [f"{batch}-0{n}" for n in (2, 3, 4)]
    assert {vessel.place for vessel in made} == {shelf}
    assert not any(vessel.weighings.exists() for vessel in made)


@pytest.mark.parametrize(
    ("count", "named"), [(1, "{}-01"), (2, "{0}-01, {0}-02"), (12, "{0}-01 to {0}-12")]
)
def test_the_logbook_names_what_was_laid_out(count, named):
    batch = make_batch()

    lay_out(batch, count)

    line = LogEntry.objects.first()
    assert line.summary == f"Laid out {named.format(batch)}, to be tared"
    assert line.batch == batch


def test_glass_marks_go_to_the_vessels_in_order_and_may_be_skipped():
    made = lay_out(make_batch(), glass_marks=["A 1", "", "A 3"])

    assert [vessel.glass_mark for vessel in made] == ["A 1", "", "A 3"]


def test_fewer_marks_than_vessels_leave_the_last_ones_without():
    made = lay_out(make_batch(), glass_marks=["A 1"])

    assert [vessel.glass_mark for vessel in made] == ["A 1", "", ""]


def test_more_marks_than_vessels_are_refused():
    batch = make_batch()

    with refused("These are 4 marks for 3 vessels.", "glass_marks"):
        lay_out(batch, glass_marks=["A", "B", "C", "D"])


def test_a_mark_in_use_is_refused():
    holder = make_tared(make_batch(), glass_mark="A 1")

    with refused(
        f"The glass mark A 1 is taken by {holder}, which is not retired.", "glass_marks"
    ):
        lay_out(holder.batch, glass_marks=["A 0", "A 1"])


def test_a_laid_out_vessel_counts_as_tared_from_its_first_tare_on():
    vessel, _, _ = lay_out(make_batch())
    before = is_tared(vessel)

    vessels.tare_again(vessel, observe(20 * G), **signed())

    assert (before, is_tared(vessel)) == (False, True)


def test_the_first_tare_is_not_called_another_one():
    vessel, _, _ = lay_out(make_batch())

    vessels.tare_again(vessel, observe(20 * G), **signed())
    vessels.tare_again(vessel, observe(20 * G + 100), **signed())

    second, first = [line.summary for line in LogEntry.objects.all()[:2]]
    assert first == f"Tared {vessel}: 20.000 g"
    assert second == f"Tared {vessel} again: 20.000 g"


def test_a_laid_out_vessel_that_was_tared_is_filled_as_any_other():
    vessel, _, _ = lay_out(make_batch())
    vessels.tare_again(vessel, observe(20 * G, gas="argon", **ROOM), **signed())

    movement = fill(vessel, gross=observe(22 * G, gas="argon", **ROOM))

    assert movement.light.reading_ug == 20 * G


def test_a_weight_says_nothing_in_a_vessel_that_was_only_laid_out():
    vessel, _, _ = lay_out(make_batch())
    argon, gross = medium("argon"), observe(22 * G, gas="argon")
    put_in = filling.Filling(vessel.batch, argon, argon, "stopcock", gross=gross)

    with refused(
        f"{vessel} was never tared, so its weight says nothing about the metal. "
        "State the mass instead.",
        "gross",
    ):
        filling.fill(vessel, put_in, happened_at=earlier(), **signed())


def test_a_laid_out_vessel_that_broke_is_retired_and_its_number_stays_taken():
    batch = make_batch()
    broken, *_ = lay_out(batch)

    vessels.retire(broken, reason="fell", **signed())

    assert Vessel.objects.get(pk=broken.pk).retired_on
    assert lay_out(batch, 1)[0].number == 4
