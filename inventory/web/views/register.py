"""Places, balances and the laboratory."""

from django.db.models import Count, Q
from django.shortcuts import get_object_or_404, render
from django_tables2 import SingleTableView

from inventory.calc.units import show_mass_plain, show_temperature
from inventory.models import Balance, Laboratory, Place, Vessel
from inventory.operations import register
from inventory.operations.access import INSIDE, KEEPING, for_roles
from inventory.operations.readings import Facts
from inventory.web.contents import drawing
from inventory.web.forms.register import BalanceForm, LaboratoryForm, PlaceForm
from inventory.web.submit import answer
from inventory.web.tables import BalanceTable, PlaceTable

MOST_VESSELS = 200
HOLDING = Q(vessels__filled_on__isnull=False, vessels__spent_on=None)


class PlaceList(SingleTableView):
    table_class = PlaceTable
    template_name = "inventory/place_list.html"

    def get_queryset(self):
        # A query that counts loses the order of its model.
        places = Place.objects.select_related("within").order_by("name")
        return places.annotate(vessel_count=Count("vessels", filter=HOLDING))


place_list = for_roles(INSIDE)(PlaceList.as_view())


@for_roles(INSIDE)
def place(request, pk):
    record = get_object_or_404(Place.objects.select_related("within"), pk=pk)
    vessels = Vessel.objects.for_list().in_stock().filter(place=record)
    facts = Facts.read()
    context = {
        "place": record,
        "parts": record.parts.all(),
        "vessels": [
            {"vessel": vessel, "figure": drawing(vessel, facts, size="small")}
            for vessel in vessels[:MOST_VESSELS]
        ],
        "shown_at_most": MOST_VESSELS,
    }
    return render(request, "inventory/place.html", context)


class BalanceList(SingleTableView):
    table_class = BalanceTable
    queryset = Balance.objects.all()
    template_name = "inventory/balance_list.html"

    def get_table(self, **kwargs):
        table = super().get_table(**kwargs)
        if not self.request.user.is_keeper:
            table.columns["name"].link = None
        return table


balance_list = for_roles(INSIDE)(BalanceList.as_view())


def place_facts(record):
    return {
        "name": record.name,
        "kind": record.kind,
        "within": record.within_id,
        "warmest": show_temperature(record.warmest_c),
        "note": record.note,
    }


def balance_facts(record):
    names = ("readability", "repeatability", "nonlinearity", "capacity")
    masses = {n: show_mass_plain(getattr(record, f"{n}_ug")) for n in names}
    return {
        "name": record.name,
        "is_in_use": record.is_in_use,
        "drift": record.drift_ppm,
        "due_on": record.due_on,
        "certificate": record.certificate,
        **masses,
    }


def laboratory_facts(record):
    return {"name": record.name, "address": record.address, "phone": record.phone}


def form_page(request, form_class, record, initial, words, back):
    """Show and carry out the form of one place, balance or laboratory."""
    form = form_class(request.POST or None, record=record, initial=initial)
    return answer(
        request,
        form,
        lambda **signed: (
            register.change(record, form.record_facts, **signed)
            if record
            else register.add(form_class.model, form.record_facts, **signed)
        ),
        lambda saved: f"{saved} saved.",
        "inventory/register_form.html",
        context={"record": record, "words": words, "back": back},
        to=back,
    )


@for_roles(KEEPING)
def place_add(request):
    return form_page(request, PlaceForm, None, None, "place", "place-list")


@for_roles(KEEPING)
def place_change(request, pk):
    record = get_object_or_404(Place, pk=pk)
    return form_page(
        request, PlaceForm, record, place_facts(record), "place", "place-list"
    )


@for_roles(KEEPING)
def balance_add(request):
    return form_page(request, BalanceForm, None, None, "balance", "balance-list")


@for_roles(KEEPING)
def balance_change(request, pk):
    record = get_object_or_404(Balance, pk=pk)
    return form_page(
        request, BalanceForm, record, balance_facts(record), "balance", "balance-list"
    )


@for_roles(KEEPING)
def laboratory(request):
    """Show the supplier block of every label; without it none can be printed."""
    record = Laboratory.objects.first()
    initial = laboratory_facts(record) if record else None
    return form_page(request, LaboratoryForm, record, initial, "laboratory", "home")
