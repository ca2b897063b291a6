"""What the ledger tells of a batch's making: into which vessels, lost where, from what.

Numbers share their variables, so that a doubt which two of them have in common, as
that of a receiver's tare, cancels where one is taken from the other.
"""

from collections import defaultdict
from dataclasses import dataclass, field
from datetime import datetime
from math import sqrt

from inventory.calc.uncertainty import UFloat, exact, nominal, uncertain
from inventory.models import End, Estimate, Event, Method, Movement, MovementKind

from . import closing

COLUMNS = (
    "pk",
    "kind",
    "method",
    "mass_ug",
    "u_ug",
    "happened_at",
    "entry_id",
    "from_batch_id",
    "from_vessel_id",
    "from_end",
    "to_batch_id",
    "to_vessel_id",
    "to_end",
    "from_vessel__batch_id",
    "from_vessel__code",
    "to_vessel__batch_id",
    "to_vessel__code",
)
FILLED = (MovementKind.FILL, MovementKind.TRANSFER)
NONE = exact(0.0)


@dataclass(frozen=True, slots=True)
class Making:
    """What came out of a batch and where it went, in µg.

    `poured` left the batch into vessels; `received` is the part of it that went into
    receivers, vessels that others were filled from. `vessels` is what each vessel
    got, a receiver's only what it kept; `lost` was let go on the way, `straight`
    taken from a receiver for use. `unweighed` are fillings whose mass was stated,
    `unchecked` are receivers that were not weighed after they gave metal.
    """

    poured: UFloat = NONE
    received: UFloat = NONE
    receivers: list[str] = field(default_factory=list)
    vessels: list[UFloat] = field(default_factory=list)
    lost: UFloat = NONE
    straight: UFloat = NONE
    unweighed: list[str] = field(default_factory=list)
    unchecked: list[str] = field(default_factory=list)

    @property
    def filled(self):
        """All that is, or was once, in vessels for good; a receiver counts once."""
        return exact(sum(self.vessels, NONE) + self.straight)

    @property
    def weighed_in(self):
        """How all that was poured is known where receivers tell of it, or ""."""
        if not self.receivers:
            return ""
        words = f"weighed in {', '.join(self.receivers)}"
        besides = nominal(self.received) != nominal(self.poured)
        return f"{words}, and filled straight" if besides else words

    @property
    def missing(self):
        """What left the batch into vessels and came to nowhere."""
        return exact(self.poured - self.filled - self.lost)


def movements(batches):
    """Return {batch key: its movements that stand}, each a dict of COLUMNS."""
    keys = [batch.pk for batch in batches]
    standing = Movement.objects.standing().order_by()
    sides = ("from_batch", "to_batch", "from_vessel__batch", "to_vessel__batch")
    parts = [
        standing.filter(**{f"{side}__in": keys}).values(*COLUMNS) for side in sides
    ]
    found = {key: [] for key in keys}
    for row in parts[0].union(*parts[1:]):
        batch = row["from_batch_id"] or row["to_batch_id"]
        found[
            batch or row["from_vessel__batch_id"] or row["to_vessel__batch_id"]
        ].append(row)
    return found


def of(rows_by_batch):
    """Return {batch key: Making} of {batch key: movements}, in three questions.

    What was recorded while a batch was closed is its vessels' life, not its making,
    and is left out, also when the batch was reopened since.
    """
    spans = closing.spans_of_all(list(rows_by_batch))
    made, givers = {}, {}
    for batch, rows in rows_by_batch.items():
        shut = spans.get(batch, [])
        made[batch] = [row for row in rows if closing.is_making(row["entry_id"], shut)]
        givers[batch] = {
            row["from_vessel_id"]
            for row in made[batch]
            if row["kind"] == MovementKind.TRANSFER
        }
    shut_of = {
        giver: spans.get(batch, []) for batch, keys in givers.items() for giver in keys
    }
    doubts = Doubts.read(shut_of)
    return {
        batch: drawn_up(rows, givers[batch], doubts) for batch, rows in made.items()
    }


def drawn_up(rows, givers, doubts):
    """Return the Making of one batch; `givers` are the keys of its receivers."""
    into, out = defaultdict(list), defaultdict(list)
    for row in rows:
        into[row["to_vessel_id"]].append(row)
        out[row["from_vessel_id"]].append(row)
    arrived = {
        row["pk"]: doubts.arrival(row, givers) for row in rows if row["kind"] in FILLED
    }
    poured = [row for row in rows if row["from_batch_id"] and row["to_vessel_id"]]
    from_givers = [row for giver in givers for row in out[giver]]
    used = (End.EXPERIMENT, End.DESTROYED)
    return Making(
        poured=total(arrived[row["pk"]] for row in poured),
        received=total(
            arrived[row["pk"]] for row in poured if row["to_vessel_id"] in givers
        ),
        receivers=sorted(
            {row["to_vessel__code"] for row in poured if row["to_vessel_id"] in givers}
        ),
        vessels=[
            arrived[row["pk"]]
            for row in rows
            if row["kind"] in FILLED and row["to_vessel_id"] not in givers
        ]
        + [kept(giver, into, out, arrived, doubts) for giver in sorted(givers)],
        lost=total(as_moved(r) for r in from_givers if r["to_end"] == End.LOSS),
        straight=total(as_moved(r) for r in from_givers if r["to_end"] in used),
        unweighed=sorted(
            row["to_vessel__code"]
            for row in rows
            if row["kind"] in FILLED and row["method"] != Method.WEIGHED
        ),
        unchecked=sorted(
            out[giver][0]["from_vessel__code"]
            for giver in givers
            if not doubts.weighed_since(giver, out[giver])
        ),
    )


def kept(giver, into, out, arrived, doubts):
    """Return what a receiver still held, as the ledger has it.

    Its doubt is that of the estimate. It has the tare in common with what was once
    weighed in; where it was not weighed since, all of that weighing's doubt.
    """
    mass_ug = sum(row["mass_ug"] for row in into[giver])
    mass_ug -= sum(row["mass_ug"] for row in out[giver])
    filled = [row for row in into[giver] if row["kind"] in FILLED]
    if doubts.weighed_since(giver, out[giver]):
        common = doubts.tare(giver)
    else:
        common = total(arrived[row["pk"]] for row in filled)
    rest = doubts.variance(giver) - common.s**2
    alone = uncertain(0.0, sqrt(max(rest, 0.0)), "left in the receiver")
    return exact(common - nominal(common) + alone + mass_ug)


def as_moved(row):
    return uncertain(row["mass_ug"], row["u_ug"], "moved")


def total(numbers):
    return exact(sum(numbers, NONE))


@dataclass(frozen=True, slots=True)
class Doubts:
    """How sure one is of the receivers, by vessel: of their metal, and of their tare.

    `weighed` is when each was weighed last.
    """

    variances: dict[int, float]
    tares: dict[int, UFloat]
    weighed: dict[int, datetime]

    @classmethod
    def read(cls, shut_of):
        """Read them for {vessel key: when its batch was closed}, see closing."""
        variances, tares, weighed = {}, {}, {}
        rows = Estimate.objects.filter(vessel__in=shut_of).order_by("id")
        for key, entry, kind, var_metal, var_tare in rows.values_list(
            "vessel", "event__entry", "event__kind", "var_metal", "var_tare"
        ):
            if closing.is_making(entry, shut_of[key]):
                variances[key] = var_metal
            if kind == "start":
                # In a net mass the tare's doubt has the other sign.
                tares[key] = -uncertain(0.0, sqrt(max(var_tare, 0.0)), "tare")
        readings = Event.objects.standing().filter(vessel__in=shut_of, kind="observe")
        for key, entry, happened_at in readings.in_order().values_list(
            "vessel", "entry", "happened_at"
        ):
            if closing.is_making(entry, shut_of[key]):
                weighed[key] = happened_at
        return cls(variances, tares, weighed)

    def tare(self, vessel):
        return self.tares.get(vessel, NONE)

    def variance(self, vessel):
        return self.variances.get(vessel, 0.0)

    def arrival(self, row, givers):
        """Return what one filling brought; into a receiver, with its tare's doubt."""
        tare = self.tare(row["to_vessel_id"]) if row["to_vessel_id"] in givers else NONE
        if tare.s > row["u_ug"]:
            return as_moved(row)
        alone = sqrt(row["u_ug"] ** 2 - tare.s**2)
        return exact(uncertain(row["mass_ug"], alone, "filled in") + tare)

    def weighed_since(self, vessel, given):
        """Return whether a vessel was weighed with or after the last it gave."""
        last = max(row["happened_at"] for row in given)
        return vessel in self.weighed and self.weighed[vessel] >= last
