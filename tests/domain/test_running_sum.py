"""The sum of a bench's rows, against what their source gave by its own readings."""

from math import hypot

import pytest

from inventory.operations import ledger, taking, tally
from tests.domain.benched import TARE, fill_row, gross, new
from tests.domain.by_hand import ARGON, RB, ROOM_UL, metal, u_reading
from tests.domain.read_off import make_reading, make_run
from tests.factories import (
    ML,
    G,
    earlier,
    make_batch,
    make_check,
    make_vessel,
    make_weighed_vessel,
    observe,
    take,
)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shipped")]


@pytest.fixture
def receiver():
    """Return a receiver with some 10 g of rubidium, weighed two days ago."""
    return make_weighed_vessel(
        make_batch("Rb"), gain_ug=10 * G, filled_at=earlier(days=2)
    )


def row(receiver, gain_ug, **ago):
    """Fill a new vessel of 5 mL from the receiver; return the movement."""
    when = earlier(**(ago or {"hours": 3}))
    told = fill_row(
        receiver.batch,
        source=receiver,
        **new(capacity_ul=5 * ML),
        tare=observe(10 * G, read_at=when, **TARE),
        put_in=gross(receiver.batch, 10 * G + gain_ug, read_at=when),
    )
    return told.movement


def tallied(receiver):
    return tally.of_vessel(ledger.read(receiver.pk))


def test_before_the_first_row_nothing_is_filled_and_nothing_is_known_to_be_gone(
    receiver,
):
    found = tallied(receiver)

    assert (found.count, found.filled_ug) == (0, 0)
    assert found.begun_ug == receiver.remaining_ug
    assert found.given_ug is None


def test_rows_add_up_and_their_uncertainties_in_quadrature(receiver):
    one, other = row(receiver, 2 * G), row(receiver, 3 * G)

    found = tallied(receiver)

    assert found.count == 2
    assert found.filled_ug == one.mass_ug + other.mass_ug
    assert found.u_filled_ug == pytest.approx(hypot(one.u_ug, other.u_ug))
    assert found.begun_ug == receiver.remaining_ug


def test_until_the_receiver_is_weighed_again_its_loss_is_not_known(receiver):
    row(receiver, 2 * G)

    assert tallied(receiver).given_ug is None


@pytest.mark.parametrize("off_ug", [0, 900, -900])
def test_what_the_receiver_lost_is_held_against_what_its_rows_got(receiver, off_ug):
    rows = [row(receiver, 2 * G), row(receiver, 3 * G)]

    make_check(receiver, -off_ug, read_at=earlier(hours=2))
    found = tallied(receiver)

    # By hand: the receiver reads `off_ug` less than what went out makes, and as much
    # argon as the metal displaced is in its place.
    assert found.missing_ug == pytest.approx(metal(off_ug, RB), abs=15)
    assert found.given_ug == pytest.approx(
        sum(each.mass_ug for each in rows) + off_ug, abs=15
    )
    # Two readings of the receiver and of each vessel, and 3 % of the argon that each
    # vessel's metal displaced. The receiver was open in between: the argon over its
    # metal, 10 g and then 5 g, is another one at each reading, known to 3 % as well.
    argon_ul = [2e6 / RB, 3e6 / RB, ROOM_UL - 10e6 / RB, ROOM_UL - 5e6 / RB]
    by_hand = hypot(*[u_reading()] * 6, *(0.03 * ARGON * ul for ul in argon_ul))
    assert found.u_missing_ug == pytest.approx(by_hand, rel=0.03)
    assert found.verdict == "quiet"


def test_rows_since_the_receiver_s_newest_reading_are_left_out_of_the_difference(
    receiver,
):
    row(receiver, 2 * G)
    make_check(receiver, read_at=earlier(hours=2))
    compared = tallied(receiver)

    row(receiver, 3 * G, hours=1)
    found = tallied(receiver)

    assert (compared.later, found.later) == (0, 1)
    assert found.count == 2
    assert found.missing_ug == compared.missing_ug


def test_metal_taken_from_the_receiver_for_something_else_is_not_missing(receiver):
    row(receiver, 2 * G)
    taken = taking.Received(G, 1_000)
    take(ledger.read(receiver.pk), taken, happened_at=earlier(minutes=150))
    make_check(receiver, read_at=earlier(hours=2))

    found = tallied(receiver)

    assert found.count == 1
    assert abs(found.missing_ug) < 2 * found.u_missing_ug
    assert found.given_ug == pytest.approx(found.filled_ug + G, abs=2_000)


def test_a_receiver_that_was_never_weighed_with_the_metal_has_no_loss_to_show():
    receiver = make_vessel(
        make_batch("Rb"), holding_ug=8 * G, filled_at=earlier(days=2)
    )
    row(receiver, 2 * G)

    found = tallied(receiver)

    assert found.begun_ug == 8 * G
    assert found.given_ug is None


def test_vessels_filled_from_the_run_itself_are_its_sum():
    batch = make_batch("Rb")
    rows = [
        fill_row(
            batch, **new(), tare=observe(20 * G, **TARE), put_in=gross(batch)
        ).movement
        for _ in range(2)
    ]

    found = tally.of_run(batch)

    assert found.count == 2
    assert found.filled_ug == sum(each.mass_ug for each in rows)
    assert found.given_ug is None


def test_what_was_filled_is_held_against_what_the_run_s_log_says_was_collected():
    batch = make_batch("Rb")
    make_reading(make_run(batch), receiver_ul=20 * ML, receiver_c=40.0)
    row = {**new(), "tare": observe(20 * G, **TARE), "put_in": gross(batch)}
    filled_ug = fill_row(batch, **row).movement.mass_ug

    found = tally.of_run(batch)

    # CRC Handbook: molten rubidium has 1.46 g/mL at its melting point, 39.3 °C.
    assert found.given_ug == pytest.approx(20 * 1.46e6, rel=0.015)
    assert found.missing_ug == pytest.approx(found.given_ug - filled_ug, abs=1)
    # Read to 0.2 mL (k = 1), and the melt's density is known to some 1 %.
    by_hand = hypot(0.2 * 1.46e6, 0.01 * 29.2e6)
    assert found.u_missing_ug == pytest.approx(by_hand, rel=0.05)
    assert found.verdict == "investigate"


def test_a_run_without_a_reading_of_its_receiver_has_nothing_to_hold_against():
    batch = make_batch("Rb")
    make_reading(make_run(batch))

    assert tally.of_run(batch).given_ug is None
