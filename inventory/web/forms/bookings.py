"""A promise of metal from chosen vessels."""

from django import forms
from django.utils import timezone

from inventory.models import Project
from inventory.web import fields


class BookingForm(fields.RecordForm):
    """A promise from chosen vessels: per vessel a tick and a mass."""

    project = forms.ModelChoiceField(Project.objects.open())
    purpose = forms.CharField(
        label="For", max_length=300, help_text="The experiment, in a few words."
    )
    needed_by = fields.DayField(label="Needed by")
    note = forms.CharField(required=False, max_length=300)

    def __init__(self, *args, vessels, chosen=(), **kwargs):
        self.vessels = vessels
        super().__init__(*args, **kwargs)
        for vessel in vessels:
            self.fields[f"take_{vessel.pk}"] = forms.BooleanField(
                label=f"Book from {vessel}",
                required=False,
                initial=vessel.pk in chosen,
            )
            self.fields[f"mass_{vessel.pk}"] = fields.MassField(
                label=f"Mass from {vessel}",
                required=False,
                widget=forms.TextInput(attrs={"placeholder": "all that is free"}),
            )

    def clean_needed_by(self):
        day = self.cleaned_data["needed_by"]
        if day < timezone.localdate():
            raise forms.ValidationError("This date has passed.")
        return day

    def clean(self):
        data = super().clean()
        for vessel in self.vessels:
            if data.get(f"mass_{vessel.pk}"):
                data[f"take_{vessel.pk}"] = True
        if not self.errors and not self.wishes():
            self.add_error(None, "Tick at least one vessel.")
        return data

    def wishes(self):
        """Return [(vessel, µg or None)] of the vessels ticked or given a mass."""
        return [
            (vessel, self.cleaned_data.get(f"mass_{vessel.pk}"))
            for vessel in self.vessels
            if self.cleaned_data.get(f"take_{vessel.pk}")
        ]

    def head(self):
        """Return the fields that are about the booking as a whole."""
        return [self[name] for name in ("project", "purpose", "needed_by", "note")]

    def rows(self):
        """Return (vessel, tick, mass) for the table of vessels."""
        return [
            (vessel, self[f"take_{vessel.pk}"], self[f"mass_{vessel.pk}"])
            for vessel in self.vessels
        ]
