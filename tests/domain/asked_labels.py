"""Labels and what a lot's data sheet says, asked once each: see tests.domain.asked."""

from django.utils import timezone

from inventory.operations import hazards, labelling
from tests.factories import make_batch, make_lot_profile, make_vessel


def ask_record_lot_profile():
    batch = make_batch("K")
    own = batch.hazard
    facts = {"document": "Sheet 2", "document_date": timezone.localdate()}
    return (
        hazards.record_lot_profile,
        [batch, own.profile(), own.transport()],
        facts,
    )


def ask_withdraw_lot_profile():
    profile = make_lot_profile(make_batch("K"))
    return hazards.withdraw_lot_profile, [profile], {"reason": "another lot's"}


def ask_record_labels():
    vessel = make_vessel()
    printed = [labelling.Printed(vessel, "0" * 64)]
    facts = {"format": "full", "sheet": "a4-74x52", "mode": "eu", "languages": "en"}
    return labelling.record, [printed], facts


def ask_record_other_labels():
    return labelling.record_others, ["Outer box", ["RB26A"]], {}
