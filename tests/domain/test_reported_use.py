"""What a partner reports of a vessel in its hands, and putting such records right."""

from math import hypot

import pytest

from inventory.models import Return
from inventory.operations import corrections, ledger, returning
from tests.domain.handed import (
    empty,
    held_ug,
    make_handed,
    report,
    take_back,
    weighed_back,
)
from tests.domain.records import refused
from tests.factories import (
    G,
    earlier,
    make_vessel,
    newest_state,
    signed,
)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shipped")]


def test_a_reported_use_is_marked_as_reported_and_counts_for_the_project():
    line = make_handed()

    told = report(line, 2 * G, u_ug=50_000, note="first film")

    movement = told.movement
    assert (told.kind, told.is_back, told.used_ug) == ("reported", False, 2 * G)
    assert (movement.kind, movement.method) == ("withdrawal", "reported")
    assert movement.get_method_display() == "as the partner reported, not measured"
    assert (movement.mass_ug, movement.u_ug) == (2 * G, 50_000)
    assert (movement.to_end, movement.project) == ("experiment", line.hand_over.project)
    assert held_ug(line) == line.mass_ug - 2 * G
    assert ledger.read(line.vessel_id).custodian == line.hand_over.partner


def test_a_reported_use_makes_the_estimate_as_unsure_as_it_is():
    line = make_handed()
    before = newest_state(line.vessel)

    report(line, 2 * G, u_ug=50_000)

    # Independent: the variances add (JCGM 100:2008, 5.1.2).
    assert newest_state(line.vessel).u_metal_ug == pytest.approx(
        hypot(before.u_metal_ug, 50_000)
    )


def test_without_a_word_on_how_sure_half_of_it_either_way_is_taken():
    line = make_handed()

    told = report(line, 2 * G)

    # Rectangular within ± 1 g: 1 g / √3 (JCGM 100:2008, 4.3.7).
    assert told.u_ug == told.movement.u_ug == 577_350


def test_all_of_it_may_be_reported_and_the_glass_is_still_with_the_partner():
    line = make_handed()

    told = report(line)

    vessel = ledger.read(line.vessel_id)
    assert told.used_ug == line.mass_ug
    assert vessel.remaining_ug == 0
    assert vessel.spent_on is not None
    assert vessel.custodian == line.hand_over.partner


def test_a_reported_use_opens_the_vessel():
    line = make_handed()

    report(line, G)

    assert ledger.read(line.vessel_id).opened_on is not None


def test_more_than_is_left_is_not_reported():
    line = make_handed(make_vessel(filled_at=earlier(days=2)))

    with refused(
        f"By the record 5.000 g is left in {line.vessel}. If nothing is left now, "
        "report that all of it was used.",
        "used",
    ):
        report(line, 6 * G)
    report(line)
    with refused(f"By the record nothing is left in {line.vessel}.", "used"):
        report(line, G)


def test_a_report_before_the_hand_over_or_to_come_is_refused():
    line = make_handed()
    day = line.hand_over.handed_at.date()

    with refused(
        f"This is before it was handed over, on {day:%-d %b %Y}.", "happened_at"
    ):
        report(line, G, happened_at=earlier(days=1, hours=1))
    with refused("This lies in the future.", "happened_at"):
        report(line, G, happened_at=earlier(hours=-1))


def test_a_reported_use_is_corrected_while_the_vessel_is_still_there():
    line = make_handed()
    told = report(line, 2 * G)

    corrections.correct(told.movement, reason="another vessel", **signed())

    vessel = ledger.read(line.vessel_id)
    assert vessel.remaining_ug == line.mass_ug
    assert vessel.custodian == line.hand_over.partner
    assert Return.objects.get() == told
    assert returning.reported_ug(line) == 0


def test_a_reported_emptying_is_corrected_and_the_vessel_is_not_spent():
    line = make_handed()
    told = report(line)

    corrections.correct(told.movement, reason="another vessel", **signed())

    vessel = ledger.read(line.vessel_id)
    assert (vessel.spent_on, vessel.opened_on) == (None, None)


def test_other_movements_of_a_vessel_with_a_partner_are_not_corrected():
    line = make_handed()
    filling = line.vessel.movements_in.get()

    with refused(
        f"{line.vessel} is with {line.hand_over.partner}: record its return first."
    ):
        corrections.correct(filling, reason="the wrong one", **signed())


@pytest.mark.parametrize("how", ["empty", "weighed"])
def test_a_use_found_at_the_return_is_corrected_and_the_vessel_stays_here(how):
    line = make_handed()
    back = take_back(line, empty() if how == "empty" else weighed_back(line, 2 * G))

    corrections.correct(back.movement, reason="the wrong vessel", **signed())

    vessel = ledger.read(line.vessel_id)
    assert vessel.remaining_ug == line.mass_ug
    assert (vessel.custodian, vessel.spent_on) == (None, None)


def test_a_report_is_corrected_after_the_weighed_return_and_the_reading_still_counts():
    line = make_handed()
    told = report(line, 3 * G)
    take_back(line, weighed_back(line, -G))

    corrections.correct(told.movement, reason="another vessel", **signed())

    assert held_ug(line) == pytest.approx(line.mass_ug - 2 * G, abs=5)
