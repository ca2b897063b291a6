"""The pick list: the right vessel is ticked, and no other."""

import pytest

from inventory.models import BookingLine
from inventory.operations import (
    bookings,
    ledger,
    picking,
)
from tests.domain.cared import make_inspection
from tests.domain.handed import (
    booked,
    hand_over,
    lapse,
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
    make_check,
    make_vessel,
    signed,
)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shipped")]


def test_the_right_code_ticks_its_line():
    line = make_line(make_metal())

    picked = pick(line)

    assert picked == line
    assert picked.picked_by.verb == "pick"
    assert picked.picked_by.vessel == line.vessel


@pytest.mark.parametrize(
    "written",
    [
        "{code}",
        "{full_code}",
        " {code} ",
        "HTTPS://METALS.EXAMPLE.ORG/B/{batch}/{number:02d}",
        "https://metals.example.org/B/{batch}/{number}?x=1",
    ],
)
def test_a_code_is_read_as_typed_as_checked_and_as_scanned(written):
    line = make_line(make_metal())
    vessel = line.vessel
    code = written.format(
        code=vessel.code.lower(),
        full_code=vessel.full_code,
        batch=vessel.batch.code,
        number=vessel.number,
    )

    assert pick(line, code).picked_by_id


def test_a_wrong_vessel_is_refused_with_what_was_expected_and_where():
    batch = make_batch()
    wrong, right = make_metal(batch), make_metal(batch)
    stand(right)
    line = make_line(right)

    with refused(f"This is {wrong}. {right} was expected (Cabinet, shelf 2).", "code"):
        pick(line, wrong.code)


def test_another_vessel_of_the_same_booking_is_ticked_in_its_stead():
    batch = make_batch()
    first, second = booked(make_metal(batch), make_metal(batch))

    picked = pick(first, second.vessel.code)

    assert picked == second
    assert BookingLine.objects.get(pk=first.pk).picked_by is None


@pytest.mark.parametrize(
    ("code", "sentence"),
    [
        ("RB26", "“RB26” is not a code; one looks like RB26A-07."),
        ("RB99Z-01", "There is no vessel RB99Z-01 here."),
        ("RB99Z", "RB99Z is a batch. Scan or type the code of the vessel."),
        ("", "Type a code, as in RB26A-07."),
    ],
)
def test_what_is_no_vessel_s_code_is_refused(code, sentence):
    line = make_line(make_metal())

    with refused(sentence, "code"):
        picking.pick(line, code=code, **signed())


def test_a_vessel_is_ticked_once_and_can_be_put_back():
    line = pick(make_line(make_metal()))
    with refused(f"{line.vessel} is ticked already.", "code"):
        pick(line)

    put_back = picking.unpick(line, **signed())

    assert put_back.picked_by is None
    with refused(f"{line.vessel} is not ticked."):
        picking.unpick(line, **signed())
    assert pick(line).picked_by_id


def test_a_released_promise_is_not_picked():
    line = make_line(make_metal())
    bookings.release(line, reason="not needed", **signed())

    with refused(f"This booking no longer promises {line.vessel}.", "code"):
        pick(line)


def test_an_expired_promise_is_neither_picked_nor_handed_over():
    line = make_line(make_metal())
    picked = pick(make_line(make_metal()))
    for each in (line, picked):
        ended = lapse(each)

    with refused(f"{line.booking} ended on {ended}. Have it extended first.", "code"):
        pick(line)
    with refused(
        f"{picked.booking} ended on {ended}. Have it extended first.",
        f"line_{picked.pk}",
    ):
        hand_over([picked])


def test_a_tick_stays_when_a_reading_makes_the_promise_follow():
    line = pick(make_line(make_vessel(u_ug=200_000, filled_at=earlier(days=2))))
    now = ledger.read(line.vessel_id)
    make_check(now, 0)  # Decides the tare: nothing changes.
    make_check(now, -G // 10, cause="metal", reason="a lump fell out")

    (follows,) = BookingLine.objects.open().filter(vessel=line.vessel)

    assert follows != line
    assert follows.mass_ug == ledger.read(line.vessel_id).remaining_ug
    assert follows.picked_by == line.picked_by


def test_a_vessel_that_leaks_by_its_last_look_is_not_ticked():
    line = make_line(make_metal())
    look = make_inspection(line.vessel, seal="leaks")

    with refused(
        f"{line.vessel} leaks: so it was seen on {look.looked_on:%-d %b %Y}. Leave it "
        "where it stands, and tell the keeper.",
        "code",
    ):
        pick(line)


@pytest.mark.parametrize("seal", ["tight", "doubtful"])
def test_a_vessel_that_does_not_leak_any_more_is_ticked(seal):
    line = make_line(make_metal())
    make_inspection(line.vessel, seal="leaks")
    make_inspection(line.vessel, seal=seal)

    assert pick(line).picked_by
