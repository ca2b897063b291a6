"""Choosing what to print labels for, and the sheet as PDF."""

from io import BytesIO
from typing import Any

from django.http import FileResponse, HttpRequest, HttpResponse, QueryDict
from django.http.response import HttpResponseBase
from django.shortcuts import render

from inventory.calc.keys import keys
from inventory.models import Vessel
from inventory.operations.access import HANDLING, for_roles

from .content import base_url, for_vessels, printable
from .forms import PrintForm
from .render import render_sheets
from .stock import SHEETS
from .wording import CannotPrint

MOST_SHOWN = 200


@for_roles(HANDLING)
def choose(request: HttpRequest) -> HttpResponse:
    """Show the vessels that were asked for, ticked, and the sheets."""
    vessels = asked_for(request.GET)
    form = PrintForm(initial={"skip": 0})
    return page(request, form, vessels)


def asked_for(query: QueryDict) -> Any:
    """Return the vessels named by key, batch or place in the query string."""
    vessels = printable(Vessel.objects.all())
    if chosen := keys(query.getlist("vessel")):
        return vessels.filter(pk__in=chosen)
    if batch := query.get("batch"):
        return vessels.filter(batch__code=batch)
    return vessels.filter(place__in=keys(query.getlist("place")))


def page(
    request: HttpRequest, form: PrintForm, vessels: Any, status: int = 200
) -> HttpResponse:
    context = {
        "form": form,
        "vessels": vessels[:MOST_SHOWN],
        "more": vessels[MOST_SHOWN : MOST_SHOWN + 1],
        "shown_at_most": MOST_SHOWN,
    }
    return render(request, "labels/print.html", context, status=status)


@for_roles(HANDLING)
def sheet(request: HttpRequest) -> HttpResponseBase:
    """Answer with the PDF, or with the form again and why not."""
    form = PrintForm(request.GET)
    if form.is_valid():
        data = form.cleaned_data
        try:
            contents = for_vessels(data["vessel"], base_url(request))
            pdf = render_sheets(
                contents,
                SHEETS[data["sheet"]],
                skip=data["skip"],
                outlines=data["outlines"],
            )
        except CannotPrint as error:
            form.add_error(None, str(error))
        else:
            return FileResponse(BytesIO(pdf), filename="labels.pdf")
    return page(request, form, asked_for(request.GET), status=422)
