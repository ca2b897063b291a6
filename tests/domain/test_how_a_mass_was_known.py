"""How a mass was known when its vessel was handed over: weighed only if it was."""

import pytest

from inventory.operations import checking, known, ledger, taking
from tests.domain.handed import (
    make_handed,
    make_metal,
    report,
    take_back,
    untared,
    weighed_back,
)
from tests.domain.reported import stated
from tests.domain.transferred import into_one, make_source
from tests.factories import (
    ROOM,
    G,
    earlier,
    expected_reading,
    observe,
    signed,
    take,
)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shipped")]


def day(**ago):
    return f"{earlier(**ago):%-d %b %Y}"


def told(vessel, **facts):
    """Return what is said of a vessel that is handed over now, and its source."""
    line = make_handed(ledger.read(vessel.pk), handed_at=earlier(minutes=1), **facts)
    found = known.when_handed([line])[line.pk]
    return found["found"], found["source"]


def weigh(vessel, *, off_ug=0, read_at, **decided):
    seen = observe(
        expected_reading(vessel, **ROOM) + off_ug,
        gas=vessel.gas.key,
        read_at=read_at,
        **ROOM,
    )
    return checking.check(vessel, seen, **decided, **signed())


def test_what_was_weighed_when_it_was_filled_is_said_so():
    assert told(make_metal()) == (
        f"weighed when filled, {day(days=2)}",
        "measured",
    )


def test_what_was_weighed_since_is_said_so():
    vessel = make_metal()
    weigh(vessel, read_at=earlier(hours=30))

    assert told(vessel) == (f"weighed on {day(hours=30)}", "measured")


def test_what_was_stated_is_not_said_to_be_weighed():
    assert told(stated()) == (
        f"as stated when filled, {day(days=2)}",
        "stated, not measured",
    )


def test_a_withdrawal_since_the_weighing_leaves_a_difference_not_weighed_again():
    vessel = make_metal()
    take(vessel, taking.Received(G, 1_000), happened_at=earlier(hours=30))

    assert told(vessel) == (
        f"by difference after a withdrawal on {day(hours=30)}, not weighed again",
        "measured",
    )


def test_a_transfer_since_the_weighing_leaves_a_difference_not_weighed_again():
    source = make_source()
    into_one(source, happened_at=earlier(hours=30))

    assert told(source)[0] == (
        f"by difference after a transfer on {day(hours=30)}, not weighed again"
    )


def test_what_was_weighed_after_a_withdrawal_was_weighed():
    vessel = make_metal()
    take(vessel, taking.Received(G, 1_000), happened_at=earlier(hours=30))
    weigh(ledger.read(vessel.pk), read_at=earlier(hours=29))

    assert told(vessel) == (f"weighed on {day(hours=29)}", "measured")


def test_a_difference_from_what_was_stated_is_no_measurement():
    vessel = stated()
    take(vessel, taking.Received(G, 1_000), happened_at=earlier(hours=30))

    assert told(vessel) == (
        f"by difference after a withdrawal on {day(hours=30)}, not weighed again",
        "stated, not measured",
    )


def test_a_reading_that_showed_another_tare_did_not_weigh_the_metal():
    vessel = make_metal()
    reading = {"off_ug": G, "read_at": earlier(hours=30)}
    weigh(vessel, **reading, cause="tare", reason="another cap")

    assert told(vessel)[0] == f"weighed when filled, {day(days=2)}"


def test_the_first_reading_of_glass_never_weighed_tells_not_of_the_metal():
    vessel = untared()
    weigh(vessel, read_at=earlier(hours=30))

    assert told(vessel) == (
        f"as stated when filled, {day(days=2)}",
        "stated, not measured",
    )


def test_what_came_back_weighed_and_goes_out_again_was_weighed():
    line = make_handed()
    report(line, 2 * G)
    back = take_back(line, weighed_back(line, 0))

    assert told(line.vessel) == (
        f"weighed on {back.happened_at:%-d %b %Y}",
        "measured",
    )


def test_a_use_reported_and_never_weighed_stays_only_reported():
    line = make_handed(untared())
    report(line, 2 * G)
    take_back(line, weighed_back(line))

    assert told(line.vessel) == (
        f"by difference after a reported use on {day(hours=2)}",
        "reported, not measured",
    )


def test_what_happened_after_the_hand_over_says_nothing_of_it():
    line = make_handed()
    report(line, 2 * G)

    found = known.when_handed([line])[line.pk]["found"]

    assert found == f"weighed when filled, {day(days=2)}"
