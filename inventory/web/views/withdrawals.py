"""Taking metal out, destroying it, and putting a wrong record right."""

from django.shortcuts import get_object_or_404, redirect, render

from inventory.models import Movement, Vessel
from inventory.operations import corrections, ledger, serving, taking
from inventory.operations.access import HANDLING, KEEPING, for_roles
from inventory.operations.errors import OperationError
from inventory.operations.readings import Facts
from inventory.web import story
from inventory.web.contents import drawing
from inventory.web.forms.withdrawals import DestroyForm, WithdrawForm
from inventory.web.submit import (
    add_refusal,
    answer,
    answer_with_reason,
    carry_out,
    status_of,
    summary,
)


@for_roles(HANDLING)
def withdraw(request, pk):
    vessel = get_object_or_404(Vessel.objects.for_list().select_related("gas"), pk=pk)
    form = WithdrawForm(
        request.POST or None,
        vessel=vessel,
        ageing=story.age(vessel) if vessel.filled_on else None,
        initial={"line": request.GET.get("line")},
    )
    found = None
    if form.is_valid():
        if "work-out" in request.POST:
            found = look(vessel, form)
        elif record(request, vessel, form):
            return redirect(vessel)
    context = {
        "vessel": vessel,
        "form": form,
        "found": found,
        "stays_ug": found and vessel.remaining_ug - found.mass_ug,
        "seal": story.by_last_look(vessel),
        "figure": drawing(vessel, Facts.read(), size="large"),
    }
    return render(request, "inventory/withdraw.html", context, status=status_of(form))


def look(vessel, form):
    """Return what the form would take, with refusals put on it."""
    try:
        taken = taking.work_out(vessel, form.how(), form.cleaned_data["read_at"])
        ledger.refuse_disagreement(vessel, taken)
        line = form.cleaned_data.get("line")
        ledger.refuse_overdraw(vessel, taken, line)
        if line:
            serving.refuse_surplus(line, vessel, taken.mass_ug, taken.u_ug, held=False)
    except OperationError as error:
        add_refusal(form, error)
    else:
        return taken


def record(request, vessel, form):
    """Record the withdrawal; return the movement, or None if it was refused."""
    data = form.cleaned_data
    return carry_out(
        request,
        form,
        lambda: ledger.withdraw(
            vessel,
            form.how(),
            purpose=data["purpose"],
            happened_at=data["read_at"],
            project=data["project"],
            line=data.get("line"),
            settle=data.get("settle", True),
            by=request.user,
            request_id=data["request_id"],
        ),
        summary,
    )


@for_roles(KEEPING)
def destroy(request, pk):
    vessel = get_object_or_404(Vessel.objects.for_list().select_related("gas"), pk=pk)
    form = DestroyForm(request.POST or None)
    return answer(
        request,
        form,
        lambda **signed: ledger.destroy(
            vessel,
            how=form.cleaned_data["how"],
            happened_at=form.cleaned_data["happened_at"],
            **signed,
        ),
        summary,
        "inventory/destroy.html",
        context={"vessel": vessel},
        to=vessel,
    )


@for_roles(KEEPING)
def correct(request, pk):
    movement = get_object_or_404(
        Movement.objects.select_related("from_vessel", "to_vessel", "entry"), pk=pk
    )
    vessel = movement.to_vessel or movement.from_vessel
    return answer_with_reason(
        request,
        lambda **signed: corrections.correct(movement, **signed),
        "Corrected. Now record what really happened.",
        "inventory/correct.html",
        context={"movement": movement, "vessel": vessel},
        to=vessel,
    )
