"""Carrying out a form: one operation, one message, or its refusal at the field."""

from django.contrib import messages
from django.shortcuts import redirect, render

from inventory.models import Weighing
from inventory.operations import log
from inventory.operations.errors import OperationError
from inventory.web.forms.vessels import ReasonForm


def answer(request, form, operate, done, template, *, context=None, to=None):
    """Answer a form's page: record and go on, or show it with what was refused.

    `operate(by=, request_id=)` returns what it recorded; the way leads there, or to
    `to`, an address or a function of the result. `done` is as in `carry_out`; most
    say the `summary`.
    """
    if form.is_valid():
        signed = {"by": request.user, "request_id": form.cleaned_data["request_id"]}
        made = carry_out(request, form, lambda: operate(**signed), done)
        if made is not None:
            return redirect((to(made) if callable(to) else to) or made)
    shown = {**(context or {}), "form": form}
    return render(request, template, shown, status=status_of(form))


def answer_with_reason(request, operate, done, template, *, context=None, to=None):
    """Answer a page that asks for nothing but a reason.

    `operate(reason=, by=, request_id=)`; the others are as in `answer`.
    """
    form = ReasonForm(request.POST or None)

    def with_reason(**signed):
        return operate(reason=form.cleaned_data["reason"], **signed)

    return answer(request, form, with_reason, done, template, context=context, to=to)


def summary(made):
    """Return the message that says of a record what its log entry says."""
    return made.entry.summary + "."


def carry_out(request, form, operate, done, rows=()):
    """Return what `operate()` returns, or None with the refusal on the form.

    `done` is the message, or a function of the result; `rows` are the forms of a
    set that `form` is the head of. A form that was sent
    before records nothing again, and says so.
    """
    earlier = log.repeated(form.cleaned_data["request_id"])
    try:
        result = operate()
    except OperationError as error:
        add_refusal(form, error, rows)
        return None
    if earlier:
        messages.warning(
            request,
            f"This form had been sent already: {earlier.summary}. Nothing was recorded "
            "a second time. To record more, open the form anew.",
        )
    else:
        messages.success(request, done(result) if callable(done) else done)
        for against in reservations(form.cleaned_data["request_id"]):
            messages.warning(
                request, f"Mind: {against}. This is noted with the reading."
            )
    return result


def reservations(request_id):
    """Return what the balances' records say against the readings just recorded."""
    rows = Weighing.objects.filter(entry__request_id=request_id)
    rows = rows.exclude(reservation="").order_by("reservation")
    return rows.values_list("reservation", flat=True).distinct()


def add_refusal(form, error, rows=()):
    """Put a refusal at its field, in its row if it has one, or at the form's head.

    The form keeps it as `refusal`, for a page that has more to say about it.
    """
    form.refusal = error
    for row in rows:
        for name in row.fields:
            if row.add_prefix(name) == error.field:
                row.add_error(name, str(error))
                return
    form.add_error(error.field if error.field in form.fields else None, str(error))


def status_of(*forms):
    """Return the HTTP status of a page that shows `forms`: 422 when one was refused."""
    return 422 if any(form.is_bound and form.errors for form in forms) else 200
