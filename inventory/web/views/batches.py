"""Batches: the list, the record that every label leads to, and what was charged."""

from django.shortcuts import get_object_or_404, render
from django.utils import timezone
from django_filters.views import FilterView
from django_tables2 import SingleTableMixin

from inventory.calc.keys import keys
from inventory.models import Batch, Charge
from inventory.operations import batches, labelling
from inventory.operations.access import ALL, HANDLING, INSIDE, for_roles
from inventory.operations.readings import Facts
from inventory.web import fate, origin, run_words, theirs, vouching
from inventory.web.contents import drawing
from inventory.web.exports import CsvMixin
from inventory.web.filters import BatchFilter
from inventory.web.forms.batches import BatchChangeForm, BatchForm, ChargeForm
from inventory.web.submit import answer, answer_with_reason, summary
from inventory.web.tables import BatchTable

MOST_VESSELS = 200


class BatchList(CsvMixin, SingleTableMixin, FilterView):
    filterset_class = BatchFilter
    table_class = BatchTable
    template_name = "inventory/batch_list.html"
    export_name = "batches"

    def get_queryset(self):
        return Batch.objects.select_related("material").with_filled().with_held()


batch_list = for_roles(INSIDE)(BatchList.as_view())


@for_roles(ALL)
def batch(request, code):
    """Show where a metal came from, with the scanned vessel marked."""
    rows = Batch.objects.select_related("material", "hazard").with_held()
    mine = theirs.batches(rows, request.user)
    record = theirs.get_or_404(request, rows, mine, code=code.upper())
    vessels = labelling.with_label_state(record.vessels.for_list())
    if request.user.is_partner:
        vessels = vessels.filter(pk__in=theirs.vessels(request.user))
    facts = Facts.read()
    marked = request.GET.get("vessel", "")
    context = {
        "batch": record,
        "vessels": [
            {
                "vessel": vessel,
                "figure": drawing(vessel, facts, size="small"),
                "marked": str(vessel.number) == marked,
            }
            for vessel in vessels.order_by("number")[:MOST_VESSELS]
        ],
        **scanned(vessels, marked, with_reasons=not request.user.is_partner),
        "shown_at_most": MOST_VESSELS,
        "inside": not request.user.is_partner,
        "parents": record.parents.select_related("material"),
        **vouching.of_batch(record, request.user),
    }
    if context["inside"]:
        context |= origin.of_batch(record)
        context |= run_words.summary(record, context["account"], facts)
        entries = record.entries.exclude(verb="run-reading")  # the run's page has them
        context["entries"] = entries.select_related("by")[:30]
    return render(request, "inventory/batch.html", context)


def scanned(vessels, number, *, with_reasons):
    """Return the vessel whose label was scanned, and what became of it."""
    vessel = vessels.filter(number__in=keys([number])).first()
    told = fate.of_vessel(vessel, with_reasons=with_reasons) if vessel else []
    return {"marked": vessel, "fate": told}


@for_roles(HANDLING)
def add(request):
    form = BatchForm(request.POST or None, initial={"made_on": timezone.localdate()})
    return answer(
        request,
        form,
        lambda **signed: batches.record(**form.parts(), **signed),
        lambda made: f"Batch {made} recorded. Tare its vessels before the run.",
        "inventory/batch_form.html",
    )


@for_roles(HANDLING)
def change(request, code):
    record = get_object_or_404(Batch.objects.select_related("material"), code=code)
    names = BatchChangeForm.base_fields
    initial = {n: getattr(record, n) for n in names if hasattr(record, n)}
    if record.purity is not None:
        initial["purity"] = f"{record.purity * 100:.10g} %"
    initial["hazard"] = record.hazard_id
    initial["parents"] = record.parents.values_list("code", flat=True)
    form = BatchChangeForm(request.POST or None, batch=record, initial=initial)
    return answer(
        request,
        form,
        lambda **signed: batches.change(record, **form.parts(), **signed),
        f"Batch {record} changed.",
        "inventory/batch_form.html",
        context={"batch": record},
    )


@for_roles(HANDLING)
def charge(request, code):
    record = get_object_or_404(Batch.objects.select_related("material"), code=code)
    form = ChargeForm(request.POST or None)
    return answer(
        request,
        form,
        lambda **signed: batches.charge(record, **form.charge(), **signed),
        summary,
        "inventory/charge.html",
        context={"batch": record},
        to=record,
    )


@for_roles(HANDLING)
def strike_charge(request, pk):
    record = get_object_or_404(
        Charge.objects.select_related("batch").filter(withdraws=None), pk=pk
    )
    return answer_with_reason(
        request,
        lambda **signed: batches.withdraw_charge(record, **signed),
        summary,
        "inventory/charge_strike.html",
        context={"charge": record, "batch": record.batch},
        to=record.batch,
    )
