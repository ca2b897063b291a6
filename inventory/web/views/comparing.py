"""Batches of the same metal and process side by side."""

from django.shortcuts import render

from inventory.operations.access import INSIDE, for_roles
from inventory.web import comparison, dots
from inventory.web.forms.comparing import CompareForm


@for_roles(INSIDE)
def compare(request):
    """Compare the newest batches of one metal and process, by yield and conditions."""
    form = CompareForm(request.GET or None)
    context = {"form": form, "groups": comparison.groups()}
    if form.is_valid():
        asked = form.cleaned_data
        batches = comparison.alike(asked["material"], asked["process"], asked["q"])
        rows = comparison.rows_of(list(batches[: comparison.NEWEST]))
        said = comparison.said_of(rows)
        context |= {
            "rows": rows,
            "count": batches.count(),
            "said": said,
            "left_out": comparison.left_out(rows),
            "plot": dots.drawn(rows, said),
        }
    return render(request, "inventory/compare.html", context)
