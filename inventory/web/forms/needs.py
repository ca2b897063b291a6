"""Is there enough? Asked of one vessel, or of a metal."""

from django import forms

from inventory.web import fields


class VesselNeedForm(forms.Form):
    """The same question of one vessel, with what cannot be got out of it."""

    need = fields.NeedField(help_text="As in 3 g, 25 mmol or 2 mL.")
    heel = fields.MassField(
        required=False,
        zero=True,
        help_text="What cannot be got out, as in 0.2 g. Empty: nothing.",
    )


class EnoughForm(forms.Form):
    """The question before an experiment: is there enough?"""

    material = forms.ModelChoiceField(
        None, to_field_name="symbol", empty_label="Which metal?"
    )
    need = fields.NeedField(help_text="As in 3 g, 25 mmol or 2 mL.")

    def __init__(self, *args, materials, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["material"].queryset = materials
