"""What a batch's page tells: its account, its family, and what to do next."""

from django.db.models import Count, Q

from inventory.models import BatchKind
from inventory.operations import accounts, families, runs

from . import family


def of_batch(batch):
    """Return what the inside of a laboratory sees of a batch from `with_held`."""
    account = accounts.of_all([batch])[batch.pk]
    return {
        "account": account,
        "family": family.of(families.of(batch)),
        "next": next_step(batch, account),
    }


def next_step(batch, account):
    """Return what a batch waits for: a key of the buttons on its page."""
    if account.closing:
        return "labels"
    vessels = batch.vessels.filter(retired_on=None).aggregate(
        filled=Count("pk", filter=Q(filled_on__isnull=False)),
        waiting=Count("pk", filter=Q(filled_on=None)),
    )
    run = runs.of(batch)
    if not vessels["filled"] and not vessels["waiting"]:
        return "receive" if batch.kind == BatchKind.BOUGHT else "tare"
    if run and not run.ended_at and not vessels["filled"]:
        return "run"
    if vessels["waiting"]:
        return "bench"
    return "labels" if batch.kind == BatchKind.BOUGHT else "close"
