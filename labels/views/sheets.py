"""The laboratory's own sheets: listed, measured, drawn, calibrated, put away."""

from io import BytesIO
from typing import Any

from django.contrib import messages
from django.http import FileResponse, Http404, HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone

from inventory.models import LabelSheet
from inventory.operations import register
from inventory.operations.access import HANDLING, KEEPING, for_roles
from inventory.operations.errors import OperationError
from labels import shown
from labels.formats import FORMATS
from labels.forms.sheets import RetireForm, SheetForm
from labels.geometry import Sheet
from labels.own import key_of, sheet_of
from labels.render import render_calibration
from labels.stock import SHEETS


@for_roles(HANDLING)
def sheet_list(request: HttpRequest) -> HttpResponse:
    """Show the sheets in use: the laboratory's own, then those that are shipped."""
    records = LabelSheet.objects.filter(retired_on=None)
    context = {
        "own": [{"record": record, **row(sheet_of(record))} for record in records],
        "shipped": [row(sheet) for sheet in SHEETS.values()],
    }
    return render(request, "labels/sheets.html", context)


def row(sheet: Sheet) -> dict[str, Any]:
    fits = [one.name for one in FORMATS.values() if one.fits(sheet.piece_mm)]
    return {"sheet": sheet, "formats": ", ".join(fits), "plain": is_plain(sheet)}


@for_roles(KEEPING)
def add(request: HttpRequest) -> HttpResponseBase:
    """Begin a sheet; `like` names a shipped one whose measures it takes over."""
    like = SHEETS.get(request.GET.get("like", ""))
    taken_over = measures(like) if like and is_plain(like) else None
    return sheet_page(request, None, taken_over)


def is_plain(sheet: Sheet) -> bool:
    """Whether an own sheet can say all that there is to say of this one."""
    return not (sheet.turned or sheet.uncut or sheet.endless)


def measures(sheet: Sheet) -> dict[str, Any]:
    """Return a sheet as its form's fields; it is named by whoever saves it."""
    pairs = {
        ("page_width_mm", "page_height_mm"): sheet.page_mm,
        ("label_width_mm", "label_height_mm"): sheet.label_mm,
        ("margin_left_mm", "margin_top_mm"): sheet.margin_mm,
        ("pitch_x_mm", "pitch_y_mm"): sheet.pitch_mm,
        ("columns", "rows"): (sheet.columns, sheet.rows),
        ("offset_x_mm", "offset_y_mm"): sheet.offset_mm,
    }
    found = {
        name: value
        for names, values in pairs.items()
        for name, value in zip(names, values, strict=True)
    }
    return typed({**found, "clear_mm": sheet.clear_mm})


@for_roles(KEEPING)
def change(request: HttpRequest, pk: int) -> HttpResponseBase:
    record = get_object_or_404(LabelSheet, pk=pk, retired_on=None)
    names = set(SheetForm.base_fields) - {"request_id"}
    return sheet_page(request, record, typed({n: getattr(record, n) for n in names}))


def typed(facts: dict[str, Any]) -> dict[str, Any]:
    """Return measures as a person would type them: 210, not 210.0."""
    return {
        name: f"{value:g}" if isinstance(value, float) else value
        for name, value in facts.items()
    }


def sheet_page(
    request: HttpRequest, record: Any, initial: dict[str, Any] | None
) -> HttpResponseBase:
    """Show and carry out the form of a sheet; "draw" only draws what was typed."""
    form = SheetForm(request.POST or None, record=record, initial=initial)
    if "draw" not in request.POST and form.is_valid():
        signed = {"by": request.user, "request_id": form.cleaned_data["request_id"]}
        try:
            saved = (
                register.change(record, form.facts, **signed)
                if record
                else register.add(LabelSheet, form.facts, **signed)
            )
        except OperationError as error:
            form.add_error(error.field, str(error))
        else:
            messages.success(request, f"Sheet “{saved}” saved. Print its calibration.")
            return redirect("labels:sheets")
    context = {"form": form, "record": record, **drawn(form, initial)}
    wrong = form.is_bound and form.errors
    return render(
        request, "labels/sheet_form.html", context, status=422 if wrong else 200
    )


def drawn(form: SheetForm, initial: dict[str, Any] | None) -> dict[str, Any]:
    """Return the sheet as it is typed, or why it cannot be drawn."""
    if not form.is_bound:
        fields = SheetForm.base_fields.items()
        data = {"name": "–", **{name: field.initial for name, field in fields}}
        form = SheetForm({**data, "name": "–", **(initial or {})})
    form.is_valid()
    if form.sheet is None:
        return {"sheet": None}
    return {"sheet": form.sheet, "spots": shown.spots(form.sheet)}


@for_roles(KEEPING)
def drawing(request: HttpRequest) -> HttpResponse:
    """Answer the page's script with the sheet as it is typed at this moment."""
    form = SheetForm(request.GET)
    return render(request, "labels/_sheet_drawing.html", drawn(form, None))


@for_roles(KEEPING)
def retire(request: HttpRequest, pk: int) -> HttpResponseBase:
    """Put a sheet away. The log still names it."""
    record = get_object_or_404(LabelSheet, pk=pk)
    form = RetireForm(request.POST or None)
    if form.is_valid():
        signed = {"by": request.user, "request_id": form.cleaned_data["request_id"]}
        register.change(record, {"retired_on": timezone.localdate()}, **signed)
        messages.success(request, f"Sheet “{record}” is put away.")
        return redirect("labels:sheets")
    context = {"form": form, "record": record}
    wrong = form.is_bound and form.errors
    return render(
        request, "labels/sheet_retire.html", context, status=422 if wrong else 200
    )


@for_roles(HANDLING)
def calibration(request: HttpRequest, key: str) -> FileResponse:
    """Answer with the page to print first: rulers, and where the labels come to lie."""
    sheet = SHEETS.get(key) or own(key)
    if sheet is None:
        raise Http404("There is no such sheet in use.")
    pdf = BytesIO(render_calibration(sheet))
    return FileResponse(pdf, filename=f"calibration-{key}.pdf")


def own(key: str) -> Sheet | None:
    for record in LabelSheet.objects.filter(retired_on=None):
        if key_of(record) == key:
            return sheet_of(record)
    return None
