"""Filling a tared vessel: worked out first if one likes, then recorded."""

from django.shortcuts import get_object_or_404, redirect, render

from inventory.models import Batch, Vessel
from inventory.operations import filling
from inventory.operations.access import HANDLING, for_roles
from inventory.operations.errors import OperationError
from inventory.web.forms.filling import FillForm, ReceiveForm
from inventory.web.submit import (
    add_refusal,
    answer,
    carry_out,
    status_of,
    summary,
)


@for_roles(HANDLING)
def fill(request, pk):
    vessel = get_object_or_404(Vessel.objects.select_related("batch", "place"), pk=pk)
    form = FillForm(
        request.POST or None,
        vessel=vessel,
        initial={"batch": request.GET.get("batch")},
    )
    worked_out = None
    if form.is_valid():
        if "work-out" in request.POST:
            worked_out = look(vessel, form)
        elif record(request, vessel, form):
            return redirect(vessel)
    tare = vessel.weighings.filter(purpose="tare").select_related("balance").last()
    context = {"vessel": vessel, "form": form, "tare": tare, "found": worked_out}
    return render(request, "inventory/fill.html", context, status=status_of(form))


def look(vessel, form):
    """Return what the form would record, with refusals put on it."""
    try:
        return filling.work_out(vessel, form.filling())
    except OperationError as error:
        add_refusal(form, error)


def record(request, vessel, form):
    """Record the filling; return the movement, or None if it was refused."""
    data = form.cleaned_data
    return carry_out(
        request,
        form,
        lambda: filling.fill(
            vessel,
            form.filling(),
            happened_at=data["read_at"],
            by=request.user,
            request_id=data["request_id"],
        ),
        summary,
    )


@for_roles(HANDLING)
def receive(request, code):
    """Record sealed vessels of a batch that came with their mass stated."""
    batch = get_object_or_404(Batch.objects.select_related("material"), code=code)
    form = ReceiveForm(request.POST or None)

    def receive(**signed):
        data = form.cleaned_data
        return filling.receive(
            batch,
            {"kind": data["kind"], "capacity_ul": data["capacity"]},
            form.filling(batch),
            count=data["count"],
            happened_at=data["read_at"],
            **signed,
        )

    return answer(
        request,
        form,
        receive,
        lambda made: f"Received {', '.join(map(str, made))}.",
        "inventory/receive.html",
        context={"batch": batch},
        to=batch,
    )
