"""Reserving a plan. The plan travels in the form, signed, so that nobody edits it."""

from dataclasses import asdict, astuple

from django import forms
from django.core import signing

from inventory.calc.planning import Candidate, Demand, Take
from inventory.operations.reserving import Seen
from inventory.web import fields

SALT = "inventory.plan"
UNREADABLE = (
    "This plan is not as it was offered, so nothing was reserved. Choose one of those "
    "below."
)


def sealed(takes, seen):
    """Return a plan as signed text: its takes, and what it rests on."""
    return signing.dumps(
        {
            "takes": [
                (take.candidate, take.demand, take.mass_ug, take.is_whole)
                for take in takes
            ],
            "candidates": [astuple(each) for each in seen.candidates],
            "demands": [
                {**asdict(each), "media": sorted(each.media)} for each in seen.demands
            ],
        },
        salt=SALT,
        compress=True,
    )


def opened(text):
    """Return the takes and what they rest on. Raises signing.BadSignature."""
    told = signing.loads(text, salt=SALT)
    takes = tuple(Take(*row) for row in told["takes"])
    demands = [
        Demand(**{**row, "media": frozenset(row["media"])}) for row in told["demands"]
    ]
    candidates = [Candidate(*row) for row in told["candidates"]]
    return takes, Seen(tuple(candidates), tuple(demands))


class PlanField(forms.CharField):
    """A plan out of a page: (takes, what they rest on)."""

    widget = forms.HiddenInput
    default_error_messages = {"required": UNREADABLE}

    def to_python(self, value):
        text = super().to_python(value)
        if text in self.empty_values:
            return None
        try:
            return opened(text)
        except signing.BadSignature as error:
            raise forms.ValidationError(UNREADABLE) from error


class ReserveForm(fields.RecordForm):
    """What is said to reserve a plan: until when, and why beyond a share."""

    plan = PlanField()
    expires_on = fields.DayField(
        label="Holds until",
        help_text="From the next day on it promises nothing. No booking holds longer "
        "than its project.",
    )
    beyond_share = forms.CharField(
        label="Why more than the share", max_length=300, required=False
    )

    @property
    def takes(self):
        """What the plan sent takes; None if none was sent that can be read."""
        plan = getattr(self, "cleaned_data", {}).get("plan")
        return plan[0] if plan else None

    def suggest(self, reason):
        """Put `reason` where one is asked for and none was typed."""
        if not self["beyond_share"].value():
            self.data = self.data.copy()
            self.data["beyond_share"] = reason

    @property
    def asks_why(self):
        """Whether a reason is needed, or was given."""
        return "beyond_share" in self.errors or bool(self["beyond_share"].value())
