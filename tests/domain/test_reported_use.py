"""What a partner reports of a vessel in its hands."""

from math import hypot

import pytest

from inventory.operations import corrections, ledger
from tests.domain.handed import (
    held_ug,
    make_handed,
    report,
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


def test_more_doubt_than_what_was_used_is_refused_at_its_field():
    line = make_handed()

    with refused(
        "This is more than the 1.000 g that it is about: give half of the ± around "
        "that.",
        "u_used",
    ):
        report(line, G, u_ug=G + 1)
    assert report(line, G, u_ug=G).u_ug == G


def test_all_of_it_may_be_reported_and_the_glass_is_still_with_the_partner():
    line = make_handed()

    told = report(line)

    vessel = ledger.read(line.vessel_id)
    assert told.used_ug == line.mass_ug
    assert told.movement.method == "reported"
    assert vessel.remaining_ug == 0
    assert vessel.spent_on is not None
    assert vessel.custodian == line.hand_over.partner


def test_all_of_it_is_as_sure_as_the_record_was_and_nothing_is_left():
    line = make_handed()
    before = newest_state(line.vessel)

    told = report(line)

    # As when all of it is taken here: what is gone is what was believed inside.
    assert told.u_ug == told.movement.u_ug == round(before.u_metal_ug)
    after = newest_state(line.vessel)
    assert (after.metal_ug, after.u_metal_ug) == (0, 0)


def test_the_rest_of_it_is_as_sure_as_the_record_after_the_first_report():
    line = make_handed()
    before = newest_state(line.vessel)
    report(line, 2 * G, u_ug=50_000, happened_at=earlier(hours=3))

    told = report(line)

    assert told.used_ug == line.mass_ug - 2 * G
    assert told.u_ug == pytest.approx(hypot(before.u_metal_ug, 50_000), abs=1)


def test_how_sure_all_of_it_is_is_not_asked():
    line = make_handed()

    with refused("How sure all of it is, the record says: leave this empty.", "u_used"):
        report(line, u_ug=50_000)


def test_nothing_was_left_at_no_moment_before_another_use():
    line = make_handed()
    wrong = report(line, G, happened_at=earlier(hours=2))

    with refused("A use was reported for a later moment.", "happened_at"):
        report(line, happened_at=earlier(hours=3))

    corrections.correct(wrong.movement, reason="another vessel", **signed())
    assert report(line, happened_at=earlier(hours=3)).used_ug == line.mass_ug


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
