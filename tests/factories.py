"""The least that is valid, made by the operations that the pages use."""

from datetime import timedelta
from uuid import uuid4

from django.utils import timezone

from inventory.models import Balance, Laboratory, Material, Medium, Place, Role, User
from inventory.operations import (
    batches,
    bookings,
    filling,
    ledger,
    projects,
    register,
    vessels,
)

G = 1_000_000
ML = 1_000


def somebody():
    """Return a keeper who does things in tests where it matters not who."""
    user, _ = User.objects.get_or_create(
        username="somebody", defaults={"role": Role.KEEPER}
    )
    return user


def signed(**more):
    """Return the facts that every operation takes: who, and a fresh request."""
    return {"by": somebody(), "request_id": uuid4(), **more}


def earlier(**ago):
    return timezone.now() - timedelta(**(ago or {"hours": 1}))


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
    return batches.record(
        material=Material.objects.get(symbol=symbol),
        facts=facts,
        parents=parents,
        **signed(),
    )


def observe(reading_ug, *, gas="air", balance=None, read_at=None, **facts):
    """Return an observation by a good balance, an hour ago."""
    return vessels.Observation(
        reading_ug=reading_ug,
        balance=balance or Balance.objects.first() or make_balance(),
        read_at=read_at or earlier(),
        gas=medium(gas),
        **facts,
    )


def make_tared(batch=None, *, tare_ug=20 * G, kind="ampoule", capacity_ul=20 * ML, glass_mark="", gas="argon"):  # fmt: skip
    """Return an empty vessel that was tared, by default under argon."""
    if batch is None and not glass_mark:
        glass_mark = f"glass {uuid4().hex[:6]}"
    empty = vessels.Empty(
        kind=kind,
        capacity_ul=capacity_ul,
        tare=observe(tare_ug, gas=gas),
        glass_mark=glass_mark,
    )
    (vessel,) = vessels.tare([empty], batch=batch, **signed())
    return vessel


def make_vessel(batch=None, *, holding_ug=5 * G, kept_in="argon", u_ug=1_000, **facts):
    """Return a vessel that holds exactly this much, as stated, from `with_remaining`."""
    batch = batch or make_batch()
    vessel = make_tared(batch, **facts)
    filling.fill(
        vessel,
        filling.Filling(
            batch=batch,
            medium=medium(kept_in),
            gas=medium(kept_in),
            closure="stopcock",
            stated_ug=holding_ug,
            u_stated_ug=u_ug,
        ),
        happened_at=earlier(),
        **signed(),
    )
    return ledger.read(vessel.pk)


def make_project(*members, **facts):
    facts = {"title": f"Project {uuid4().hex[:6]}", **facts}
    return projects.start(facts=facts, members=members, **signed())


def make_booking(vessel, mass_ug=None, *, project=None):
    """Return a booking of `mass_ug`, or of all that is free, from one vessel."""
    return bookings.book(
        project or make_project(),
        wishes=[(vessel, mass_ug)],
        purpose="an experiment",
        needed_by=timezone.localdate() + timedelta(days=7),
        **signed(),
    )


def take(vessel, how=None, **facts):
    """Withdraw from a vessel: all of it, unless `how` says otherwise."""
    facts = {"purpose": "an experiment", "happened_at": earlier(), **facts}
    return ledger.withdraw(vessel, how or ledger.Whole(), **facts, **signed())
