"""A lot's own classification: typed from its data sheet, or struck out."""

from django.shortcuts import get_object_or_404

from inventory.models import Batch, LotProfile
from inventory.operations import hazards
from inventory.operations.access import KEEPING, for_roles
from inventory.web.forms.hazards import LotProfileForm
from inventory.web.submit import answer, answer_with_reason, summary


@for_roles(KEEPING)
def add(request, code):
    """Record what a data sheet says; the form begins with what is in use."""
    batch = get_object_or_404(
        Batch.objects.select_related("material", "hazard"), code=code
    )
    in_use = batch.lot_profiles.in_use()
    form = LotProfileForm(
        request.POST or None, batch=batch, initial=typed(in_use or batch.hazard)
    )

    def operate(**signed):
        given, facts = form.recorded()
        return hazards.record_lot_profile(batch, *given, **facts, **signed)

    return answer(
        request,
        form,
        operate,
        summary,
        "inventory/lot_profile_form.html",
        context={"batch": batch, "in_use": in_use},
        to=batch,
    )


def typed(record):
    """Return what the form begins with: the hazards on record, no document."""
    lists = ("hazard_classes", "h", "euh", "p", "pictograms")
    plain = (
        *("signal_word", "un_number", "proper_shipping_name"),
        *("transport_class", "packing_group"),
    )
    return {name: record.codes(name) for name in lists} | {
        name: getattr(record, name) for name in plain
    }


@for_roles(KEEPING)
def strike(request, pk):
    record = get_object_or_404(
        LotProfile.objects.select_related("batch").filter(withdraws=None), pk=pk
    )
    return answer_with_reason(
        request,
        lambda **signed: hazards.withdraw_lot_profile(record, **signed),
        summary,
        "inventory/lot_profile_strike.html",
        context={"profile": record, "batch": record.batch},
        to=record.batch,
    )
