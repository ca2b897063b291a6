"""Projects and bookings."""

from django import forms
from django.utils import timezone

from inventory.models import Project, User
from inventory.web import fields


class ProjectForm(fields.RecordForm):
    title = forms.CharField(max_length=120)
    partner = forms.CharField(
        label="Partner organisation", max_length=120, required=False
    )
    purpose = forms.CharField(
        required=False, max_length=1000, widget=forms.Textarea(attrs={"rows": 3})
    )
    starts_on = fields.DayField(label="Starts", required=False)
    ends_on = fields.DayField(label="Ends", required=False)
    members = forms.ModelMultipleChoiceField(
        User.objects.filter(is_active=True),
        required=False,
        to_field_name="username",
        widget=forms.CheckboxSelectMultiple,
        help_text="Partners see only the projects they are members of.",
    )

    def __init__(self, *args, project=None, **kwargs):
        self.project = project
        super().__init__(*args, **kwargs)

    def clean_title(self):
        title = self.cleaned_data["title"]
        others = Project.objects.filter(title__iexact=title)
        if self.project:
            others = others.exclude(pk=self.project.pk)
        if others.exists() and not self.earlier:
            raise forms.ValidationError("There is a project of this title.")
        return title

    def clean(self):
        data = super().clean()
        start, end = data.get("starts_on"), data.get("ends_on")
        if start and end and end < start:
            self.add_error("ends_on", "The project ends before it starts.")
        return data

    def parts(self):
        """Return the members and the other facts, as the operations take them."""
        facts = self.facts
        return {"members": facts.pop("members"), "facts": facts}


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
