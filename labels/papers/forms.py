from typing import Any

from django import forms
from django.http import QueryDict

from .page import PAPERS

MOST_ROWS = 200
UNASKED = "a4"


class PapersForm(forms.Form):
    """What a batch's papers are printed on, and the empty lines of its tare sheet."""

    paper = forms.ChoiceField(
        choices=[(paper.key, paper.name) for paper in PAPERS.values()],
        error_messages=dict.fromkeys(
            ("required", "invalid_choice"), "Choose one of the papers in the list."
        ),
    )
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

    def clean_paper(self) -> Any:
        return PAPERS[self.cleaned_data["paper"]]
