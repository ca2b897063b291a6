"""The catalogue: every number with its source, and this laboratory's own values."""

from django.shortcuts import get_object_or_404, render

from inventory.models import Material, Medium, Property
from inventory.operations import catalogue
from inventory.operations.access import INSIDE, KEEPING, for_roles
from inventory.web.forms.register import PropertyForm
from inventory.web.submit import answer, summary


@for_roles(INSIDE)
def material_list(request):
    context = {"materials": Material.objects.all(), "media": Medium.objects.all()}
    return render(request, "inventory/material_list.html", context)


@for_roles(INSIDE)
def material(request, symbol):
    record = get_object_or_404(Material, symbol=symbol)
    context = {
        "material": record,
        "numbers": numbers(record.properties.all()),
        "rules": record.rules.select_related("medium").order_by("medium"),
        "hazards": record.hazards.all(),
    }
    return render(request, "inventory/material.html", context)


@for_roles(INSIDE)
def medium(request, key):
    record = get_object_or_404(Medium, key=key)
    context = {
        "medium": record,
        "numbers": numbers(record.properties.all()),
        "rules": record.rules.select_related("material").order_by("material"),
    }
    return render(request, "inventory/medium.html", context)


def numbers(properties):
    """Return each property's shipped row, and the own one where it is in use."""
    rows = properties.select_related("entry__by")
    (in_use,) = rows.in_use().values() or ({},)
    shipped = {row.name: row for row in rows.order_by("id") if not row.is_own}
    return [
        {"shipped": row, "own": in_use[name] if in_use[name].is_own else None}
        for name, row in shipped.items()
    ]


@for_roles(KEEPING)
def property_change(request, pk):
    shipped = get_object_or_404(
        Property.objects.select_related("material", "medium").filter(is_own=False),
        pk=pk,
    )
    holder = shipped.material or shipped.medium
    form = PropertyForm(request.POST or None, prop=shipped)

    def set_property(**signed):
        data = form.cleaned_data
        return catalogue.set_property(
            shipped,
            value=data["value"],
            uncertainty=data["uncertainty"],
            source=data["source"] or shipped.source,
            **signed,
        )

    return answer(
        request,
        form,
        set_property,
        summary,
        "inventory/property_form.html",
        context={"shipped": shipped, "holder": holder},
        to=holder,
    )
