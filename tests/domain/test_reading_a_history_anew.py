"""What happened earlier and is recorded later: the history is read anew."""

import pytest

from inventory.models import Estimate, Movement
from inventory.operations import checking, ledger, taking
from tests.domain.by_hand import RB, metal, u_filled
from tests.domain.records import refused
from tests.domain.taken import drawn, weighed, weighed_out
from tests.factories import (
    ROOM,
    G,
    earlier,
    expected_reading,
    make_batch,
    make_check,
    make_weighed_vessel,
    newest_state,
    observe,
    signed,
    take,
)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shipped")]

FILLED, MONDAY, FRIDAY = {"days": 9}, {"days": 6}, {"days": 2}


def filled(symbol="NaK", **facts):
    return make_weighed_vessel(
        make_batch(symbol), gain_ug=5 * G, filled_at=earlier(**FILLED), **facts
    )


def revisions(vessel):
    """Return {revision: how many snapshots it has}."""
    found = {}
    for revision in vessel.estimates.values_list("revision", flat=True):
        found[revision] = found.get(revision, 0) + 1
    return found


def test_what_happens_last_only_adds_snapshots():
    vessel = filled()
    written = list(vessel.estimates.values_list("pk", flat=True))

    take(vessel, drawn(1_000), happened_at=earlier(**FRIDAY))

    kept = list(vessel.estimates.values_list("pk", flat=True))
    assert kept[: len(written)] == written
    assert len(kept) == len(written) + 1
    assert len(revisions(vessel)) == 1


def test_a_check_dated_between_two_events_rewrites_the_history_as_a_new_revision():
    vessel = filled()
    before = Estimate.objects.filter(vessel=vessel).values()
    take(vessel, drawn(1_000), happened_at=earlier(**FRIDAY))
    (first,) = revisions(vessel)
    as_written = list(before)

    seen = observe(25 * G, gas="argon", read_at=earlier(**MONDAY), **ROOM)
    checking.check(vessel, seen, **signed())

    events = vessel.events.count()
    assert revisions(vessel) == {first: events - 1, first + 1: events}
    assert [row for row in before if row["revision"] == first] == as_written


def test_in_the_new_revision_the_events_stand_as_they_happened():
    vessel = filled()
    take(vessel, drawn(1_000), happened_at=earlier(**FRIDAY))

    seen = observe(25 * G, gas="argon", read_at=earlier(**MONDAY), **ROOM)
    checking.check(vessel, seen, **signed())

    newest = vessel.estimates.last().revision
    told = vessel.estimates.filter(revision=newest).order_by("id")
    assert [e.event.kind for e in told] == [
        "start", "unknown", "observe", "observe", "change"
    ]  # fmt: skip
    assert told[3].event.words == "Weighed again"


def test_a_history_in_any_order_of_recording_ends_the_same():
    one, other = filled(), filled()
    monday = {"happened_at": earlier(**MONDAY)}
    friday = {"happened_at": earlier(**FRIDAY)}
    takings = drawn(1_000), drawn(500)

    take(one, takings[0], **monday)
    take(one, takings[1], **friday)
    take(other, takings[1], **friday)
    take(other, takings[0], **monday)

    assert newest_state(one).root == pytest.approx(newest_state(other).root)
    assert newest_state(one).metal_ug == newest_state(other).metal_ug
    assert ledger.read(one.pk).remaining_ug == ledger.read(other.pk).remaining_ug


def test_a_check_dated_between_is_held_against_what_was_inside_then():
    vessel = filled()
    full = expected_reading(vessel, **ROOM)
    take(vessel, drawn(3_000), happened_at=earlier(**FRIDAY))

    seen = observe(full, gas="argon", read_at=earlier(**MONDAY), **ROOM)
    weighing = checking.check(vessel, seen, **signed())

    assert weighing.entry.summary.endswith("it agrees")


def test_what_a_check_dated_between_changes_is_posted_in_the_ledger():
    vessel = filled("Rb")
    take(vessel, taking.Pieces(1, 1 * G, 0), happened_at=earlier(**FRIDAY))

    seen = observe(24 * G, gas="argon", read_at=earlier(**MONDAY), **ROOM)
    checking.check(
        vessel, seen, cause="metal", reason="taken on Sunday, not noted", **signed()
    )

    found = Movement.objects.get(kind="difference")
    assert found.mass_ug == pytest.approx(metal(1e6, RB), abs=3)
    assert found.happened_at == seen.read_at
    assert ledger.read(vessel.pk).remaining_ug == pytest.approx(
        metal(4e6, RB) - 1e6, abs=3
    )


def test_a_withdrawal_dated_between_is_weighed_against_what_was_inside_then():
    vessel = filled("Rb")
    take(vessel, taking.Pieces(1, G, 0), happened_at=earlier(**FRIDAY))

    movement = take(
        vessel, weighed(25 * G, 23 * G, **ROOM), happened_at=earlier(**MONDAY)
    )

    assert movement.mass_ug == pytest.approx(metal(2e6, RB), abs=3)
    assert ledger.read(vessel.pk).remaining_ug == pytest.approx(
        metal(3e6, RB) - 1e6, abs=3
    )


def test_a_later_reading_makes_surer_what_was_left_earlier_but_not_before_it():
    vessel = filled()
    take(vessel, drawn(2_000), happened_at=earlier(**MONDAY))
    unsure = vessel.estimates.last()

    take(vessel, weighed_out(vessel, 500_000), happened_at=earlier(**FRIDAY))

    by_volume = vessel.estimates.filter(event=unsure.event).last()
    assert by_volume.var_metal == unsure.var_metal
    assert newest_state(vessel).u_metal_ug < 2 * u_filled(5e6, 866)


def test_the_vessel_keeps_the_earliest_day_it_was_opened():
    vessel = filled()
    monday, friday = earlier(**MONDAY), earlier(**FRIDAY)
    take(vessel, drawn(500), happened_at=friday)

    take(vessel, drawn(500), happened_at=monday)

    vessel.refresh_from_db()
    assert vessel.opened_on == ledger.log.local_date(monday)


@pytest.mark.parametrize(
    "how", [taking.Whole(), drawn(500), taking.Pieces(1, G, 0)], ids=repr
)
def test_a_taking_dated_before_the_filling_is_refused(how):
    vessel = filled()
    day = f"{ledger.log.local_date(earlier(**FILLED)):%-d %b %Y}"

    with refused(f"This is before {vessel} was filled, on {day}.", "read_at"):
        take(vessel, how, happened_at=earlier(days=10))


def test_a_taking_at_the_very_moment_of_the_filling_comes_after_it():
    moment = earlier(**FILLED)
    vessel = make_weighed_vessel(make_batch("NaK"), filled_at=moment)

    take(vessel, drawn(500), happened_at=moment)

    assert vessel.events.standing().in_order().first().kind == "start"


def test_more_than_is_left_now_is_refused_however_early_it_is_dated():
    vessel = filled("Rb")
    take(vessel, taking.Pieces(4, G, 0), happened_at=earlier(**FRIDAY))

    with refused(
        f"Only 1.005 g is left in {vessel}; this would take 2.000 g. If the vessel is "
        "now empty, record that the whole contents were taken."
    ):
        take(vessel, taking.Pieces(2, G, 0), happened_at=earlier(**MONDAY))


def test_a_check_that_repeats_itself_when_dated_anywhere_leaves_one_event_each():
    vessel = filled("Rb")
    for days in (3, 7, 5, 1):
        make_check(vessel, read_at=earlier(days=days))

    order = vessel.events.standing().in_order().filter(weighing__purpose="check")
    moments = [event.happened_at for event in order]
    assert moments == sorted(moments)
    assert len(moments) == 4
