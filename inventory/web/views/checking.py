"""Weighing again, changing the medium, transferring, striking a weighing out."""

from django.db.models import Q
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse

from inventory.calc.keys import keys
from inventory.models import Vessel, Weighing
from inventory.operations import checking, media, serving, transferring
from inventory.operations.access import HANDLING, KEEPING, for_roles
from inventory.operations.errors import Disagrees, OperationError
from inventory.web import story
from inventory.web.forms.checking import CheckForm, MediumForm, TransferForm
from inventory.web.submit import (
    add_refusal,
    answer,
    answer_with_reason,
    carry_out,
    status_of,
    summary,
)

MOST_TARGETS = 100


@for_roles(HANDLING)
def check(request, pk):
    """Weigh a vessel again; a reading that disagrees is answered, not recorded."""
    vessel = get_object_or_404(Vessel.objects.for_list(), pk=pk)
    form = CheckForm(request.POST or None, vessel=vessel)
    if form.is_valid():
        data = form.cleaned_data
        weighing = carry_out(
            request,
            form,
            lambda: checking.check(
                vessel,
                form.seen(),
                cause=data["cause"],
                reason=data["reason"],
                by=request.user,
                request_id=data["request_id"],
            ),
            summary,
        )
        if weighing:
            return redirect(vessel)
    refusal = getattr(form, "refusal", None)
    disagrees = refusal if isinstance(refusal, Disagrees) else None
    context = {"vessel": vessel, "form": form, "disagrees": disagrees}
    return render(request, "inventory/check.html", context, status=status_of(form))


@for_roles(KEEPING)
def strike(request, pk):
    weighing = get_object_or_404(
        Weighing.objects.select_related("vessel", "balance"), pk=pk
    )
    return answer_with_reason(
        request,
        lambda **signed: checking.strike(weighing, **signed),
        summary,
        "inventory/weighing_strike.html",
        context={"weighing": weighing, "vessel": weighing.vessel},
        to=weighing.vessel,
    )


@for_roles(HANDLING)
def medium(request, pk):
    """Add, drain or exchange the medium, weighed or not."""
    vessel = get_object_or_404(
        Vessel.objects.for_list().filter(filled_on__isnull=False), pk=pk
    )
    form = MediumForm(request.POST or None, vessel=vessel, ageing=story.age(vessel))
    return answer(
        request,
        form,
        lambda **signed: media.exchange(
            vessel,
            form.exchange(),
            note=form.cleaned_data["note"],
            happened_at=form.cleaned_data["read_at"],
            **signed,
        ),
        f"The medium of {vessel} is recorded.",
        "inventory/medium_change.html",
        context={"vessel": vessel},
        to=vessel,
    )


@for_roles(HANDLING)
def transfer(request, pk):
    """Move metal into empty, tared vessels of the batch, or of no batch yet."""
    source = get_object_or_404(
        Vessel.objects.for_list().filter(filled_on__isnull=False), pk=pk
    )
    targets = to_fill(source, request.POST)
    form = TransferForm(
        request.POST or None,
        source=source,
        targets=targets,
        ageing=story.age(source),
        initial={"line": request.GET.get("line")},
    )
    found = None
    if form.is_valid():
        if "work-out" in request.POST:
            found = look(source, form)
        elif record(request, source, form):
            return redirect(after_transfer(source, form))
    context = {
        "vessel": source,
        "form": form,
        "found": found,
        "more_ug": found and more_than_promised(source, form, found),
        "seal": story.by_last_look(source),
    }
    return render(request, "inventory/transfer.html", context, status=status_of(form))


def after_transfer(source, form):
    """Return where one looks next: the pick list an aliquot is for, or the source."""
    if line := form.cleaned_data.get("line"):
        return reverse("booking-pick", args=[line.booking_id])
    return source.get_absolute_url()


def to_fill(source, posted):
    """Return the empty vessels that metal may go into from `source`.

    And those that a sent form names: sent twice, it has filled them, and has to
    say that nothing is recorded a second time.
    """
    empty = Q(filled_on=None, retired_on=None, is_tared=True)
    of_the_batch = Q(batch=source.batch) | Q(batch=None)
    named = keys(name.removeprefix("gross_") for name in posted if posted[name])
    tared = Vessel.objects.with_tared()
    vessels = tared.filter(empty & of_the_batch | Q(pk__in=named))
    return list(vessels.order_by("batch", "number", "id")[:MOST_TARGETS])


def look(source, form):
    """Return the Balance of the transfer, with refusals put on the form."""
    try:
        found = transferring.work_out(
            source, form.arrivals(), form.how(), form.cleaned_data["read_at"]
        )
        more_than_promised(source, form, found)
    except OperationError as error:
        add_refusal(form, error)
    else:
        return found


def more_than_promised(source, form, found):
    """Return the µg that arrived beyond the booking drawn for, or refuse them."""
    line = form.cleaned_data.get("line")
    if line is None:
        return 0
    return serving.refuse_surplus(
        line, source, found.arrived_ug, found.u_arrived_ug, held=False
    )


def record(request, source, form):
    """Record the transfer; return its movements, or None if it was refused."""
    data = form.cleaned_data
    return carry_out(
        request,
        form,
        lambda: transferring.transfer(
            source,
            form.arrivals(),
            how=form.how(),
            loss_reason=data["loss_reason"] if data["is_loss"] else "",
            line=data.get("line"),
            settle=data.get("settle", True),
            happened_at=data["read_at"],
            by=request.user,
            request_id=data["request_id"],
        ),
        lambda movements: movements[0].entry.summary + ".",
    )
