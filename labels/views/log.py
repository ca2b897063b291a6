"""Which labels were printed: by whom, when, how, and why again."""

from typing import Any

from django import forms
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.text import capfirst

from inventory.models import LabelPrint, User
from inventory.operations.access import INSIDE, for_roles
from labels import kept
from labels.formats import FORMATS
from labels.own import every_sheet

PER_PAGE = 50


class LogForm(forms.Form):
    """What the log can be narrowed down by."""

    q = forms.CharField(label="Code", required=False, max_length=60)
    by = forms.ModelChoiceField(
        User.objects.all(), label="Who", required=False, empty_label="Anybody"
    )
    format = forms.ChoiceField(
        choices=[("", "Any format"), *((f.key, f.name) for f in FORMATS.values())],
        required=False,
    )
    again = forms.BooleanField(label="Printed again only", required=False)


@for_roles(INSIDE)
def entries(request: HttpRequest) -> HttpResponse:
    """Show what was printed, newest first."""
    form = LogForm(request.GET)
    form.is_valid()
    rows = narrowed(form.cleaned_data)
    page = Paginator(rows, PER_PAGE).get_page(request.GET.get("page"))
    sheets = {key: sheet.name for key, sheet in every_sheet().items()}
    context = {
        "form": form,
        "page": page,
        "rows": [row(printed, sheets, request.user) for printed in page],
    }
    return render(request, "labels/log.html", context)


def narrowed(wanted: dict[str, Any]) -> Any:
    """Return the prints that the filter leaves; a field that is wrong narrows not."""
    rows = LabelPrint.objects.select_related("vessel", "entry__by").order_by("-id")
    if code := (wanted.get("q") or "").strip().upper():
        rows = rows.filter(vessel__code__startswith=code)
    if by := wanted.get("by"):
        rows = rows.filter(entry__by=by)
    if format := wanted.get("format"):
        rows = rows.filter(format=format)
    if wanted.get("again"):
        rows = rows.exclude(reason="")
    return rows


def row(printed: Any, sheets: dict[str, str], user: Any) -> dict[str, Any]:
    """Return a print with its words, its PDF while that is kept, and its address.

    The address is that of the page which prints it again as it was.
    """
    mine = printed.entry.by_id == user.pk
    job = printed.entry.request_id
    format = FORMATS.get(printed.format)
    return {
        "printed": printed,
        "format": format.name if format else capfirst(printed.format),
        "sheet": sheets.get(printed.sheet, "a sheet no longer in use"),
        "again": again(printed, sheets),
        "job": job if mine and kept.find(user, job) else None,
    }


def again(printed: Any, sheets: dict[str, str]) -> str:
    """Return the address of the print page, filled in as it was then."""
    languages = printed.languages.split()
    query = {
        "vessel": printed.vessel_id,
        "format": printed.format,
        "mode": printed.mode,
        **dict(zip(("first", "second", "third"), languages, strict=False)),
        **dict.fromkeys(printed.extras.split(), "on"),
    }
    if printed.sheet in sheets:
        query["sheet"] = printed.sheet
    return reverse("labels:print", query=query)
