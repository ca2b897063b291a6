"""Looking after vessels and promises: inspections, heels, and later ends."""

from datetime import timedelta

from django.shortcuts import get_object_or_404
from django.utils import timezone

from inventory.calc.units import show_mass
from inventory.models import Booking, Vessel
from inventory.operations import expiring, heels, inspections
from inventory.operations.access import HANDLING, KEEPING, for_roles
from inventory.web.forms.caring import ExtendForm, HeelForm, InspectionForm
from inventory.web.submit import answer, summary


@for_roles(HANDLING)
def inspect(request, pk):
    vessel = get_object_or_404(Vessel.objects.select_related("custodian"), pk=pk)
    form = InspectionForm(request.POST or None)
    return answer(
        request,
        form,
        lambda **signed: inspections.record(vessel, **form.facts, **signed),
        summary,
        "inventory/inspect.html",
        context={"vessel": vessel},
        to=f"{vessel.get_absolute_url()}#inspections",
    )


@for_roles(HANDLING)
def heel(request, pk):
    """Note what cannot be got out of a vessel."""
    vessel = get_object_or_404(Vessel.objects.for_list(), pk=pk)
    initial = {"heel": show_mass(vessel.heel_ug) if vessel.heel_ug else None}
    form = HeelForm(request.POST or None, initial=initial)
    return answer(
        request,
        form,
        lambda **signed: heels.note(vessel, form.cleaned_data["heel"], **signed),
        lambda noted: f"{show_mass(noted.heel_ug)} cannot be got out of {noted}.",
        "inventory/heel.html",
        context={"vessel": vessel},
        to=vessel,
    )


@for_roles(KEEPING)
def extend(request, pk):
    """Let a booking hold until a later day."""
    booking = get_object_or_404(
        Booking.objects.with_open().select_related("project", "partner"), pk=pk
    )
    later = max(booking.expires_on, timezone.localdate()) + timedelta(days=14)
    form = ExtendForm(request.POST or None, initial={"expires_on": later})
    return answer(
        request,
        form,
        lambda **signed: expiring.extend(
            booking,
            expires_on=form.cleaned_data["expires_on"],
            beyond_share=form.cleaned_data["beyond_share"],
            **signed,
        ),
        lambda made: f"{made} holds until {made.expires_on:%-d %b %Y}.",
        "inventory/extend.html",
        context={"booking": booking},
    )
