from typing import Any

from django import forms
from django.http import QueryDict

from inventory.operations.errors import OperationError
from inventory.operations.reporting import Period

from .page import PAPERS

MOST_ROWS = 200
UNASKED = "a4"


class PaperField(forms.ChoiceField):
    """One of the papers that documents are printed on, as a Paper."""

    def __init__(self, **kwargs: Any) -> None:
        wrong = "Choose one of the papers in the list."
        super().__init__(
            choices=[(paper.key, paper.name) for paper in PAPERS.values()],
            error_messages=dict.fromkeys(("required", "invalid_choice"), wrong),
            **kwargs,
        )

    def clean(self, value: Any) -> Any:
        return PAPERS[super().clean(value)]


class PapersForm(forms.Form):
    """What a batch's papers are printed on, and the empty lines of its tare sheet."""

    paper = PaperField()
    rows = forms.IntegerField(
        label="Blank rows on the tare sheet",
        min_value=0,
        max_value=MOST_ROWS,
        required=False,
        help_text="For glass that has no code yet. Left empty, they fill the first page.",
        error_messages={
            "invalid": "Give a whole number of rows.",
            "min_value": "Give a whole number of rows.",
            "max_value": f"At most {MOST_ROWS} blank rows are printed at a time.",
        },
    )

    @classmethod
    def of_query(cls, query: QueryDict) -> "PapersForm":
        """Return the form as an address asks for it; A4 where it names no paper."""
        return cls({"paper": UNASKED, **query.dict()})


class ReportForm(forms.Form):
    """What a project's report is printed on, and which days it is about."""

    paper = PaperField()
    since = forms.DateField(
        label="From", required=False, widget=forms.DateInput({"type": "date"})
    )
    until = forms.DateField(
        label="To", required=False, widget=forms.DateInput({"type": "date"})
    )

    @classmethod
    def of_query(cls, query: QueryDict) -> "ReportForm":
        """Return the form as an address asks for it; A4 where it names no paper."""
        return cls({"paper": UNASKED, **query.dict()})

    def clean(self) -> dict[str, Any]:
        data: dict[str, Any] = super().clean() or self.cleaned_data
        if not self.errors:
            try:
                data["period"] = Period(data["since"], data["until"])
            except OperationError as error:
                self.add_error(error.field, str(error))
        return data
