"""Closing a batch, worked out first if one likes, and reopening it."""

from django.shortcuts import get_object_or_404, redirect, render

from inventory.models import Batch
from inventory.operations import closing, finishing, making, statements
from inventory.operations.access import HANDLING, KEEPING, for_roles
from inventory.operations.errors import OperationError
from inventory.web.forms.closing import CloseForm
from inventory.web.submit import (
    add_refusal,
    answer,
    answer_with_reason,
    status_of,
    summary,
)


@for_roles(HANDLING)
def close(request, code):
    record = get_object_or_404(Batch.objects.select_related("material"), code=code)
    if request.method == "GET" and closing.standing(record):
        return redirect(record)
    moved = making.movements([record])
    form = CloseForm(
        request.POST or None,
        made=making.of(moved)[record.pk],
        reading=statements.last_reading(record),
    )
    context = {"batch": record, "found": None}
    template = "inventory/batch_close.html"
    if "work-out" in request.POST and form.is_valid():
        found = look(record, form)
        shown = context | {"form": form, "found": found}
        return render(request, template, shown, status=status_of(form))
    return answer(
        request,
        form,
        lambda **signed: finishing.close(record, form.statement(), **signed),
        summary,
        template,
        context=context,
        to=record,
    )


def look(record, form):
    """Return what closing would put on record, with refusals put on the form."""
    try:
        return statements.work_out(record, form.statement())
    except OperationError as error:
        add_refusal(form, error)


@for_roles(KEEPING)
def reopen(request, code):
    record = get_object_or_404(Batch.objects.select_related("material"), code=code)
    closed = closing.standing(record)
    if request.method == "GET" and not closed:
        return redirect(record)
    return answer_with_reason(
        request,
        lambda **signed: finishing.reopen(record, **signed),
        summary,
        "inventory/batch_reopen.html",
        context={"batch": record, "closing": closed},
        to=record,
    )
