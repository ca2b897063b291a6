"""A batch's papers: choosing them, and each as PDF."""

from collections.abc import Callable
from io import BytesIO
from typing import Any

from django.http import FileResponse, HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, render

from inventory.models import Batch
from inventory.operations import closing
from inventory.operations.access import INSIDE, for_roles
from labels.content import base_url
from labels.wording import CannotPrint

from . import certified, content
from .certificate import print_certificate
from .forms import PapersForm
from .tare_sheet import print_sheet

# Makes the PDF of a batch, out of the form's data and the address of printed codes.
Press = Callable[[Batch, dict[str, Any], str], bytes]


@for_roles(INSIDE)
def papers(request: HttpRequest, code: str) -> HttpResponse:
    """Show what can be printed about a batch."""
    return page(request, asked_for(code), PapersForm())


@for_roles(INSIDE)
def certificate(request: HttpRequest, code: str) -> HttpResponseBase:
    """Answer with the certificate. It tells of every vessel: no partner may have it."""

    def press(batch: Batch, data: dict[str, Any], base: str) -> bytes:
        return print_certificate(certified.certificate(batch, base), data["paper"])

    return printed(request, code, "certificate", press)


@for_roles(INSIDE)
def tare_sheet(request: HttpRequest, code: str) -> HttpResponseBase:
    def press(batch: Batch, data: dict[str, Any], base: str) -> bytes:
        sheet = content.tare_sheet(batch, base, blank=data["rows"])
        return print_sheet(sheet, data["paper"])

    return printed(request, code, "tare-sheet", press)


def printed(
    request: HttpRequest, code: str, name: str, press: Press
) -> HttpResponseBase:
    """Answer with the PDF, or with the papers' page and why there is none."""
    batch = asked_for(code)
    form = PapersForm.of_query(request.GET)
    if form.is_valid():
        try:
            pdf = press(batch, form.cleaned_data, base_url(request))
        except CannotPrint as error:
            form.add_error(None, str(error))
        else:
            return FileResponse(BytesIO(pdf), filename=f"{name}-{batch}.pdf")
    return page(request, batch, form, status=422)


def asked_for(code: str) -> Any:
    batches = Batch.objects.select_related("material")
    return get_object_or_404(batches, code=code.upper())


def page(
    request: HttpRequest, batch: Batch, form: PapersForm, status: int = 200
) -> HttpResponse:
    context = {"batch": batch, "form": form, "closed": closing.standing(batch)}
    return render(request, "labels/papers.html", context, status=status)
