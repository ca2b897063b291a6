"""A promise ends with its day: said before, recorded after, extended by the keeper."""

import pytest
from django.core import mail
from django.core.management import call_command

from inventory.models import LogEntry, Vessel
from inventory.operations import bookings, expiring, ledger, projects, taking
from inventory.operations.errors import OperationError
from tests.domain.cared import days_ago, in_days
from tests.domain.records import on_record, refused
from tests.factories import (
    G,
    make_batch,
    make_booking,
    make_check,
    make_partner,
    make_project,
    make_vessel,
    signed,
    take,
)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shipped")]


def booked(vessel, mass_ug=None, **facts):
    """Return a booking needed by today that holds for three more days."""
    facts = {"needed_by": in_days(0), "expires_on": in_days(3), **facts}
    return make_booking(vessel, mass_ug, **facts)


def ended(*masses_ug, **facts):
    """Return a booking that ended two days ago, and its vessels; it is not recorded.

    None promises all of a vessel.
    """
    with days_ago(5):
        held = [make_vessel(**facts) for _ in masses_ug]
        booking = bookings.book(
            make_project(),
            wishes=list(zip(held, masses_ug, strict=True)),
            purpose="x",
            needed_by=in_days(0),
            expires_on=in_days(3),
            **signed(),
        )
    return booking, *held


def free(vessel):
    return ledger.read(vessel.pk).free_ug


def extend(booking, days, **facts):
    return expiring.extend(booking, expires_on=in_days(days), **signed(**facts))


@pytest.mark.parametrize(("days", "free_ug"), [(3, 3 * G), (4, 5 * G)])
def test_a_promise_holds_on_its_last_day_and_not_on_the_next(days, free_ug):
    with days_ago(days):
        vessel = make_vessel(holding_ug=5 * G)
        booked(vessel, 2 * G)

    assert free(vessel) == free_ug


def test_what_has_ended_is_recorded_once_with_its_booking_and_its_metal():
    booking, vessel = ended(2 * G)
    (line,) = expiring.expire_due()
    once = on_record()

    assert expiring.expire_due() == []
    assert on_record() == once
    assert line == booking.lines.get()
    assert line.closed_by.verb == "expire"
    assert "2.000 g" in line.closed_by.summary
    assert line.closed_by.by is None
    assert line.closed_by.vessel == vessel


def test_what_has_not_ended_is_left_alone():
    line = booked(make_vessel()).lines.get()

    assert expiring.expire_due() == []
    day = f"{in_days(3):%-d %b %Y}"
    with refused(f"{line.booking} holds until {day}."):
        expiring.expire(line, **signed())


def test_served_and_released_promises_do_not_end_again():
    with days_ago(5):
        served, released = make_vessel(), make_vessel()
        take(served, line=booked(served).lines.get())
        bookings.release(booked(released).lines.get(), reason="x", **signed())

    assert expiring.expire_due() == []


def test_a_booking_is_extended_before_it_ends():
    vessel = make_vessel()
    booking = booked(vessel, 2 * G)
    line = booking.lines.get()

    extended = extend(booking, 30)

    assert extended.expires_on == in_days(30)
    assert extended.lines.get() == line
    assert free(vessel) == 3 * G
    assert LogEntry.objects.get(verb="extend").subject_id == booking.pk


def test_an_ended_booking_that_nobody_recorded_holds_on_as_it_was():
    booking, vessel = ended(2 * G)
    line = booking.lines.get()

    extended = extend(booking, 30)

    assert free(vessel) == 3 * G
    assert extended.lines.get() == line


def test_an_ended_booking_that_was_recorded_promises_the_same_anew():
    booking, part, whole = ended(2 * G, None)
    expiring.expire_due()

    extend(booking, 30)

    assert (free(part), free(whole)) == (3 * G, 0)
    assert booking.lines.count() == 4
    open_lines = booking.lines.filter(closed_by=None)
    assert {line.vessel: line.is_whole for line in open_lines} == {
        part: False,
        whole: True,
    }


def test_a_booking_ends_and_is_extended_again_without_doubling():
    with days_ago(9):
        vessel = make_vessel()
        booking = booked(vessel, 2 * G)
    with days_ago(5):
        expiring.expire_due()
        extend(booking, 2)
    assert len(expiring.expire_due()) == 1

    extend(booking, 30)

    assert free(vessel) == 3 * G
    assert booking.lines.count() == 3


@pytest.mark.parametrize("recorded", [True, False])
def test_a_whole_vessel_that_was_weighed_since_is_promised_with_what_it_holds(recorded):
    booking, vessel = ended(None, u_ug=50_000)
    if recorded:
        expiring.expire_due()
    make_check(vessel, -40_000)
    held_ug = ledger.read(vessel.pk).remaining_ug
    assert held_ug < 5 * G

    extend(booking, 30)

    assert free(vessel) == 0
    assert booking.lines.get(closed_by=None).mass_ug == held_ug


def test_metal_that_was_promised_to_others_meanwhile_is_named_and_nothing_is_extended():
    booking, _, gone = ended(2 * G, 3 * G)
    make_booking(gone, 4 * G)

    with refused(
        f"{booking} ended on {booking.expires_on:%-d %b %Y}, and its metal was not "
        f"kept: {gone} has 1.000 g free: 5.000 g is left, 4.000 g of it promised. "
        "3.000 g was promised. Book anew from what is free."
    ):
        extend(booking, 30)


def test_metal_that_was_used_meanwhile_is_named():
    booking, vessel = ended(None)
    take(vessel)

    with refused(
        f"{booking} ended on {booking.expires_on:%-d %b %Y}, and its metal was not "
        f"kept: {vessel} is spent: nothing can be booked. "
        "Book anew from what is free."
    ):
        extend(booking, 30)


def test_a_whole_vessel_that_was_drawn_from_meanwhile_is_no_longer_whole():
    with days_ago(5):
        vessel = make_vessel(make_batch("NaK"))
        booking = booked(vessel)
    take(vessel, taking.Drawn(1_000, 10, 22.0))

    with pytest.raises(OperationError, match=r"5\.000 g was promised"):
        extend(booking, 30)


def test_a_vessel_in_a_partner_s_hands_is_not_promised_again():
    booking, vessel = ended(None)
    partner = make_partner("Films group")
    Vessel.objects.filter(pk=vessel.pk).update(custodian=partner)

    with refused(
        f"{booking} ended on {booking.expires_on:%-d %b %Y}, and its metal was not "
        f"kept: {vessel} is with Films group: record its return first. "
        "Book anew from what is free."
    ):
        extend(booking, 30)


def test_a_booking_that_was_served_or_released_has_nothing_to_extend():
    vessel = make_vessel()
    booking = booked(vessel)
    take(vessel, line=booking.lines.get())

    with refused("Nothing of this booking is promised any more."):
        extend(booking, 30)


@pytest.mark.parametrize("days", [0, 2, 3])
def test_a_day_that_is_no_later_is_refused_at_its_field(days):
    booking = booked(make_vessel())
    day = f"{in_days(3):%-d %b %Y}"

    with refused(f"It holds until {day} already: choose a later day.", "expires_on"):
        extend(booking, days)


def test_a_day_that_has_passed_is_refused_at_its_field():
    booking = booked(make_vessel())

    with refused("This date has passed.", "expires_on"):
        extend(booking, -1)


def test_a_booking_of_a_closed_project_is_not_extended():
    booking, _ = ended(None)
    projects.close(booking.project, **signed())

    with refused("This project is closed."):
        extend(booking, 30)


def test_of_each_booking_that_ends_within_a_week_is_reminded_once(
    django_capture_on_commit_callbacks,
):
    partner = make_partner()
    partner.email = "films@example.org"
    partner.save()
    project = make_project(partner=partner.name)
    soon = booked(make_vessel(), project=project, partner=partner)
    booked(make_vessel(), expires_on=in_days(8), project=project, partner=partner)
    mail.outbox.clear()

    with django_capture_on_commit_callbacks(execute=True):
        first, second = expiring.remind(), expiring.remind()

    assert (first, second) == ([soon], [])
    (letter,) = mail.outbox
    assert letter.to == ["films@example.org"]
    assert str(soon) in letter.subject


def test_an_extended_booking_is_reminded_of_again_for_its_new_day():
    with days_ago(14):
        booking = booked(make_vessel())
        assert expiring.remind() == [booking]
        extend(booking, 20)
        assert expiring.remind() == []

    assert expiring.remind() == [booking]


def test_the_daily_command_ends_reminds_and_says_so_and_does_nothing_the_second_time(
    capsys,
):
    over, _ = ended(None)
    soon = booked(make_vessel())
    call_command("daily")
    first = capsys.readouterr().out
    once = on_record()

    call_command("daily")

    assert first == (
        f"Promises that ended: 1 ({over}).\nBookings reminded of: 1 ({soon}).\n"
    )
    assert (
        capsys.readouterr().out == "Promises that ended: 0.\nBookings reminded of: 0.\n"
    )
    assert on_record() == once
