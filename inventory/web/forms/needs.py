"""Is there enough? Asked of one vessel, or of a metal, for today or a later day."""

from django import forms
from django.utils import timezone

from inventory.calc.units import show_mass
from inventory.web import fields


class OnDayField(fields.DayField):
    """The day on which it has to be enough; none means today."""

    def __init__(self, **kwargs):
        super().__init__(
            label="On",
            required=False,
            help_text="Empty: today. Bookings and returns until then are counted.",
            **kwargs,
        )

    def clean(self, value):
        day = super().clean(value)
        if day and day < timezone.localdate():
            raise forms.ValidationError("This date has passed.")
        return day


class VesselNeedForm(forms.Form):
    """The same question of one vessel, with what cannot be got out of it."""

    need = fields.NeedField(help_text="As in 3 g, 25 mmol or 2 mL.")
    heel = fields.MassField(
        required=False,
        zero=True,
        help_text="What cannot be got out, as in 0.2 g. Empty: nothing.",
    )
    on = OnDayField()

    def __init__(self, *args, vessel, **kwargs):
        """`vessel` may have a heel noted, which counts unless another is typed."""
        super().__init__(*args, **kwargs)
        self.noted_ug = vessel.heel_ug
        if self.noted_ug:
            noted = show_mass(self.noted_ug)
            self.fields[
                "heel"
            ].help_text = f"What cannot be got out. Empty: {noted}, as noted."

    def clean_heel(self):
        heel_ug = self.cleaned_data["heel"]
        return self.noted_ug if heel_ug is None else heel_ug


class EnoughForm(forms.Form):
    """The question before an experiment: is there enough?"""

    material = forms.ModelChoiceField(
        None, to_field_name="symbol", empty_label="Which metal?"
    )
    need = fields.NeedField(help_text="As in 3 g, 25 mmol or 2 mL.")
    on = OnDayField()

    def __init__(self, *args, materials, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["material"].queryset = materials
