"""What somebody decides that a reading which disagrees shows, and what comes of it."""

import pytest

from inventory.models import Movement, Weighing
from inventory.operations import ledger
from tests.factories import G, make_balance, make_batch, make_vessel
from tests.web.laboratory import make_oiled
from tests.web.person import recorded, refused

# What the vessel below reads by its record (see laboratory.READS_UG), and half a
# gram less and more.
AGREES, LESS, MORE = "24.9953 g", "24.4953 g", "25.4953 g"


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


def test_a_cause_without_a_reason_is_refused_at_the_reason(as_keeper, vessel):
    said = refused(
        as_keeper, weigh_again(vessel), "reason", reading=LESS, cause="metal"
    )

    assert said == "Say how you know."


def test_a_reason_without_a_cause_decides_nothing(as_keeper, vessel):
    said = refused(
        as_keeper, weigh_again(vessel), "reading", reading=LESS, reason="a spill"
    )

    assert "Weigh again, or say below what happened." in said


def test_metal_that_went_is_posted_in_the_ledger_with_the_reason(as_keeper, vessel):
    page = recorded(
        as_keeper,
        weigh_again(vessel),
        reading=LESS,
        cause="metal",
        reason="a piece was taken on Friday",
    )

    # 0.5 g of reading is 0.5005 g of metal: the argon in its place weighs 0.5 mg.
    assert sum(differences(vessel)) == pytest.approx(-500_470, abs=100)
    row = next(row for row in page.table_under("ledger") if "Difference" in row[1])
    assert "−500.5" in row[2]
    assert "a piece was taken on Friday" in row[4]
    assert "Remaining 4.49" in page.main.text


def test_the_reading_is_marked_with_what_it_was_held_to_show(as_keeper, vessel):
    page = recorded(
        as_keeper, weigh_again(vessel), reading=LESS, cause="metal", reason="a spill"
    )

    row = page.table_under("readings")[-1]
    assert "Metal went in or out and was not recorded" in row[1]
    assert "a spill" in row[1]


def test_what_the_reading_shows_stands_in_the_drawing_and_the_steps(as_keeper, vessel):
    page = recorded(
        as_keeper, weigh_again(vessel), reading=LESS, cause="metal", reason="a spill"
    )

    drawing = page.by_id("over-time").above("section").all("svg", role="img")[0]
    mark = drawing.all("g")[-1]
    assert "Metal went in or out" in page.table_under("over-time")[-1][1]
    assert "Metal went in or out" in mark.all("title")[0].text
    assert mark["class"].endswith("chart-mark-difference")


def test_another_closure_leaves_the_metal_as_it_was(as_keeper, vessel):
    page = recorded(
        as_keeper, weigh_again(vessel), reading=MORE, cause="tare", reason="new cap"
    )

    assert sum(differences(vessel)) == pytest.approx(0, abs=10)
    assert "Remaining 5.000" in page.main.text


def test_oil_that_went_leaves_the_metal_as_it_was(as_keeper, shipped):
    make_balance(name="Balance 1")
    vessel = make_oiled()

    recorded(
        as_keeper, weigh_again(vessel), reading="32.4765 g", cause="liquid",
        reason="it ran off the last piece",
    )  # fmt: skip

    now = ledger.read(vessel.pk)
    assert now.remaining_ug == pytest.approx(5 * G, abs=10)
    # 0.5 g less reading, and 0.2 % more for the argon in the oil's place.
    assert now.liquid_ug == pytest.approx(7_499_100, abs=500)


def test_with_no_cause_known_the_readings_are_weighted(as_keeper, vessel):
    # Of the 500 mg the metal takes the part that its variance has in that of D.
    recorded(
        as_keeper, weigh_again(vessel), reading=LESS, cause="unknown", reason="no idea"
    )

    assert -500_000 < sum(differences(vessel)) < -100_000


def test_a_cause_is_not_kept_where_the_reading_agrees(as_keeper, vessel):
    recorded(
        as_keeper, weigh_again(vessel), reading=AGREES, cause="metal", reason="a guess"
    )

    assert Weighing.objects.get(purpose="check").cause == ""
    assert ledger.read(vessel.pk).remaining_ug == pytest.approx(5 * G, abs=100)


@pytest.mark.parametrize("reading", ["65 g", "9 g"])
def test_a_cause_that_cannot_be_is_refused(as_keeper, vessel, reading):
    said = refused(
        as_keeper, weigh_again(vessel), "cause", reading=reading, cause="metal",
        reason="so it must be",
    )  # fmt: skip

    assert said.endswith("it cannot be so.")
