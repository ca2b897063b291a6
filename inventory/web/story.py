"""What a vessel's page tells besides its numbers: how they were found, what to mind."""

from datetime import timedelta

from django.db.models import Q
from django.utils import timezone
from django.utils.text import capfirst

from inventory.calc import density
from inventory.models import MediumRule, Movement
from inventory.operations import readings

from .contents import liquid_volume_ul, metal_volume_ul

# Potassium, its alloy and the heavier alkali metals grow a superoxide crust once
# opened. The ages are those that university safety pages give for peroxide formers
# (three months from opening); a laboratory's own rule goes before them.
AGEING = {"K", "NaK", "Rb", "Cs"}
AGEING_WARN = timedelta(days=60)
AGEING_STOP = timedelta(days=90)


def of_vessel(vessel, facts):
    """Return what the page of a vessel from `for_list` shows besides the vessel."""
    movements = list(
        Movement.objects.filter(Q(to_vessel=vessel) | Q(from_vessel=vessel))
        .select_related(
            "entry__by",
            "project",
            "booking_line__booking",
            "corrected_by",
            "corrects",
            "light__balance",
            "light__gas",
            "heavy__balance",
            "heavy__gas",
        )
        .order_by("id")
    )
    lines = vessel.booking_lines.filter(closed_by=None)
    return {
        "movements": movements,
        "found": [
            how_found(vessel, movement, facts)
            for movement in movements
            if movement.heavy_id and not hasattr(movement, "corrected_by")
        ],
        "cautions": cautions(vessel, facts),
        "lines": lines.select_related("booking__project"),
        "weighings": vessel.weighings.select_related("balance", "gas"),
        "entries": vessel.entries.select_related("by")[:50],
        "metal_ul": metal_volume_ul(vessel, facts),
        "liquid_ul": liquid_volume_ul(vessel, facts),
        "amount_mol": amount(vessel, facts),
        "u_ug": vessel.u2_ug2**0.5,
    }


def amount(vessel, facts):
    if not vessel.batch_id or not vessel.remaining_ug:
        return None
    return density.amount_mol(
        vessel.remaining_ug, facts.material(vessel.batch.material)
    )


def how_found(vessel, movement, facts):
    """Return a weighed movement with the sum that its readings give today.

    `differs` says that the catalogue's numbers have changed since, so that the sum
    is no longer the recorded one.
    """
    net = readings.net(
        movement.light,
        movement.heavy,
        vessel=vessel,
        material=vessel.batch.material,
        medium=vessel.medium,
        facts=facts,
    )
    return {
        "movement": movement,
        "net": net,
        "differs": abs(net.mass.n - movement.mass_ug) > max(movement.u_ug / 10, 1),
    }


def cautions(vessel, facts):
    """Return (tone, sentence) for what to mind before touching this vessel."""
    if not vessel.filled_on or vessel.remaining_ug == 0:
        return []
    found = []
    rules = MediumRule.objects.filter(
        material=vessel.batch.material, medium__in={vessel.medium_id, vessel.gas_id}
    )
    for rule in rules.exclude(verdict="fine"):
        tone = "stop" if rule.verdict == "never" else "warn"
        found.append((tone, f"{rule.reason} ({rule.source})"))
    if ageing := age(vessel):
        found.append(ageing)
    room = readings.headspace(
        vessel,
        vessel.remaining_ug,
        material=vessel.batch.material,
        medium=vessel.medium,
        liquid_ug=vessel.liquid_ug,
        place=vessel.place,
        facts=facts,
    )
    if room.verdict != "fine":
        found.append(("stop" if room.verdict == "refuse" else "warn", room.sentence))
    return found


def age(vessel):
    """Return (tone, sentence) once an opened vessel of ageing metal is old."""
    if vessel.batch.material.symbol not in AGEING or vessel.opened_on is None:
        return None
    days = timezone.localdate() - vessel.opened_on
    if days < AGEING_WARN:
        return None
    tone = "stop" if days >= AGEING_STOP else "warn"
    return tone, (
        f"Opened {days.days} days ago. {capfirst(vessel.batch.material.name)} grows "
        "a crust that can explode when cut or scratched: look before you touch, and "
        "leave a thick, white, yellow or orange crust alone. Ask your safety office."
    )
