"""Looking after vessels and promises: inspections, heels, and later ends."""

from django import forms
from django.utils import timezone

from inventory.models import Seal
from inventory.web import fields


class InspectionForm(fields.RecordForm):
    """One look at a vessel."""

    looked_on = fields.DayField(label="Looked at on", initial=timezone.localdate)
    seal = forms.ChoiceField(
        choices=Seal, widget=forms.RadioSelect, help_text="Glass, grease and closure."
    )
    look = forms.CharField(
        label="How the metal looks",
        required=False,
        max_length=200,
        help_text="As in: bright, thin grey film.",
    )
    next_on = fields.DayField(label="Look again on", required=False)
    note = forms.CharField(required=False, max_length=300)

    def clean_looked_on(self):
        day = self.cleaned_data["looked_on"]
        if day > timezone.localdate():
            raise forms.ValidationError("This lies in the future.")
        return day

    def clean_next_on(self):
        day = self.cleaned_data["next_on"]
        if day and day <= timezone.localdate() and not self.earlier:
            raise forms.ValidationError("Choose a day that is still to come.")
        return day


class HeelForm(fields.RecordForm):
    """What stays behind when a vessel is drawn empty."""

    heel = fields.MassField(
        label="Cannot be got out",
        zero=True,
        help_text="As in 0.2 g. 0 g: all comes out.",
    )


class ExtendForm(fields.RecordForm):
    """A later end of a promise."""

    expires_on = fields.DayField(label="Holds until")
    beyond_share = forms.CharField(
        label="Why beyond the share",
        required=False,
        max_length=300,
        help_text="This stays with the booking.",
    )

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        # Shown only where it is needed.
        self.fields["beyond_share"].conditional = True

    def shown(self):
        """Return the fields to fill in; why beyond a share, once it was asked."""
        asked = self["beyond_share"].errors or self["beyond_share"].value()
        return [self["expires_on"], *([self["beyond_share"]] if asked else [])]

    def clean_expires_on(self):
        day = self.cleaned_data["expires_on"]
        if day < timezone.localdate():
            raise forms.ValidationError("This date has passed.")
        return day
