"""The home page: what is held, is it enough, and what needs attention."""

from datetime import timedelta

from django.db.models import Exists, OuterRef, Subquery
from django.utils import timezone

from inventory.calc import density
from inventory.calc.chance import chance_enough, in_words
from inventory.models import (
    Booking,
    Cause,
    Material,
    MediumRule,
    Vessel,
    Weighing,
)
from inventory.operations import availability, expiring, inspections, on_hand

from . import asked, chances, story

SOON = timedelta(days=7)
FEW = 5
# A yes is a bet on a run: the chance that k = 2 leaves on one side.
SURE = 0.975


def holdings(facts):
    """Return per material held: total, promised, with partners, free, and in how many."""
    found = on_hand.of_all()
    return [
        {
            "material": material,
            "held_ug": sums.held_ug,
            "promised_ug": sums.promised_ug,
            "lent_ug": sums.lent_ug,
            "free_ug": sums.free_ug,
            "count": sums.count,
            "amount_mol": density.amount_mol(sums.held_ug, facts.material(material)),
        }
        for material in Material.objects.all()
        if (sums := found.get(material.pk)) and sums.held_ug
    ]


def enough(material, need, facts, on=None):
    """Return what there is of a metal on a day, and which vessels meet a need alone.

    The one that strands least comes first. A volume is taken as metal at 20 °C.
    """
    need_ug = round(density.mass_for_need(need, facts.material(material)))
    held = on_hand.of_each(material)
    what = availability.of_material(material, on, held)
    sound = [each for each in held if not each.leaks and each.drawable_ug > 0]
    largest = sorted(sound, key=lambda each: (-each.drawable_ug, each.key))
    tightest = sorted(sound, key=lambda each: (each.drawable_ug, each.key))
    # The tightest fits may be too tight, so that a few more are asked.
    tightest = [each for each in tightest if each.drawable_ug >= need_ug]
    alone = here(tightest[: 4 * FEW], need_ug)
    lent = [back(part, need_ug) for part in what.parts if part.comes_back]
    alone += [found for found in lent if found["free_ug"] >= need_ug]
    sure = [found for found in alone if found["chance"] >= SURE]
    vessels = (sure + [found for found in alone if found["chance"] < SURE])[:FEW]
    if not vessels:
        vessels = here(largest[:FEW], need_ug)
    return {
        "material": material,
        "need_ug": need_ug,
        "what": what,
        "words": in_words(what.chance(need_ug)),
        "verdict": verdict(alone, sure, what, need_ug),
        "vessels": vessels,
    }


def verdict(alone, sure, what, need_ug):
    """Return yes, perhaps, several (vessels), claimed (by others), or no."""
    if what.free_ug < need_ug:
        return "claimed" if alone else "no"
    if sure and what.chance(need_ug) >= SURE:
        return "yes"
    return "perhaps" if alone else "several"


def here(held, need_ug):
    """Return what vessels in the house give: every promise counts on any day."""
    vessels = Vessel.objects.for_list().in_bulk([each.key for each in held])
    found = []
    for each in held:
        vessel = vessels[each.key]
        chance, words = chances.for_vessel(vessel, need_ug, heel_ug=vessel.heel_ug)
        found.append(found_in(vessel, each.drawable_ug, chance, words))
    return found


def back(part, need_ug):
    """Return what one vessel gives that a partner is to bring back by then."""
    vessel = part.about
    chance = chance_enough(part.mass_ug, part.u_ug, 0, vessel.heel_ug, need_ug)
    free_ug = max(0, part.mass_ug - vessel.heel_ug)
    return found_in(vessel, free_ug, chance, in_words(chance), back=True)


def found_in(vessel, free_ug, chance, words, *, back=False):
    return {
        "vessel": vessel,
        "free_ug": free_ug,
        "chance": chance,
        "words": words,
        "ageing": story.age(vessel),
        "back": back,
    }


def attention():
    """Return what somebody should look at, as lists cut to a few and their counts."""
    today = timezone.localdate()
    stock = Vessel.objects.in_stock().select_related("batch__material", "place")
    due = (
        Booking.objects.with_open()
        .with_metals()
        .filter(is_open=True, needed_by__lte=today + SOON)
        .select_related("project")
    )
    aged = stock.filter(
        batch__material__symbol__in=story.AGEING,
        opened_on__lte=today - story.AGEING_WARN,
    )
    homeless = stock.filter(place=None, custodian=None)
    waiting = Vessel.objects.waiting().filter(batch__isnull=False)
    return {
        "asked": cut(asked.requests().waiting()),
        "due": cut(due),
        "ending": cut(expiring.ending(today, today + SOON)),
        "looks": cut(inspections.due(today + SOON)),
        "seals": cut(inspections.doubted()),
        "aged": cut(aged),
        "homeless": cut(homeless),
        "waiting": cut(waiting.filter(is_tared=True)),
        "untared": cut(waiting.filter(is_tared=False)),
        "unfit": cut(unfit(stock)),
        "doubted": cut(doubted(stock)),
    }


def doubted(stock):
    """Return the vessels whose last check did not fit, and nobody knows why."""
    newest = (
        Weighing.objects.filter(vessel=OuterRef("pk"), purpose="check")
        .filter(strikes=None, struck_by=None)
        .order_by("-id")
    )
    return stock.annotate(last_cause=Subquery(newest.values("cause")[:1])).filter(
        last_cause=Cause.UNKNOWN
    )


def unfit(stock):
    """Return the vessels whose medium the catalogue advises against."""
    advised_against = MediumRule.objects.filter(
        verdict__in=["avoid", "never"],
        material=OuterRef("batch__material"),
        medium=OuterRef("medium"),
    )
    return stock.filter(Exists(advised_against))


def cut(queryset):
    """Return the first few, and whether there are more."""
    few = list(queryset[: FEW + 1])
    return {"few": few[:FEW], "more": len(few) > FEW}
