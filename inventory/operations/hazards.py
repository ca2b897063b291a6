"""How a lot is classified by its own data sheet, which goes before the catalogue."""

from django.utils import timezone

from inventory.calc import hazard_checks
from inventory.calc.hazards import Profile, Transport
from inventory.models import Batch, LotProfile

from . import log
from .errors import OperationError

CODES = {
    "hazard_classes": "classes",
    "h": "h",
    "euh": "euh",
    "p": "p",
    "pictograms": "pictograms",
}


@log.operation
def record_lot_profile(
    batch, profile, transport, *, document, document_date, attachment=None, by, request_id
):  # fmt: skip
    """Record how `document` classifies a batch, and return the LotProfile.

    `profile` and `transport` are those of calc.hazards. What contradicts itself is
    refused, the first of it at its field. It is in use from now on, until a newer one
    is recorded or it is withdrawn.
    """
    batch = log.lock(Batch.objects.all(), batch.pk)
    if earlier := log.repeated(request_id):
        return earlier.lot_profiles.get()
    for problem in hazard_checks.problems(profile, transport):
        raise OperationError(problem.sentence, problem.field)
    if document_date > timezone.localdate():
        raise OperationError("This date lies in the future.", "document_date")
    if attachment is not None and attachment.batch_id != batch.pk:
        raise OperationError("This file belongs to another batch.", "attachment")
    entry = log.write(
        "lot-profile",
        f"Hazards of {batch} are now those of “{document}”",
        by=by,
        request_id=request_id,
        batch=batch,
    )
    return LotProfile.objects.create(
        batch=batch,
        document=document,
        document_date=document_date,
        attachment=attachment,
        entry=entry,
        **written(profile, transport),
    )


def written(profile: Profile, transport: Transport):
    """Return a profile and a transport entry as the record's columns."""
    return {
        **{column: "; ".join(getattr(profile, name)) for column, name in CODES.items()},
        "signal_word": profile.signal_word,
        "un_number": transport.un_number,
        "proper_shipping_name": transport.name,
        "transport_class": transport.hazard_class,
        "packing_group": transport.packing_group,
    }


@log.operation
def withdraw_lot_profile(profile, *, reason, by, request_id):
    """Take a wrong lot profile out of use. It stays on record, struck through.

    The one before it is in use again; without one, the catalogue's.
    """
    batch = log.lock(Batch.objects.all(), profile.batch_id)
    if earlier := log.repeated(request_id):
        return earlier.lot_profiles.get()
    if profile.withdraws_id or hasattr(profile, "withdrawn_by"):
        raise OperationError("This data sheet is struck out already.")
    entry = log.write(
        "lot-profile-withdraw",
        f"Struck out the hazards of “{profile.document}”: {reason}",
        by=by,
        request_id=request_id,
        batch=batch,
    )
    return LotProfile.objects.create(
        batch=batch,
        document=profile.document,
        document_date=profile.document_date,
        attachment_id=profile.attachment_id,
        reason=reason,
        withdraws=profile,
        entry=entry,
        **written(profile.profile(), profile.transport()),
    )
