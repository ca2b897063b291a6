"""What went into a vessel: weighed, or as stated on a sealed one that was bought."""

from django import forms
from django.utils.text import capfirst

from inventory.models import USUAL_CLOSURE, Batch, Closure, Medium, Place, VesselKind
from inventory.operations.filling import Filling
from inventory.operations.readings import Facts
from inventory.web import fields

from . import weighing


class FillForm(weighing.AirFields, fields.RecordForm):
    """What went into a vessel: gross, or a mass known otherwise."""

    batch = forms.ModelChoiceField(Batch.objects.all(), to_field_name="code")
    gross = fields.MassField(
        label="Gross: vessel, closure and contents",
        conditional=True,
        help_text="Closed as it will be kept. Leave empty to state the mass instead.",
    )
    balance = weighing.balance_field()
    read_at = fields.MomentField(label="Weighed at")
    medium = forms.ModelChoiceField(
        Medium.objects.exclude(key="air"),
        label="Kept in",
        to_field_name="key",
        help_text="What surrounds the metal: a gas, vacuum, or a dry liquid.",
    )
    liquid_amount = fields.LiquidField(
        label="Liquid added since the tare",
        required=False,
        help_text="As in 14 mL or 12.1 g. Empty if it was in when tared.",
    )
    gas = forms.ModelChoiceField(
        weighing.closed_in_gases(),
        label="Gas above",
        to_field_name="key",
        required=False,
        empty_label="The same as “kept in”",
        help_text="Needed when the metal is kept in a liquid.",
    )
    closure = forms.ChoiceField(label="Closed with", choices=Closure)
    place = forms.ModelChoiceField(Place.objects.all(), required=False)
    stated = fields.MassField(
        label="Mass as stated",
        conditional=True,
        help_text="As on a supplier's sealed ampoule.",
    )
    stated_u = fields.MassField(
        label="Standard uncertainty of that",
        required=False,
        zero=True,
        help_text="Half of a ± that covers nearly all; empty takes 2 % of the mass.",
    )
    accept_medium = forms.BooleanField(
        label="Go ahead all the same: this medium is a decision of ours",
        required=False,
        help_text="Only where the form advised against the medium.",
    )

    def __init__(self, *args, vessel, **kwargs):
        self.vessel = vessel
        super().__init__(*args, **kwargs)
        if vessel.batch_id:
            self.fields["batch"].queryset = Batch.objects.filter(pk=vessel.batch_id)
            self.fields["batch"].initial = vessel.batch.code
            self.fields["batch"].empty_label = None
        self.fields["place"].initial = vessel.place_id
        self.fields["closure"].initial = USUAL_CLOSURE[vessel.kind]
        weighing.prefer_last(self, vessel)

    def clean(self):
        data = super().clean()
        if not self.errors and bool(data.get("gross")) == bool(data.get("stated")):
            self.add_error(
                "gross", "Give the gross reading, or the mass as stated: one of them."
            )
        if data.get("gross") and data.get("balance"):
            try:
                weighing.refuse_too_fine(data["gross"], data["balance"])
            except forms.ValidationError as error:
                self.add_error("gross", error)
        medium = data.get("medium")
        if medium and medium.is_liquid and not data.get("gas"):
            self.add_error("gas", f"Say which gas is above the {medium.name}.")
        if medium and not medium.is_liquid and data.get("liquid_amount"):
            self.add_error("liquid_amount", f"{capfirst(medium.name)} is no liquid.")
        return data

    def filling(self):
        """Return the Filling that the valid form describes."""
        data = self.cleaned_data
        gas = data["medium"] if not data["medium"].is_liquid else data["gas"]
        common = {
            "batch": data["batch"],
            "medium": data["medium"],
            "gas": gas,
            "closure": data["closure"],
            "place": data["place"],
            "accept_medium": data["accept_medium"],
        }
        if data["stated"]:
            u_ug = data["stated_u"]
            u_ug = round(data["stated"] * 0.02) if u_ug is None else u_ug
            density = Facts.read().liquid_density(data["medium"])
            put_in, u_put_in = weighing.liquid_mass(data["liquid_amount"], density)
            return Filling(
                stated_ug=data["stated"],
                u_stated_ug=u_ug,
                liquid_ug=put_in,
                u_liquid_ug=u_put_in,
                **common,
            )
        return Filling(gross=self.gross_observation(gas), **common)

    def gross_observation(self, gas):
        """Return the gross reading, with all the liquid inside by then."""
        data = self.cleaned_data
        density = Facts.read().liquid_density(data["medium"])
        added, u_added = weighing.liquid_mass(data["liquid_amount"], density)
        tare = self.vessel.weighings.filter(purpose="tare").last()
        before = (tare.liquid_ug, tare.u_liquid_ug) if tare else (0, 0)
        return weighing.observation(
            self,
            data["gross"],
            gas=gas,
            liquid=(before[0] + added, u_added),
        )


class ReceiveForm(fields.RecordForm):
    """Sealed vessels that came with the mass stated on each."""

    count = forms.IntegerField(label="How many", min_value=1, max_value=100, initial=1)
    kind = forms.ChoiceField(label="Kind of vessel", choices=VesselKind)
    capacity = fields.VolumeField(label="Inner volume of each", help_text="As in 5 mL.")
    stated = fields.MassField(label="Metal in each", help_text="As stated: 5 g.")
    stated_u = fields.MassField(
        label="Standard uncertainty of that",
        required=False,
        zero=True,
        help_text="Half of a ± that covers nearly all; empty takes 2 % of the mass.",
    )
    medium = forms.ModelChoiceField(
        weighing.closed_in_gases(), label="Kept in", to_field_name="key"
    )
    closure = forms.ChoiceField(label="Closed with", choices=Closure)
    place = forms.ModelChoiceField(Place.objects.all(), required=False)
    read_at = fields.MomentField(label="Received at")

    def filling(self, batch):
        """Return the Filling of each vessel."""
        data = self.cleaned_data
        u_ug = data["stated_u"]
        return Filling(
            batch=batch,
            medium=data["medium"],
            gas=data["medium"],
            closure=data["closure"],
            place=data["place"],
            stated_ug=data["stated"],
            u_stated_ug=round(data["stated"] * 0.02) if u_ug is None else u_ug,
        )
