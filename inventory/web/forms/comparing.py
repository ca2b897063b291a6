"""Which batches to set side by side."""

from django import forms

from inventory.models import Material, Process


class CompareForm(forms.Form):
    """A metal, a process, and a word of the route; sent in the address."""

    material = forms.ModelChoiceField(
        Material.objects.all(),
        label="Metal",
        to_field_name="symbol",
        empty_label="Choose a metal",
    )
    process = forms.ChoiceField(choices=Process)
    q = forms.CharField(label="Word in the route", required=False, max_length=60)
