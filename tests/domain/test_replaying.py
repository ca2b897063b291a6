"""The replay command reads every history again and finds what does not agree."""

import json
from io import StringIO

import pytest
from django.core.management import call_command
from django.db.models import F

from inventory.management import acts
from inventory.models import Vessel
from inventory.operations import checking
from tests.domain.damage import damaged, replay
from tests.domain.taken import drawn
from tests.factories import (
    ROOM,
    G,
    earlier,
    make_batch,
    make_check,
    make_tared,
    make_vessel,
    make_weighed_vessel,
    observe,
    signed,
    take,
)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shipped")]


def two_vessels():
    """Return two vessels with a few events each; the first is going to be damaged."""
    first, second = (
        make_weighed_vessel(make_batch("NaK"), filled_at=earlier(days=5))
        for _ in range(2)
    )
    for vessel in (first, second):
        take(vessel, drawn(1_000), happened_at=earlier(days=3))
        make_check(vessel, 300)
    return first, second


def newest(vessel):
    return vessel.estimates.order_by("-id").first()


def test_the_invented_laboratory_agrees_in_every_vessel():
    acts.play()

    said, error = replay()

    assert error is None
    filled = Vessel.objects.filter(filled_on__isnull=False).count()
    assert said.strip() == f"Vessels read again: {filled}. All agree."


def test_a_history_that_was_rewritten_agrees():
    vessel, _ = two_vessels()
    seen = observe(25 * G, gas="argon", read_at=earlier(days=4), **ROOM)
    checking.check(vessel, seen, **signed())

    assert replay() == ("Vessels read again: 2. All agree.\n", None)


def test_a_vessel_that_was_never_filled_is_not_read():
    make_tared(make_batch())

    assert replay() == ("Vessels read again: 0. All agree.\n", None)


NUMBERS = [
    "metal_ug", "tare_ug", "liquid_ug", "var_metal", "cov_metal_tare",
    "cov_metal_liquid", "var_tare", "cov_tare_liquid", "var_liquid", "innovation_ug",
    "u_innovation_ug",
]  # fmt: skip


@pytest.mark.parametrize("column", NUMBERS)
def test_a_stored_number_that_was_changed_is_found(column):
    vessel, _ = two_vessels()

    with damaged() as cursor:
        cursor.execute(
            f"UPDATE inventory_estimate SET {column} = {column} + 1 WHERE id = %s",
            [newest(vessel).pk],
        )
        said, error = replay()

    assert f"{vessel}: stored estimates that are not what its events give: 1" in said
    assert error == "Vessels read again: 2. Findings: 1."


@pytest.mark.parametrize(
    ("column", "value"),
    [
        ("root", json.dumps([1.0, 0.0, 1.0, 0.0, 0.0, 1.0])),
        ("root", json.dumps([1.0])),
        ("undecided", "metal"),
        ("verdict", "investigate"),
    ],
)
def test_a_stored_word_that_was_changed_is_found(column, value):
    vessel, _ = two_vessels()

    with damaged() as cursor:
        cursor.execute(
            f"UPDATE inventory_estimate SET {column} = %s WHERE id = %s",
            [value, newest(vessel).pk],
        )
        _, error = replay()

    assert error == "Vessels read again: 2. Findings: 1."


def test_an_estimate_damaged_in_the_middle_of_a_history_is_found():
    vessel, _ = two_vessels()
    middle = vessel.estimates.order_by("id")[2]

    with damaged() as cursor:
        cursor.execute(
            "UPDATE inventory_estimate SET metal_ug = metal_ug + 1 WHERE id = %s",
            [middle.pk],
        )
        said, error = replay()

    assert f"{vessel}: stored estimates that are not what its events give: 1" in said
    assert error == "Vessels read again: 2. Findings: 1."


def test_a_missing_estimate_is_found():
    vessel, _ = two_vessels()

    with damaged() as cursor:
        cursor.execute(
            "DELETE FROM inventory_estimate WHERE id = %s", [newest(vessel).pk]
        )
        said, error = replay()

    assert f"{vessel}: stored estimates that are not what its events give: 1" in said
    assert error == "Vessels read again: 2. Findings: 1."


def test_a_vessel_without_any_estimate_is_found():
    vessel, _ = two_vessels()

    with damaged() as cursor:
        cursor.execute(
            "DELETE FROM inventory_estimate WHERE vessel_id = %s", [vessel.pk]
        )
        said, _ = replay()

    assert f"{vessel}: stored estimates" in said
    assert f"give: {vessel.events.count()}" in said


def test_an_estimate_that_was_moved_to_another_vessel_is_found_in_both():
    vessel, other = two_vessels()

    with damaged() as cursor:
        cursor.execute(
            "UPDATE inventory_estimate SET vessel_id = %s WHERE id = %s",
            [vessel.pk, newest(other).pk],
        )
        said, error = replay()

    assert f"{vessel}: stored estimates that are not what its events give: 1" in said
    assert f"{other}: stored estimates that are not what its events give: 1" in said
    assert error == "Vessels read again: 2. Findings: 2."


def test_a_vessel_without_events_is_found():
    vessel = make_vessel()

    with damaged() as cursor:
        cursor.execute("DELETE FROM inventory_estimate")
        cursor.execute("DELETE FROM inventory_event")
        said, error = replay()

    assert f"{vessel}: it is filled, but no event says how" in said
    assert error == "Vessels read again: 1. Findings: 1."


def test_an_event_that_was_changed_is_found_in_all_that_came_after_it():
    vessel, _ = two_vessels()
    change = vessel.events.get(kind="change")

    with damaged() as cursor:
        cursor.execute(
            "UPDATE inventory_event SET facts = %s WHERE id = %s",
            [json.dumps({"metal_ug": -500_000.0}), change.pk],
        )
        said, error = replay()

    assert f"{vessel}: stored estimates that are not what its events give: 2" in said
    assert f"{vessel}: the ledger says" in said
    assert error == "Vessels read again: 2. Findings: 2."


def test_a_ledger_that_was_changed_is_found_by_one_microgram():
    vessel, _ = two_vessels()
    taken = vessel.movements_out.get(kind="withdrawal")
    held = Vessel.objects.with_remaining().get(pk=vessel.pk).remaining_ug

    with damaged() as cursor:
        cursor.execute(
            "UPDATE inventory_movement SET mass_ug = mass_ug - 1 WHERE id = %s",
            [taken.pk],
        )
        said, error = replay()

    assert f"{vessel}: the ledger says {held + 1} µg, its events {held} µg" in said
    assert error == "Vessels read again: 2. Findings: 1."


def test_a_movement_that_is_gone_is_found():
    vessel, _ = two_vessels()
    posted = vessel.movements_in.get(kind="difference")

    with damaged() as cursor:
        cursor.execute("DELETE FROM inventory_movement WHERE id = %s", [posted.pk])
        said, _ = replay()

    assert f"{vessel}: the ledger says" in said


def test_the_damage_undone_everything_agrees_again():
    vessel, _ = two_vessels()

    with damaged() as cursor:
        cursor.execute("UPDATE inventory_estimate SET metal_ug = 0")
    said, error = replay()

    assert newest(vessel).metal_ug > G
    assert (said, error) == ("Vessels read again: 2. All agree.\n", None)


def test_the_bar_is_drawn_on_a_terminal_only():
    make_vessel()
    said = StringIO()
    said.isatty = lambda: True

    call_command("replay", stdout=said, no_color=True)

    assert "#" * 40 + " 1 of 1" in said.getvalue()
    assert "#" not in replay()[0]


def test_spent_vessels_are_read_too():
    vessel = make_vessel()
    take(vessel)

    assert Vessel.objects.filter(spent_on=F("filled_on")).get() == vessel
    assert replay()[0].strip() == "Vessels read again: 1. All agree."
