"""Partner organisations, and what share of a metal each may have in a project."""

import re

from django import forms

from inventory.calc.units import UnitError, parse_mass, show_mass_plain
from inventory.models import Material, Medium, Partner
from inventory.web import fields
from inventory.web.forms.register import NamedForm

VESSELS = re.compile(r"([0-9]{1,6})\s*(vessels?|ampoules?)", re.IGNORECASE)


class PartnerForm(NamedForm):
    """An organisation. No person has to be named."""

    model = Partner
    name = forms.CharField(max_length=120)
    address = forms.CharField(required=False, max_length=300)
    email = forms.EmailField(
        label="E-mail of the organisation",
        required=False,
        help_text="Letters about its requests and bookings go there.",
    )
    note = forms.CharField(required=False, max_length=300)

    @property
    def record_facts(self):
        return self.facts


class SizeField(fields.UnitField):
    """How large a share is: a dict of mass_ug and vessel_count, one of them None."""

    @staticmethod
    def parse(text):
        if counted := VESSELS.fullmatch(text.strip()):
            return {"mass_ug": None, "vessel_count": int(counted[1])}
        try:
            return {"mass_ug": parse_mass(text), "vessel_count": None}
        except UnitError as error:
            raise UnitError(
                f"{error} Or a number of vessels, as in 6 vessels."
            ) from error

    def validate(self, value):
        super().validate(value)
        if value and not (value["mass_ug"] or value["vessel_count"]):
            raise forms.ValidationError("This has to be more than zero.")


class ShareForm(fields.RecordForm):
    """A share's size and conditions."""

    amount = SizeField(label="Share", help_text="As in 20 g, or 6 vessels.")
    smallest_purity = fields.PurityField(
        required=False, help_text="As in 99.9 %. Empty: any."
    )
    media = forms.ModelMultipleChoiceField(
        Medium.objects.exclude(key="air"),
        label="May be kept in",
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text="None ticked: in any.",
    )
    note = forms.CharField(required=False, max_length=300)

    def terms(self):
        """Return media and facts, as shares.set_share takes them."""
        data = self.cleaned_data
        return {
            "facts": {
                **data["amount"],
                "smallest_purity": data["smallest_purity"],
                "note": data["note"],
            },
            "media": data["media"],
        }


class NewShareForm(ShareForm):
    """The same, with whose share of what it is."""

    partner = forms.ModelChoiceField(None, empty_label="Which partner?")
    material = forms.ModelChoiceField(
        Material.objects.all(), label="Metal", empty_label="Which metal?"
    )

    field_order = ["partner", "material"]

    def __init__(self, *args, project, **kwargs):
        self.project = project
        super().__init__(*args, **kwargs)
        self.fields["partner"].queryset = project.partners.all()

    def clean(self):
        data = super().clean()
        partner, material = data.get("partner"), data.get("material")
        if partner and material and not self.earlier:
            same = {"partner": partner, "material": material}
            if self.project.shares.filter(**same).exists():
                self.add_error(
                    "material",
                    f"{partner} has a share of {material.name} here. Change that one.",
                )
        return data


def terms_typed(share):
    """Return what a ShareForm shows of a share at first."""
    size = f"{share.vessel_count} vessels"
    least = share.smallest_purity
    return {
        "amount": size if share.mass_ug is None else show_mass_plain(share.mass_ug),
        "smallest_purity": "" if least is None else f"{100 * least:.10g} %",
        "media": [medium.pk for medium in share.media.all()],
        "note": share.note,
    }
