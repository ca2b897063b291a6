"""The least that is valid, made by the operations that the pages use."""

from dataclasses import replace
from uuid import uuid4

from django.utils import timezone

from inventory.calc import estimate
from inventory.models import (
    Balance,
    LabelPrint,
    LabelSheet,
    Laboratory,
    Material,
    Medium,
    Place,
)
from inventory.operations import (
    batches,
    checking,
    estimating,
    filling,
    hazards,
    ledger,
    observing,
    readings,
    register,
    taking,
    vessels,
)
from tests.sharing import (
    make_booking,
    make_partner,
    make_project,
    make_request,
    make_share,
)
from tests.signing import ML, ROOM, G, earlier, signed, somebody

__all__ = [
    "make_booking",
    "make_partner",
    "make_project",
    "make_request",
    "make_share",
    "somebody",
]


def make_balance(**facts):
    facts = {
        "name": f"Balance {uuid4().hex[:6]}",
        "readability_ug": 100,
        "repeatability_ug": 200,
        "nonlinearity_ug": 0,
        "capacity_ug": 2_000 * G,
        **facts,
    }
    return register.add(Balance, facts, **signed())


def make_place(**facts):
    facts = {"name": f"Place {uuid4().hex[:6]}", "kind": "shelf", **facts}
    return register.add(Place, facts, **signed())


def make_laboratory():
    facts = {"name": "Test Laboratory", "address": "Street 1, Town", "phone": "+00 1"}
    return register.add(Laboratory, facts, **signed())


def medium(key):
    return Medium.objects.get(key=key)


def make_batch(symbol="Rb", *, parents=(), **facts):
    facts = {"kind": "made", "made_on": timezone.localdate(), **facts}
    if facts["kind"] in ("made", "repurified"):
        facts.setdefault("process", "reduction")
    return batches.record(
        material=Material.objects.get(symbol=symbol),
        facts=facts,
        parents=parents,
        **signed(),
    )


def make_lot_profile(batch, *, document="Sheet 1", document_date=None, attachment=None, transport=None, **changes):  # fmt: skip
    """Return the hazards of a batch by its own data sheet: the catalogue's, changed."""
    return hazards.record_lot_profile(
        batch,
        replace(batch.hazard.profile(), **changes),
        transport or batch.hazard.transport(),
        document=document,
        document_date=document_date or timezone.localdate(),
        attachment=attachment,
        **signed(),
    )


def make_label_print(vessel, **facts):
    """Return the record of a label that was printed for a vessel."""
    facts = {
        "format": "full",
        "sheet": "a4-74x52",
        "mode": "eu",
        "languages": "en",
        "content_key": "0" * 64,
        **facts,
    }
    return LabelPrint.objects.create(
        vessel=vessel, entry=vessel.entries.first(), **facts
    )


def make_label_sheet(**facts):
    facts = {
        "name": f"Sheet {uuid4().hex[:6]}",
        "page_width_mm": 210.0,
        "page_height_mm": 297.0,
        "label_width_mm": 70.0,
        "label_height_mm": 37.0,
        "pitch_x_mm": 70.0,
        "pitch_y_mm": 37.0,
        "columns": 3,
        "rows": 8,
        **facts,
    }
    return LabelSheet.objects.create(**facts)


def observe(reading_ug, *, gas="air", balance=None, read_at=None, **facts):
    """Return an observation by a good balance, an hour ago."""
    return vessels.Observation(
        reading_ug=reading_ug,
        balance=balance or Balance.objects.first() or make_balance(),
        read_at=read_at or earlier(),
        gas=medium(gas),
        **facts,
    )


def make_tared(batch=None, *, tare_ug=20 * G, kind="ampoule", capacity_ul=20 * ML, glass_mark="", gas="argon", place=None, **seen):  # fmt: skip
    """Return an empty vessel that was tared, by default under argon."""
    if batch is None and not glass_mark:
        glass_mark = f"glass {uuid4().hex[:6]}"
    empty = vessels.Empty(
        kind=kind,
        capacity_ul=capacity_ul,
        tare=observe(tare_ug, gas=gas, **seen),
        glass_mark=glass_mark,
    )
    (vessel,) = vessels.tare([empty], batch=batch, place=place, **signed())
    return vessel


def fill(vessel, *, batch=None, kept_in="argon", gas=None, happened_at=None, **facts):
    """Fill a vessel, by default under argon and an hour ago; return the movement."""
    what = filling.Filling(
        batch=batch or vessel.batch,
        medium=medium(kept_in),
        gas=medium(gas or kept_in),
        **{"closure": "stopcock", **facts},
    )
    return filling.fill(vessel, what, happened_at=happened_at or earlier(), **signed())


def make_vessel(batch=None, *, holding_ug=5 * G, kept_in="argon", u_ug=1_000, filled_at=None, **facts):  # fmt: skip
    """Return a vessel that holds exactly this much, as stated, from `with_remaining`."""
    vessel = make_tared(batch or make_batch(), **facts)
    fill(
        vessel,
        kept_in=kept_in,
        stated_ug=holding_ug,
        u_stated_ug=u_ug,
        happened_at=filled_at,
    )
    return ledger.read(vessel.pk)


def make_weighed_vessel(batch=None, *, gain_ug=5 * G, oil_ug=0, u_oil_ug=0, filled_at=None, **facts):  # fmt: skip
    """Return a vessel filled by weighing: tare, and gross `gain_ug` and the oil above.

    Argon is inside at both, above the oil if there is any. The room's air is noted.
    """
    when = {"read_at": filled_at or earlier(), **ROOM}
    facts = {"tare_ug": 20 * G, **when, **facts}
    vessel = make_tared(batch or make_batch(), **facts)
    gross = observe(
        facts["tare_ug"] + gain_ug + oil_ug,
        gas="argon",
        liquid_ug=oil_ug,
        u_liquid_ug=u_oil_ug,
        balance=facts.get("balance"),
        **when,
    )
    fill(
        vessel,
        kept_in="mineral_oil_light" if oil_ug else "argon",
        gas="argon",
        gross=gross,
        happened_at=when["read_at"],
        accept_medium=True,
    )
    return ledger.read(vessel.pk)


def newest_state(vessel):
    """Return what the vessel's newest stored estimate says of it."""
    return checking.state_of(estimating.stored(vessel)[1][-1])


def expected_reading(vessel, *, taken_ug=0, poured_ug=0, gas=None, **seen):
    """Return, in whole µg, what the vessel should read by its newest estimate.

    `taken_ug` of metal went out since, `poured_ug` of liquid medium went in, and
    `gas` is inside instead. `seen` are the conditions of the reading.
    """
    vessel = ledger.read(vessel.pk)
    facts = readings.Facts.read()
    glass = observing.glass_of(vessel, facts)
    state, now = newest_state(vessel), medium(gas or vessel.gas.key)
    reading_ug = 1.0
    for _ in range(3):  # What it displaces, and so its lift, hangs on the reading.
        seen_so = observe(reading_ug, gas=now.key, **seen)
        around = readings.conditions(seen_so)
        event = observing.observe(
            seen_so, glass, metal_ug=0, liquid_ug=0, words="", reading=""
        ).event
        changed, _ = estimate.apply(
            state, observing.gas_change(vessel.gas, now, glass, around).event
        )
        d_ug, _ = estimate.innovation(changed, event)
        gone_ug = event.metal_factor * taken_ug - event.liquid_factor * poured_ug
        reading_ug -= (d_ug + gone_ug) / (1 - around.density().n / 8000)
    return round(reading_ug)


def make_check(vessel, off_ug=0, *, gas=None, read_at=None, cause="", reason="", **seen):  # fmt: skip
    """Weigh a vessel again, `off_ug` from what is expected; return the weighing."""
    vessel = ledger.read(vessel.pk)
    reading_ug = expected_reading(vessel, gas=gas, **{**ROOM, **seen}) + off_ug
    seen = {**ROOM, "gas": gas or vessel.gas.key, "read_at": read_at, **seen}
    return checking.check(
        vessel, observe(reading_ug, **seen), cause=cause, reason=reason, **signed()
    )


def take(vessel, how=None, **facts):
    """Withdraw from a vessel: all of it, unless `how` says otherwise."""
    facts = {"purpose": "an experiment", "happened_at": earlier(), **facts}
    return ledger.withdraw(vessel, how or taking.Whole(), **facts, **signed())
