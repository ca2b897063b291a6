"""What a vessel's page tells besides its numbers: how they were found, what to mind."""

from datetime import timedelta

from django.db.models import Q
from django.utils import timezone
from django.utils.text import capfirst

from inventory.calc import density
from inventory.models import Cause, MediumRule, Movement, Seal
from inventory.operations import readings

from . import fate, handed, past
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
            "heavy__vessel",
            "receiver_balance",
        )
        .order_by("id")
    )
    lines = vessel.booking_lines.open()
    snapshots = past.of_vessel(vessel)
    return {
        "movements": movements,
        "found": [
            how_found(vessel, movement, facts)
            for movement in movements
            if movement.kind != "correction" and not hasattr(movement, "corrected_by")
        ],
        "cautions": cautions(vessel, facts),
        "fate": fate.of_vessel(vessel),
        "out": handed.still_out(vessel),
        "lines": lines.select_related("booking__project"),
        "inspections": vessel.inspections.select_related("entry__by"),
        "weighings": vessel.weighings.filter(strikes=None).select_related(
            "balance", "gas", "entry", "struck_by"
        ),
        "estimates": past.rows(snapshots),
        "points": past.points(snapshots),
        "entries": vessel.entries.select_related("by")[:50],
        "metal_ul": metal_volume_ul(vessel, facts),
        "liquid_ul": liquid_volume_ul(vessel, facts),
        "amount_mol": amount(vessel, facts),
    }


def amount(vessel, facts):
    if not vessel.batch_id or not vessel.remaining_ug:
        return None
    return density.amount_mol(
        vessel.remaining_ug, facts.material(vessel.batch.material)
    )


def how_found(vessel, movement, facts):
    """Return a movement with the sum behind its mass, as the catalogue gives it today.

    `differs` says that the sum is no longer the recorded one: the catalogue's
    numbers changed, or the vessel's earlier readings pull at it.
    """
    found = {"movement": movement, "net": None, "differs": False, "density": None}
    material = facts.material(vessel.batch.material)
    if movement.heavy_id and movement.light_id:
        net = readings.net(
            movement.light,
            movement.heavy,
            vessel=movement.heavy.vessel,
            material=vessel.batch.material,
            medium=vessel.medium,
            facts=facts,
        )
        off = abs(net.mass.n - movement.mass_ug)
        found |= {"net": net, "differs": off > max(movement.u_ug / 10, 1)}
    elif movement.volume_ul:
        found["density"] = density.density_at(material, movement.temperature_c)
    return found


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
    found += by_last_look(vessel)
    if last_check_unexplained(vessel):
        found.append(
            (
                "stop",
                "The last check weighing did not fit, and nobody knows why. Weigh it "
                "again, and find out before the metal is used.",
            )
        )
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


def by_last_look(vessel):
    """Return (tone, sentence) when the newest inspection doubts the seal, as a list."""
    last = vessel.inspections.first()
    if last is None or last.seal == Seal.TIGHT:
        return []
    day = f"{last.looked_on:%-d %b %Y}"
    if last.seal == Seal.LEAKS:
        return [
            (
                "stop",
                f"At the last look, on {day}, its seal leaked. Air and moisture may "
                "have reached the metal. Do not open or heat it: ask your safety office.",
            )
        ]
    return [("warn", f"At the last look, on {day}, its seal was doubtful.")]


def last_check_unexplained(vessel):
    """Return whether the newest check that stands was taken in without a reason."""
    checks = vessel.weighings.filter(purpose="check", strikes=None, struck_by=None)
    return checks.order_by("-id").values_list("cause").first() == (Cause.UNKNOWN,)


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
