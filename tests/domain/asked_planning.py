"""Reserving a plan, asked once each, as in `asked`."""

from inventory.operations import reserving
from tests.domain.planned import chosen
from tests.factories import G, make_batch, make_request, make_vessel


def ask_reserve():
    make_vessel(make_batch(), holding_ug=9 * G)
    takes, seen = chosen(make_request())
    return reserving.reserve, [takes], {"seen": seen}
