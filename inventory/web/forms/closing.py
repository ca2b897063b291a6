"""Closing a batch: what was collected, what was lost, and why that will do."""

from django import forms

from inventory.calc.units import show_mass, show_temperature, show_volume
from inventory.models import Method
from inventory.operations.statements import Statement
from inventory.web import fields


class CloseForm(fields.RecordForm):
    """How it is known what was collected; the fields of other ways stay empty."""

    method = forms.ChoiceField(
        label="What was collected is known by", widget=forms.RadioSelect
    )
    collected = fields.MassField(label="Collected, as weighed", conditional=True)
    u_collected = fields.MassField(
        label="Standard uncertainty of that",
        required=False,
        zero=True,
        help_text="Empty takes 0.1 % of it.",
    )
    lost = fields.MassField(
        label="Lost on the way",
        required=False,
        zero=True,
        help_text="What is known to have stayed in the still, on a funnel, in a "
        "cleaned receiver. Not what simply does not add up.",
    )
    u_lost = fields.MassField(
        label="Standard uncertainty of the loss",
        required=False,
        zero=True,
        help_text="Empty takes half of it.",
    )
    lost_where = forms.CharField(label="Where", required=False, max_length=200)
    reason = forms.CharField(
        label="Reason",
        required=False,
        max_length=300,
        widget=forms.Textarea(attrs={"rows": 2}),
        help_text="Needed when a vessel was not weighed, when nothing was filled, or "
        "when metal is missing beyond doubt: what was looked at, and what was found.",
    )

    def __init__(self, *args, made, reading, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["method"].choices = ways(made, reading)
        first = Method.RECEIVER if made.receivers else Method.STATED
        self.fields["method"].initial = first

    def clean(self):
        data = super().clean()
        weighed = data.get("method") == Method.WEIGHED
        if weighed and "collected" not in self.errors and not data.get("collected"):
            self.add_error("collected", "Give the mass that was weighed.")
        if data.get("collected") and data.get("method") not in (Method.WEIGHED, None):
            self.add_error(
                "collected",
                "This counts only when it was weighed: choose that above, or leave "
                "it empty.",
            )
        return data

    def statement(self):
        """Return the Statement that the operation takes."""
        data = self.cleaned_data
        collected_ug, lost_ug = data["collected"], data["lost"] or 0
        return Statement(
            method=data["method"],
            collected_ug=collected_ug,
            u_collected_ug=given(data["u_collected"], 0.001, collected_ug),
            lost_ug=lost_ug,
            u_lost_ug=given(data["u_lost"], 0.5, lost_ug),
            lost_where=data["lost_where"],
            reason=data["reason"],
        )


def given(u_ug, share, mass_ug):
    """Return the uncertainty as given, or else as a share of the mass."""
    return round((mass_ug or 0) * share) if u_ug is None else u_ug


def ways(made, reading):
    """Return the ways that are open to a batch, each with what it would give."""
    found = []
    if made.receivers:
        weighed = show_mass(made.poured.n, made.poured.s)
        found.append((Method.RECEIVER, f"The receiver: {weighed} {made.weighed_in}"))
    found.append((Method.WEIGHED, "A weighing, typed in below"))
    if reading:
        found.append(
            (
                Method.VOLUME,
                f"The last reading of the run: {show_volume(reading.receiver_ul)} at "
                f"{show_temperature(reading.receiver_c)}",
            )
        )
    filled = show_mass(made.poured.n, made.poured.s) if made.poured.n else "nothing"
    found.append(
        (
            Method.STATED,
            f"The fillings alone: {filled}, and what is stated as lost. Then nothing "
            "tells whether any is missing",
        )
    )
    return found
