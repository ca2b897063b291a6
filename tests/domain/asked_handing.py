"""Picking, handing over and taking back, asked once each: see tests.domain.asked."""

from inventory.operations import handing, picking, returning
from tests.domain.handed import (
    empty,
    make_handed,
    make_line,
    make_metal,
    pick,
    weighed_back,
)
from tests.factories import G, earlier, make_place


def ask_pick():
    line = make_line(make_metal())
    return picking.pick, [line], {"code": line.vessel.code}


def ask_unpick():
    return picking.unpick, [pick(make_line(make_metal()))], {}


def ask_hand_over():
    line = pick(make_line(make_metal()))
    given = [line.booking.project, line.booking.partner, [line]]
    return handing.hand_over, given, {"handed_at": earlier(days=1)}


def ask_report():
    facts = {"used_ug": G, "happened_at": earlier(hours=2)}
    return returning.report, [make_handed()], facts


def ask_bring_back_empty():
    return returning.take_back, [make_handed(), empty()], {"place": make_place()}


def ask_bring_back_weighed():
    line = make_handed()
    given = [line, weighed_back(line, G)]
    return returning.take_back, given, {"place": make_place()}
