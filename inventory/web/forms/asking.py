"""What a partner asks for, and what the keeper grants instead."""

import re

from django import forms
from django.utils import timezone

from inventory.calc import units
from inventory.models import Material, Partner, StepKind
from inventory.operations import asking
from inventory.web import fields

COUNTED = re.compile(r"([0-9.,]+) *(vessels?|ampoules?)", re.IGNORECASE)
MOST_VESSELS = 1_000
FORMS = (
    ("drawn", "A drawn aliquot, in a vessel filled for it"),
    ("whole", "Whole vessels, as they stand on the shelf"),
)


class AskedField(fields.UnitField):
    """How much: a Need of calc.units, or a whole number of vessels."""

    @staticmethod
    def parse(text):
        counted = COUNTED.fullmatch(" ".join(text.split()))
        if counted is None:
            return units.parse_need(text)
        number = counted.group(1)
        if not number.isdecimal():
            raise units.UnitError("Vessels are counted: write it as in 3 vessels.")
        if not 0 < int(number) <= MOST_VESSELS:
            raise units.UnitError(f"Ask for 1 to {MOST_VESSELS} vessels.")
        return int(number)


class TermsForm(fields.RecordForm):
    """How much, in which form, how pure and by when."""

    amount = AskedField(
        label="How much",
        help_text="As in 3 g, 25 mmol, 2 mL or 3 vessels. A volume is that of the "
        "metal at 20 °C. A number of vessels is of whole ones.",
    )
    form = forms.ChoiceField(
        label="In which form", choices=FORMS, widget=forms.RadioSelect, initial="drawn"
    )
    smallest_purity = fields.PurityField(
        label="At least so pure",
        required=False,
        help_text="As in 99.5 %. Empty: any that is kept here.",
    )
    needed_by = fields.DayField(label="Needed by")

    def clean_needed_by(self):
        day = self.cleaned_data["needed_by"]
        if day < timezone.localdate() and not self.earlier:
            raise forms.ValidationError("This date has passed.")
        return day

    def terms(self):
        """Return how much is asked for and how, as the operations take it."""
        data = self.cleaned_data
        amount = data["amount"]
        counted = isinstance(amount, int)
        return {
            "need": None if counted else amount,
            "vessel_count": amount if counted else None,
            "is_whole": counted or data["form"] == "whole",
            "smallest_purity": data["smallest_purity"],
            "needed_by": data["needed_by"],
        }


class AskForm(TermsForm):
    """A request. `organisations` are those to choose from: none for a partner."""

    partner = forms.ModelChoiceField(
        Partner.objects.none(),
        label="For whom",
        required=False,
        empty_label="The project as a whole",
    )
    material = forms.ModelChoiceField(
        None, label="Metal", to_field_name="symbol", empty_label="Which metal?"
    )
    purpose = forms.CharField(
        label="For", max_length=300, help_text="The experiment, in a few words."
    )

    field_order = ["partner", "material"]

    def __init__(self, *args, organisations=None, materials=None, **kwargs):
        super().__init__(*args, **kwargs)
        if organisations is None:
            del self.fields["partner"]
        else:
            self.fields["partner"].queryset = organisations
        self.fields["material"].queryset = (
            Material.objects.all() if materials is None else materials
        )

    def wishes(self):
        """Return what is asked for, as the operation takes it."""
        data = self.cleaned_data
        return {
            "material": data["material"],
            "asked": " ".join(self.data["amount"].split()),
            "purpose": data["purpose"],
            **self.terms(),
        }


class ChangeForm(TermsForm):
    """Other terms than were asked for, and why."""

    reason = forms.CharField(max_length=300)

    def instead(self, material):
        """Return the Terms that are granted instead."""
        return asking.terms(material, **self.terms())


class GrantForm(fields.RecordForm):
    reason = forms.CharField(
        label="A word to who asked", required=False, max_length=300
    )


def terms_of(metal_request):
    """Return what the form of a change is filled in with: the terms that hold now."""
    purity = metal_request.smallest_purity
    return {
        "amount": amount_of(metal_request),
        "form": "whole" if metal_request.is_whole else "drawn",
        "smallest_purity": f"{100 * purity:.12g} %" if purity else "",
        "needed_by": metal_request.needed_by,
    }


def amount_of(metal_request):
    """Return how much is asked for as it was typed, or as it was changed to since."""
    if not metal_request.steps.filter(kind=StepKind.CHANGED).exists():
        return metal_request.asked
    if metal_request.mass_ug is None:
        return f"{metal_request.vessel_count} vessels"
    return units.show_mass_plain(metal_request.mass_ug)
