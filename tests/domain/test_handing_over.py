"""Handing over: whole vessels, each to the partner it is for."""

from datetime import timedelta

import pytest
from django.utils import timezone

from inventory.models import BookingLine, LogEntry
from inventory.operations import (
    inspections,
    ledger,
    projects,
    taking,
    vessels,
)
from tests.domain.handed import (
    booked,
    hand_over,
    make_handed,
    make_line,
    make_metal,
    pick,
    stand,
)
from tests.domain.records import refused
from tests.factories import (
    G,
    earlier,
    make_batch,
    make_booking,
    make_check,
    make_partner,
    make_place,
    make_project,
    make_vessel,
    signed,
    take,
)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shipped")]


def test_a_mistyped_check_character_is_refused():
    line = make_line(make_metal())
    wrong = "B" if line.vessel.full_code[-1] == "A" else "A"

    with refused(
        f"The last character of {line.vessel.code}-{wrong} does not fit; type it "
        "again.",
        "code",
    ):
        pick(line, f"{line.vessel.code}-{wrong}")


def test_what_is_handed_over_is_in_the_partner_s_custody_with_what_it_holds():
    vessel = make_metal()
    stand(vessel)
    line = pick(make_line(vessel))

    made = hand_over([line], note="for the films")

    (handed,) = made.lines.all()
    now = ledger.read(vessel.pk)
    assert (handed.vessel, handed.booking_line) == (vessel, line)
    assert handed.mass_ug == vessel.remaining_ug
    assert handed.u_ug == round(vessel.u_ug) > 0
    assert (now.custodian, now.place) == (line.booking.partner, None)
    assert (now.remaining_ug, now.free_ug) == (vessel.remaining_ug, 0)
    line.refresh_from_db()
    assert line.closed_by == handed.entry
    assert not BookingLine.objects.open().filter(vessel=vessel).exists()
    assert now.opened_on is None


def test_the_log_has_a_line_for_the_whole_and_one_for_each_vessel():
    batch = make_batch()
    lines = [pick(line) for line in booked(make_metal(batch), make_metal(batch))]

    made = hand_over(lines)

    entries = LogEntry.objects.filter(verb="hand over")
    assert set(entries.values_list("vessel", flat=True)) == {
        None,
        *(line.vessel_id for line in lines),
    }
    assert made.entry.project == made.project
    assert "in 2 vessels over to Group A" in made.entry.summary


def test_a_booking_for_the_project_as_a_whole_may_go_to_any_of_its_partners():
    project = make_project(partner="Group A")
    line = pick(make_booking(make_metal(), project=project).lines.get())

    made = hand_over([line], partner=make_partner("Group A"), project=project)

    assert made.partner.name == "Group A"


def test_a_vessel_that_was_not_ticked_stays():
    line = make_line(make_metal())

    with refused(
        f"{line.vessel} is not ticked on the pick list. Compare its code first.",
        f"line_{line.pk}",
    ):
        hand_over([line])


def test_a_vessel_with_metal_for_others_in_it_stays():
    vessel = make_vessel(filled_at=earlier(days=2))
    line = pick(make_line(vessel, 2 * G))

    with refused(
        f"2.000 g of the 5.000 g in {vessel} is promised. Draw the aliquot into a "
        "vessel of its own first, or withdraw it.",
        f"line_{line.pk}",
    ):
        hand_over([line])


def test_a_promise_of_what_is_left_is_one_of_the_whole_vessel():
    batch = make_batch("NaK")
    vessel = make_vessel(batch, holding_ug=4 * G, filled_at=earlier(days=2))
    line = make_line(vessel, 3 * G)
    take(vessel, taking.Received(G, 1_000), happened_at=earlier(days=1, hours=3))

    made = hand_over([pick(line)])

    assert made.lines.get().mass_ug == 3 * G


def test_a_vessel_promised_to_another_partner_stays():
    line = pick(make_line(make_metal(), partner=make_partner("Group A")))
    other = make_partner("Group B")
    line.booking.project.partners.add(other)

    with refused(
        f"{line.vessel} is promised to Group A, not to Group B.", f"line_{line.pk}"
    ):
        hand_over([line], partner=other)


def test_only_a_partner_of_the_project_takes_metal_over():
    line, stranger = pick(make_line(make_metal())), make_partner("Group C")

    with refused("Group C is no partner of this project.", "partner"):
        hand_over([line], partner=stranger)


def test_a_vessel_promised_to_another_project_stays():
    line = pick(make_line(make_metal(), partner=make_partner("Group A")))
    other = make_project(partner="Group A")

    with refused(
        f"{line.vessel} is not promised to this project any more.", f"line_{line.pk}"
    ):
        hand_over([line], project=other)


def test_a_leaking_vessel_stays():
    line = pick(make_line(make_metal()))
    inspections.record(
        line.vessel, looked_on=timezone.localdate(), seal="leaks", **signed()
    )

    with refused(
        f"{line.vessel} leaks, as its last inspection says. It stays here.",
        f"line_{line.pk}",
    ):
        hand_over([line])


def test_a_hand_over_of_nothing_is_refused():
    booking = make_line(make_metal()).booking

    with refused("Choose at least one vessel."):
        hand_over([], partner=booking.partner, project=booking.project)


def test_a_moment_before_what_is_recorded_of_the_vessel_is_refused():
    vessel = make_vessel(filled_at=earlier(hours=1))
    line = pick(make_line(vessel))

    with refused(
        f"Something was recorded of {vessel} after this moment, on "
        f"{earlier(hours=1).astimezone():%-d %b %Y}.",
        "handed_at",
    ):
        hand_over([line])


def test_what_is_lent_comes_back_by_a_day_and_with_so_much():
    day = timezone.localdate() + timedelta(days=30)
    line = pick(make_line(make_metal()))

    made = hand_over([line], returns={line.pk: (day, 2 * G)})

    handed = made.lines.get()
    assert (handed.return_by, handed.expected_ug) == (day, 2 * G)


def test_a_return_before_the_hand_over_or_of_more_than_leaves_is_refused():
    line = pick(make_line(make_vessel(filled_at=earlier(days=9))))
    past = timezone.localdate() - timedelta(days=7)

    with refused("It would come back before it was handed over.", f"return_{line.pk}"):
        hand_over([line], returns={line.pk: (past, G)})
    with refused(f"Only 5.000 g leaves in {line.vessel}.", f"expected_{line.pk}"):
        hand_over([line], returns={line.pk: (timezone.localdate(), 6 * G)})


@pytest.mark.parametrize(
    "do",
    [
        lambda vessel: take(vessel),
        lambda vessel: make_check(vessel),
        lambda vessel: vessels.move(vessel, make_place(), **signed()),
        lambda vessel: make_booking(vessel),
        lambda vessel: vessels.retire(vessel, reason="broken", **signed()),
    ],
    ids=["take", "weigh", "move", "book", "retire"],
)
def test_what_is_with_a_partner_is_left_alone_here(do):
    handed = make_handed()
    partner = handed.hand_over.partner

    with pytest.raises(Exception, match=f"is with {partner}: record its return first"):
        do(ledger.read(handed.vessel_id))


def test_a_partner_with_vessels_of_a_project_stays_its_partner():
    handed = make_handed()
    project = handed.hand_over.project

    with refused(
        f"{handed.hand_over.partner} has vessels of it in this project.", "partners"
    ):
        projects.change(
            project, facts={"title": "B"}, members=[], partners=[], **signed()
        )
