"""A promise of metal from chosen vessels."""

from django import forms
from django.utils import timezone

from inventory.calc.keys import keys
from inventory.models import Partner, Project
from inventory.operations.bookings import USUAL_GRACE
from inventory.web import fields


class BookingForm(fields.RecordForm):
    """A promise from chosen vessels: per vessel a tick and a mass."""

    project = forms.ModelChoiceField(Project.objects.open())
    partner = forms.ModelChoiceField(
        Partner.objects.filter(projects__closed_on=None, projects__isnull=False),
        required=False,
        empty_label="The project as a whole",
        help_text="Whose share it comes out of.",
    )
    purpose = forms.CharField(
        label="For", max_length=300, help_text="The experiment, in a few words."
    )
    needed_by = fields.DayField(label="Needed by")
    expires_on = fields.DayField(
        label="Holds until",
        required=False,
        help_text=f"Empty: {USUAL_GRACE.days} days after it is needed, or until the "
        "project ends.",
    )
    note = forms.CharField(required=False, max_length=300)
    beyond_share = forms.CharField(
        label="Why beyond the share",
        required=False,
        max_length=300,
        help_text="This stays with the booking.",
    )

    def __init__(self, *args, vessels, chosen=(), **kwargs):
        self.vessels = vessels
        super().__init__(*args, **kwargs)
        # Shown only where it is needed.
        self.fields["beyond_share"].conditional = True
        partners = self.fields["partner"]
        partners.queryset = partners.queryset.distinct()
        of = keys([self.initial.get("project") or ""])
        if of and not self.is_bound:
            partners.queryset = partners.queryset.filter(projects__in=of)
            if len(partners.queryset) == 1:
                partners.initial = partners.queryset[0].pk
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
        needed_by, expires_on = data.get("needed_by"), data.get("expires_on")
        if needed_by and expires_on and expires_on < needed_by:
            self.add_error(
                "expires_on", "The promise would end before the metal is needed."
            )
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
        names = ["project", "partner", "purpose", "needed_by", "expires_on", "note"]
        if self["beyond_share"].errors or self["beyond_share"].value():
            names.append("beyond_share")
        return [self[name] for name in names]

    def rows(self):
        """Return (vessel, tick, mass) for the table of vessels."""
        return [
            (vessel, self[f"take_{vessel.pk}"], self[f"mass_{vessel.pk}"])
            for vessel in self.vessels
        ]
