"""Vessels: the list, the page, taring, moving and retiring."""

from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django_filters.views import FilterView
from django_tables2 import SingleTableMixin

from inventory.models import Batch, Vessel
from inventory.operations import vessels
from inventory.operations.access import HANDLING, INSIDE, for_roles
from inventory.operations.readings import Facts
from inventory.web import chances, story
from inventory.web.contents import drawing
from inventory.web.exports import CsvMixin
from inventory.web.filters import VesselFilter
from inventory.web.forms.needs import VesselNeedForm
from inventory.web.forms.vessels import (
    MoveForm,
    TareAgainForm,
    TareForm,
    TareRowForm,
    TareRows,
    empties,
)
from inventory.web.forms.weighing import observation
from inventory.web.submit import (
    answer,
    answer_with_reason,
    carry_out,
    status_of,
    summary,
)
from inventory.web.tables import VesselTable

ONE_FORM = "inventory/vessel_form.html"


class VesselList(CsvMixin, SingleTableMixin, FilterView):
    filterset_class = VesselFilter
    table_class = VesselTable
    template_name = "inventory/vessel_list.html"
    export_name = "vessels"

    def get_queryset(self):
        return Vessel.objects.for_list()

    def get_table_kwargs(self):
        return {"facts": Facts.read()}

    def get_filterset_kwargs(self, filterset_class):
        kwargs = super().get_filterset_kwargs(filterset_class)
        return {**kwargs, "data": self.request.GET}


vessel_list = for_roles(INSIDE)(VesselList.as_view())


@for_roles(INSIDE)
def vessel(request, pk):
    """One vessel: what it holds, how that is known, and what happened to it."""
    record = get_object_or_404(
        Vessel.objects.for_list().select_related("gas", "batch__hazard"), pk=pk
    )
    facts = Facts.read()
    form = VesselNeedForm(
        request.GET if request.GET.get("need") else None, vessel=record
    )
    context = {
        "vessel": record,
        "figure": drawing(record, facts, size="large"),
        "now": timezone.now(),
        "need_form": form,
        "enough": chances.answer(record, form, facts)
        if record.remaining_ug and form.is_valid()
        else None,
        **story.of_vessel(record, facts),
    }
    return render(request, "inventory/vessel.html", context)


@for_roles(HANDLING)
def tare(request):
    """Tare a set of vessels, one row each; rows without a reading are left out."""
    if "more" in request.POST:
        return with_more_rows(request)
    batch = Batch.objects.filter(code=request.GET.get("batch", "")).first()
    form = TareForm(request.POST or None, initial={"batch": batch and batch.code})
    rows = TareRows(request.POST or None)
    both_valid = form.is_valid() and rows.is_valid()
    if both_valid and (found := empties(form, rows)):
        data = form.cleaned_data
        made = carry_out(
            request,
            form,
            lambda: vessels.tare(
                found,
                batch=data["batch"],
                place=data["place"],
                by=request.user,
                request_id=data["request_id"],
            ),
            lambda made: f"Tared {len(made)} vessels: {', '.join(map(str, made))}.",
            rows=rows,
        )
        if made:
            return redirect(after_taring(made))
    context = {"form": form, "rows": rows}
    return render(
        request, "inventory/tare.html", context, status=status_of(form, *rows)
    )


def with_more_rows(request):
    """Show what was typed again, as it was typed, with six more rows below."""
    typed = TareRows(request.POST)
    names = TareRowForm.base_fields
    rows = [{name: row[name].value() for name in names} for row in typed]
    context = {
        "form": TareForm(initial=request.POST.dict()),
        "rows": TareRows(initial=rows),
    }
    return render(request, "inventory/tare.html", context)


def after_taring(made):
    """Return where one looks next: the batch, the only vessel, or the tared ones."""
    if made[0].batch_id:
        return made[0].batch.get_absolute_url()
    if len(made) == 1:
        return made[0].get_absolute_url()
    return reverse("vessel-list", query={"state": "tared"})


@for_roles(HANDLING)
def tare_again(request, pk):
    """Tare a vessel that is still empty: for the first time, or anew."""
    record = get_object_or_404(Vessel.objects.with_tared(), pk=pk)
    form = TareAgainForm(request.POST or None)

    def tare_again(**signed):
        data = form.cleaned_data
        seen = observation(form, data["reading"], gas=data["gas"])
        return vessels.tare_again(record, seen, **signed)

    verb = "Tare again" if record.is_tared else "Tare"
    words = about(record, verb, "Record the tare", "balance")
    return answer(
        request, form, tare_again, summary, ONE_FORM, context=words, to=record
    )


@for_roles(HANDLING)
def move(request, pk):
    record = get_object_or_404(Vessel, pk=pk)
    form = MoveForm(request.POST or None, initial={"place": record.place_id})
    return answer(
        request,
        form,
        lambda **signed: vessels.move(record, form.cleaned_data["place"], **signed),
        lambda moved: f"{moved} now stands in {form.cleaned_data['place']}.",
        ONE_FORM,
        context=about(record, "Move", "Record the move", "move"),
        to=record,
    )


@for_roles(HANDLING)
def retire(request, pk):
    record = get_object_or_404(Vessel, pk=pk)
    return answer_with_reason(
        request,
        lambda **signed: vessels.retire(record, **signed),
        f"{record} is retired. Its code keeps its meaning.",
        ONE_FORM,
        context=about(record, "Retire", "Retire this vessel", "check"),
        to=record,
    )


def about(record, verb, submit, icon):
    """Return the words of a page with a single form about one vessel."""
    return {"vessel": record, "verb": verb, "submit": submit, "icon_name": icon}
