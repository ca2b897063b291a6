"""Batches filled and closed in one line, with numbers easy to work out by hand."""

from datetime import timedelta

from django.db.models import Sum
from django.utils import timezone

from inventory.models import Batch
from inventory.operations import accounts, finishing, runs, statements
from inventory.operations.run_rows import Seen
from tests.domain.transferred import arrival, make_target, transfer
from tests.factories import (
    G,
    earlier,
    make_batch,
    make_vessel,
    make_weighed_vessel,
    signed,
)

MG = 1_000


def make_filled(*masses_ug, u_ug=1 * MG, **facts):
    """Return a batch with one vessel of each mass, stated to 1 mg."""
    batch = make_batch(**facts)
    for mass_ug in masses_ug:
        make_vessel(batch, holding_ug=mass_ug, u_ug=u_ug)
    return batch


def make_weighed(*gains_ug):
    """Return a batch with one vessel a gain, each filled by weighing."""
    batch = make_batch()
    for gain_ug in gains_ug:
        make_weighed_vessel(batch, gain_ug=gain_ug)
    return batch


def stated(method="stated", **facts):
    facts.setdefault("reason", "the supplier's masses are good enough here")
    return statements.Statement(method, **facts)


def weighed_as(collected_ug, u_ug=0, **facts):
    """Return the statement of a mass that was weighed."""
    facts = {"collected_ug": collected_ug, "u_collected_ug": u_ug, **facts}
    return stated("weighed", **facts)


def close(batch, statement=None):
    return finishing.close(batch, statement or stated(), **signed())


def reopen(batch, reason="the tail was forgotten"):
    return finishing.reopen(batch, reason=reason, **signed())


def account(batch):
    return accounts.of_all([Batch.objects.select_related("material").get(pk=batch.pk)])[
        batch.pk
    ]


def make_decanted(*grosses_ug, how=None, **facts):
    """Return a receiver filled with some 10 g by weighing, and emptied into targets.

    Each target of 10 g is filled to one of the grosses, in a transfer of its own;
    `how(source, grosses)` says how the receiver was measured in it, if it was.
    """
    source = make_weighed_vessel(make_batch("NaK"), gain_ug=10 * G)
    for gross_ug in grosses_ug:
        target = make_target(source.batch)
        way = how and how(source, gross_ug - 10 * G)
        transfer(source, [arrival(source, target, gross_ug)], way, **facts)
    return source


def given(batch):
    """Return what the ledger says came out of a batch, all corrections included."""

    def total(rows):
        return rows.aggregate(total=Sum("mass_ug", default=0))["total"]

    return total(batch.movements_out) - total(batch.movements_in)


def posted(done):
    rows = done.entry.movements.order_by("pk")
    return [(r.kind, r.from_end or r.to_end, r.mass_ug, r.u_ug) for r in rows]


def read_run(batch, volume_ul, celsius, **facts):
    started = {"started_at": timezone.now() - timedelta(hours=3), **facts}
    runs.set_up(batch, started, **signed())
    seen = Seen(earlier(), receiver_ul=volume_ul, receiver_c=celsius)
    runs.read(batch, seen, **signed())
