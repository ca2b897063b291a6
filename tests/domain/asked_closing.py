"""Closing and reopening a batch, asked once each: see tests.domain.asked."""

from inventory.operations import finishing
from tests.domain.closed import MG, close, make_filled, weighed_as
from tests.factories import G


def ask_close_batch():
    said = weighed_as(6 * G, MG, lost_ug=MG, lost_where="the still")
    return finishing.close, [make_filled(5 * G), said], {}


def ask_reopen_batch():
    batch = make_filled(5 * G)
    close(batch, weighed_as(6 * G))
    return finishing.reopen, [batch], {"reason": "an ampoule was forgotten"}
