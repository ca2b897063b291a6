"""The home page: what is held, is it enough, and what needs attention."""

from datetime import timedelta

from django.db.models import Count, Exists, OuterRef, Subquery, Sum
from django.utils import timezone

from inventory.calc import density
from inventory.models import (
    Booking,
    BookingLine,
    Cause,
    Material,
    MediumRule,
    Movement,
    Vessel,
    Weighing,
)

from . import chances, story

SOON = timedelta(days=7)
FEW = 5
# A yes is a bet on a run: the chance that k = 2 leaves on one side.
SURE = 0.975


def holdings(facts):
    """Return per material held: total, promised, free and number of vessels."""
    held = Movement.objects.held()
    promised = dict(
        BookingLine.objects.open()
        .order_by()
        .values_list("vessel__batch__material")
        .annotate(Sum("mass_ug"))
    )
    count = dict(
        Vessel.objects.in_stock()
        .order_by()
        .values_list("batch__material")
        .annotate(Count("pk"))
    )
    return [
        {
            "material": material,
            "held_ug": held[material.pk],
            "promised_ug": promised.get(material.pk, 0),
            "free_ug": held[material.pk] - promised.get(material.pk, 0),
            "count": count.get(material.pk, 0),
            "amount_mol": density.amount_mol(
                held[material.pk], facts.material(material)
            ),
        }
        for material in Material.objects.all()
        if held.get(material.pk)
    ]


def enough(material, need, facts):
    """Return which vessels meet a need alone, the one that strands least first.

    A volume is taken as metal at 20 °C.
    """
    need_ug = round(density.mass_for_need(need, facts.material(material)))
    stock = (
        Vessel.objects.for_list()
        .in_stock()
        .filter(batch__material=material, free_ug__gt=0)
    )
    # The tightest fits may be too tight, so that a few more are asked.
    alone = stock.filter(free_ug__gte=need_ug).order_by("free_ug", "id")[: 4 * FEW]
    asked = [(v, *chances.for_vessel(v, need_ug)) for v in alone]
    sure = [found for found in asked if found[1] >= SURE]
    vessels = (sure + [found for found in asked if found[1] < SURE])[:FEW]
    if not vessels:
        largest = stock.order_by("-free_ug", "id")[:FEW]
        vessels = [(v, *chances.for_vessel(v, need_ug)) for v in largest]
    return {
        "material": material,
        "need_ug": need_ug,
        "free_ug": stock.aggregate(Sum("free_ug"))["free_ug__sum"] or 0,
        "verdict": "yes" if sure else "perhaps" if asked else "",
        "vessels": [(v, words, story.age(v)) for v, _, words in vessels],
    }


def attention():
    """Return what somebody should look at, as lists cut to a few and their counts."""
    today = timezone.localdate()
    stock = Vessel.objects.in_stock().select_related("batch__material", "place")
    due = (
        Booking.objects.with_open()
        .filter(is_open=True, needed_by__lte=today + SOON)
        .select_related("project")
    )
    aged = stock.filter(
        batch__material__symbol__in=story.AGEING,
        opened_on__lte=today - story.AGEING_WARN,
    )
    homeless = stock.filter(place=None)
    waiting = Vessel.objects.waiting().filter(batch__isnull=False)
    return {
        "due": cut(due),
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
