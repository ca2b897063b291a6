"""A promised aliquot, drawn into a vessel of its own: the promise goes with it."""

import pytest

from inventory.models import BookingLine
from inventory.operations import corrections, ledger
from inventory.operations.errors import NotEnough
from tests.domain.handed import hand_over, lapse, make_line, pick
from tests.domain.records import on_record, refused
from tests.domain.transferred import (
    arrival,
    into_one,
    make_source,
    make_target,
    transfer,
)
from tests.factories import G, earlier, make_booking, signed

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shipped")]


def draw(line, source, **facts):
    """Draw the 2 g that `into_one` puts into a vessel, for a line."""
    return into_one(source, line=line, **{"happened_at": earlier(days=2), **facts})


def test_the_promise_goes_with_the_metal():
    source = make_source()
    line = make_line(source, 2 * G)

    target, movement = draw(line, source)

    line.refresh_from_db()
    assert line.closed_by == movement.entry
    (drawn,) = BookingLine.objects.open()
    assert (drawn.booking, drawn.vessel) == (line.booking, target)
    assert drawn.mass_ug == target.remaining_ug
    assert drawn.is_whole
    assert drawn.picked_by is None
    assert movement.entry.project == line.booking.project
    source = ledger.read(source.pk)
    assert source.promised_ug == 0
    assert (target.promised_ug, target.free_ug) == (target.remaining_ug, 0)


def test_what_was_drawn_can_be_ticked_and_handed_over():
    source = make_source()
    target, _ = draw(make_line(source, 2 * G), source)

    made = hand_over([pick(BookingLine.objects.open().get())])

    assert made.lines.get().vessel == target


def test_metal_promised_to_others_is_not_drawn_for_a_line():
    source = make_source()
    line = make_line(source, G)
    make_booking(source, source.remaining_ug - int(1.5 * G))
    target = make_target(source.batch)
    before = on_record()

    # 1.5 g may be drawn: the line's gram and what is free.
    with pytest.raises(NotEnough, match=r"1\.5\d* g may be taken here"):
        transfer(source, [arrival(source, target)], line=line)

    assert on_record() == before


def test_without_the_line_the_promised_metal_is_not_drawn():
    source = make_source()
    make_line(source)
    target = make_target(source.batch)

    with pytest.raises(NotEnough, match="Withdraw against the booking"):
        transfer(source, [arrival(source, target)])


def test_a_promised_aliquot_goes_into_one_vessel():
    source = make_source()
    line = make_line(source)
    arrivals = [arrival(source, make_target(source.batch)) for _ in range(2)]

    with refused(
        "A promised aliquot goes into one vessel. Record the others on their own."
    ):
        transfer(source, arrivals, line=line)


def test_a_line_of_another_vessel_or_of_an_ended_booking_serves_nothing():
    source, other = make_source(), make_source()
    target = make_target(source.batch)
    elsewhere, ended = make_line(other, G), make_line(source, G)
    day = lapse(ended)

    with refused("This booking no longer promises anything here.", "line"):
        transfer(source, [arrival(source, target)], line=elsewhere)
    with refused(
        f"{ended.booking} ended on {day}. Have it extended, or take the metal "
        "without it.",
        "line",
    ):
        transfer(source, [arrival(source, target)], line=ended)


def test_a_drawing_is_undone_only_once_the_drawn_vessel_is_released():
    source = make_source()
    target, movement = draw(make_line(source, 2 * G), source)

    with pytest.raises(NotEnough, match="is promised"):
        corrections.correct(movement, reason="the wrong one", **signed())
    assert ledger.read(target.pk).remaining_ug
