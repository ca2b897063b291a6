from typing import Any

from django import forms

from inventory.calc.keys import keys
from inventory.models import Vessel

from .content import printable
from .stock import SHEETS

MOST_LABELS = 500


class VesselsField(forms.ModelMultipleChoiceField):
    """Vessels by key; a number that no database could hold is no key."""

    def clean(self, value: Any) -> Any:
        for text in set(value or ()) - set(map(str, keys(value or ()))):
            raise forms.ValidationError(
                self.error_messages["invalid_choice"], params={"value": text}
            )
        return super().clean(value)


class PrintForm(forms.Form):
    """Which vessels, on which sheet, and how many of its places are used up."""

    vessel = VesselsField(
        Vessel.objects.none(),
        error_messages={
            "required": "Tick at least one vessel.",
            "invalid_choice": "Vessel %(value)s holds no metal: "
            "there is nothing to label.",
        },
    )
    sheet = forms.ChoiceField(
        choices=[(sheet.key, sheet.name) for sheet in SHEETS.values()]
    )
    skip = forms.IntegerField(
        label="Places already used",
        min_value=0,
        initial=0,
        required=False,
        help_text="On the first sheet, counted row by row from the top left.",
    )
    outlines = forms.BooleanField(
        label="Draw cutting lines",
        required=False,
        help_text="For plain paper that is cut by hand.",
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        vessels: Any = self.fields["vessel"]
        vessels.queryset = printable(Vessel.objects.all())

    def clean_vessel(self) -> Any:
        vessels = self.cleaned_data["vessel"][: MOST_LABELS + 1]
        if len(vessels) > MOST_LABELS:
            raise forms.ValidationError(
                f"At most {MOST_LABELS} labels are printed at a time."
            )
        return vessels

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        data["skip"] = data.get("skip") or 0
        sheet = SHEETS.get(data.get("sheet", ""))
        if sheet and data["skip"] >= sheet.count:
            self.add_error(
                "skip", f"This sheet has {sheet.count} places: leave one at least."
            )
        return data
