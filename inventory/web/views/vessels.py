"""Vessels: the list, the page, taring, moving and retiring."""

from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django_filters.views import FilterView
from django_tables2 import SingleTableMixin

from inventory.calc.keys import keys
from inventory.models import Batch, Vessel
from inventory.operations import vessels
from inventory.operations.access import HANDLING, INSIDE, for_roles
from inventory.operations.readings import Facts
from inventory.web import story
from inventory.web.contents import drawing
from inventory.web.exports import CsvMixin
from inventory.web.filters import VesselFilter
from inventory.web.forms.vessels import (
    MoveForm,
    ReasonForm,
    TareAgainForm,
    TareForm,
    TareRows,
    empties,
)
from inventory.web.forms.weighing import observation
from inventory.web.submit import carry_out, status_of
from inventory.web.tables import VesselTable


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
    context = {
        "vessel": record,
        "figure": drawing(record, facts, size="large"),
        **story.of_vessel(record, facts),
    }
    return render(request, "inventory/vessel.html", context)


@for_roles(HANDLING)
def tare(request):
    """Tare a set of vessels, one row each; rows without a reading are left out."""
    batch = Batch.objects.filter(code=request.GET.get("batch", "")).first()
    form = TareForm(request.POST or None, initial={"batch": batch and batch.code})
    rows = TareRows(more_rows(request.POST) if request.POST else None)
    wants_more = "more" in request.POST
    complete = request.POST and not wants_more and form.is_valid() and rows.is_valid()
    if complete and (found := empties(form, rows)):
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
    if wants_more:
        form = TareForm(initial=request.POST.dict())
    return render(
        request,
        "inventory/tare.html",
        {"form": form, "rows": rows},
        status=200 if wants_more else status_of(form, *rows),
    )


def after_taring(made):
    """Return where one looks next: the batch, the only vessel, or the tared ones."""
    if made[0].batch_id:
        return made[0].batch.get_absolute_url()
    if len(made) == 1:
        return made[0].get_absolute_url()
    return reverse("vessel-list", query={"state": "tared"})


def more_rows(data):
    """Return the posted rows, with six more if the button for that was pressed."""
    if "more" not in data:
        return data
    data = data.copy()
    total = sum(keys([data.get("form-TOTAL_FORMS", "")]))
    data["form-TOTAL_FORMS"] = min(total + 6, 100)
    return data


@for_roles(HANDLING)
def tare_again(request, pk):
    record = get_object_or_404(Vessel, pk=pk)
    form = TareAgainForm(request.POST or None)
    if form.is_valid():
        data = form.cleaned_data
        weighing = carry_out(
            request,
            form,
            lambda: vessels.tare_again(
                record,
                observation(form, data["reading"], gas=data["gas"]),
                by=request.user,
                request_id=data["request_id"],
            ),
            f"New tare of {record} recorded.",
        )
        if weighing:
            return redirect(record)
    return one_form(request, form, record, "Tare again", "Record the tare", "balance")


@for_roles(HANDLING)
def move(request, pk):
    record = get_object_or_404(Vessel, pk=pk)
    form = MoveForm(request.POST or None, initial={"place": record.place_id})
    if form.is_valid():
        data = form.cleaned_data
        moved = carry_out(
            request,
            form,
            lambda: vessels.move(
                record, data["place"], by=request.user, request_id=data["request_id"]
            ),
            f"{record} now stands in {data['place']}.",
        )
        if moved:
            return redirect(record)
    return one_form(request, form, record, "Move", "Record the move", "move")


@for_roles(HANDLING)
def retire(request, pk):
    record = get_object_or_404(Vessel, pk=pk)
    form = ReasonForm(request.POST or None)
    if form.is_valid():
        data = form.cleaned_data
        retired = carry_out(
            request,
            form,
            lambda: vessels.retire(
                record,
                reason=data["reason"],
                by=request.user,
                request_id=data["request_id"],
            ),
            f"{record} is retired. Its code keeps its meaning.",
        )
        if retired:
            return redirect(record)
    return one_form(request, form, record, "Retire", "Retire this vessel", "check")


def one_form(request, form, record, verb, submit, icon):
    """Show a single form about one vessel."""
    context = {
        "form": form,
        "vessel": record,
        "verb": verb,
        "submit": submit,
        "icon_name": icon,
    }
    return render(
        request, "inventory/vessel_form.html", context, status=status_of(form)
    )
