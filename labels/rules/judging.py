"""The verdict: every element of a label, and whether it has to be there."""

from datetime import date

from . import clp, osha, workplace
from .verdict import Situation, Verdict

CAPACITY = "It goes by the capacity of the vessel, not by how full it is."


def judge(situation: Situation, on_day: date) -> Verdict:
    """Return what the label of this situation must, should and may carry on a day."""
    rules = {"osha": osha, "workplace": workplace}.get(situation.mode, clp)
    found = tuple(rules.elements(situation, on_day))
    return Verdict(found, (CAPACITY, *rules.notes(situation)))
