"""A sheet of the laboratory's own, measured with a ruler."""

import uuid
from typing import Any

from django import forms

from inventory.models import LabelSheet
from inventory.operations import log
from labels.geometry import Sheet
from labels.own import sheet_of

MOST_PLACES = 400
LONGEST_MM = 1200
# Which field a refusal of geometry.Sheet belongs to, by words in its sentence.
WHERE = (
    ("overlap", "width", "pitch_x_mm"),
    ("overlap", "height", "pitch_y_mm"),
    ("beyond", "width", "columns"),
    ("beyond", "height", "rows"),
    ("clear edge", "", "clear_mm"),
)


def length(label: str, help_text: str = "", **facts: Any) -> forms.FloatField:
    facts = {"min_value": 1, "max_value": LONGEST_MM, **facts}
    return forms.FloatField(
        label=label,
        help_text=help_text,
        widget=forms.NumberInput(attrs={"step": "any", "inputmode": "decimal"}),
        **facts,
    )


class SheetForm(forms.Form):
    """A grid of equal labels, all lengths in millimetres."""

    request_id = forms.UUIDField(widget=forms.HiddenInput, initial=uuid.uuid4)
    name = forms.CharField(
        max_length=60, help_text="What is written on its package, or what you call it."
    )
    page_width_mm = length("Page, width in mm", initial=210)
    page_height_mm = length("Page, height in mm", initial=297)
    label_width_mm = length("Label, width in mm", initial=70)
    label_height_mm = length("Label, height in mm", initial=37)
    columns = forms.IntegerField(min_value=1, max_value=40, initial=3)
    rows = forms.IntegerField(min_value=1, max_value=100, initial=8)
    margin_left_mm = length(
        "Left margin in mm", "Page edge to first label.", min_value=0, initial=0
    )
    margin_top_mm = length(
        "Top margin in mm", "Page edge to first label.", min_value=0, initial=0
    )
    pitch_x_mm = length(
        "Across, in mm", "From left edge to left edge of the next.", initial=70
    )
    pitch_y_mm = length(
        "Down, in mm", "From top edge to top edge of the next.", initial=37
    )
    offset_x_mm = length(
        "Printer's offset to the right, in mm",
        "As read off the calibration page; negative to the left.",
        min_value=-20,
        max_value=20,
        initial=0,
    )
    offset_y_mm = length(
        "Printer's offset upwards, in mm",
        "As read off the calibration page; negative downwards.",
        min_value=-20,
        max_value=20,
        initial=0,
    )
    clear_mm = length(
        "Clear edge in mm",
        "No ink nearer than this to a label's edge: cutters and printers wander.",
        min_value=0,
        max_value=50,
        initial=1.5,
    )

    sheet: Sheet | None = None

    def __init__(self, *args: Any, record: Any = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.record = record

    @property
    def facts(self) -> dict[str, Any]:
        """Return what was typed, without the request id."""
        return {k: v for k, v in self.cleaned_data.items() if k != "request_id"}

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        if not set(self.errors) - {"name", "request_id"}:
            self._lay_out(data)
        if "name" in data and "request_id" in data:
            self._refuse_taken(data)
        return data

    def _lay_out(self, data: dict[str, Any]) -> None:
        """Make the sheet, or refuse what cannot be at its field."""
        facts = {"name": "", **self.facts}
        try:
            sheet = sheet_of(LabelSheet(**facts))
        except ValueError as error:
            self.add_error(field_of(str(error)), str(error))
            return
        if sheet.count > MOST_PLACES:
            self.add_error("rows", f"A sheet has at most {MOST_PLACES} labels.")
            return
        self.sheet = sheet

    def _refuse_taken(self, data: dict[str, Any]) -> None:
        others = LabelSheet.objects.filter(name__iexact=data["name"], retired_on=None)
        if self.record:
            others = others.exclude(pk=self.record.pk)
        if others.exists() and not log.repeated(data["request_id"]):
            self.add_error("name", "There is a sheet of this name already.")


def field_of(sentence: str) -> str | None:
    for word, side, field in WHERE:
        if word in sentence and side in sentence:
            return field
    return None


class RetireForm(forms.Form):
    """Nothing to say but that it is meant."""

    request_id = forms.UUIDField(widget=forms.HiddenInput, initial=uuid.uuid4)
