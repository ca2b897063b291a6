"""How likely it is that there is enough, for one vessel or for a booking's line."""

from inventory.calc import density
from inventory.calc.chance import chance_enough, in_words
from inventory.operations import availability


def for_vessel(vessel, need_ug, *, heel_ug=0, promised_ug=None):
    """Return (chance, words) that a vessel from `for_list` gives `need_ug`.

    What is promised from it is not there for others, unless `promised_ug` says how
    much of that counts.
    """
    promised_ug = vessel.promised_ug if promised_ug is None else promised_ug
    chance = chance_enough(
        vessel.remaining_ug, vessel.u_ug, promised_ug, heel_ug, need_ug
    )
    return chance, in_words(chance)


def answer(vessel, form, facts):
    """Return what the question on a vessel's page gets: the need, the sum, the chance."""
    material = facts.material(vessel.batch.material)
    need_ug = round(density.mass_for_need(form.cleaned_data["need"], material))
    what = availability.of_vessel(
        vessel, form.cleaned_data["on"], form.cleaned_data["heel"]
    )
    return {
        "need_ug": need_ug,
        "heel_ug": form.cleaned_data["heel"],
        "what": what,
        "words": in_words(what.chance(need_ug)),
    }


def for_line(line):
    """Return the words for a booking's line: is what it promises really there?"""
    vessel = line.vessel
    others_ug = vessel.promised_ug - line.mass_ug
    return for_vessel(vessel, line.mass_ug, promised_ug=others_ug)[1]
