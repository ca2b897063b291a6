"""Batches and charges."""

from django import forms

from inventory.models import Batch, BatchKind, ChargeRole, HazardProfile, Material
from inventory.web import fields


class BatchForm(fields.RecordForm):
    """What is noted about a batch. A new one asks for its material too."""

    material = forms.ModelChoiceField(
        Material.objects.all(), to_field_name="symbol", empty_label="Choose a metal"
    )
    kind = forms.ChoiceField(label="Origin", choices=BatchKind)
    made_on = fields.DayField(label="Date", help_text="Made, bought or re-purified on.")
    hazard = forms.ModelChoiceField(
        HazardProfile.objects.select_related("material"),
        label="Form, for its hazards",
        required=False,
        empty_label="The usual one for this metal",
        help_text="Decides the hazard statements on the label. The safety data sheet "
        "of the lot goes before it.",
    )
    route = forms.CharField(
        required=False,
        max_length=300,
        help_text="How it was made or who supplied it, as in “calcium reduction, "
        "distilled at 0.02 mbar”.",
    )
    lot = forms.CharField(label="Supplier's lot", required=False, max_length=80)
    purity = fields.PurityField(required=False, help_text="As claimed, as in 99.95 %.")
    parents = forms.ModelMultipleChoiceField(
        Batch.objects.all(),
        label="Made from",
        required=False,
        to_field_name="code",
        help_text="The batches that went into it, when re-purified or combined.",
    )
    note = forms.CharField(
        required=False, max_length=2000, widget=forms.Textarea(attrs={"rows": 4})
    )

    def clean(self):
        data = super().clean()
        hazard, material = data.get("hazard"), data.get("material")
        if hazard and material and hazard.material_id != material.pk:
            self.add_error("hazard", f"This is a form of {hazard.material.name}.")
        kind, parents = data.get("kind"), data.get("parents")
        from_others = kind in (BatchKind.REPURIFIED, BatchKind.COMBINED)
        if from_others and not parents and "parents" in self.fields:
            self.add_error("parents", "Say which batches it was made from.")
        return data

    def parts(self):
        """Return material, parents and the other facts, as the operation takes them."""
        facts = self.facts
        material, parents = facts.pop("material"), facts.pop("parents")
        return {"material": material, "parents": parents, "facts": facts}


class BatchChangeForm(BatchForm):
    """The same for a recorded batch: its metal and parents stay as they are."""

    material = None
    parents = None

    def __init__(self, *args, batch, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["hazard"].queryset = batch.material.hazards.all()
        self.fields["hazard"].empty_label = None


class ChargeForm(fields.RecordForm):
    """A reagent weighed into a batch."""

    formula = forms.CharField(
        max_length=60, help_text="As in RbCl or Ca; water as in BaCl2(H2O)2."
    )
    role = forms.ChoiceField(choices=ChargeRole)
    mass = fields.MassField(help_text="As in 48.20 g.")
    u_mass = fields.MassField(
        label="Standard uncertainty of the mass",
        required=False,
        zero=True,
        help_text="Empty takes 0.1 % of it.",
    )
    purity = fields.PurityField(
        required=False, help_text="As in 99.5 %. Empty counts as 100 %."
    )
    lot = forms.CharField(required=False, max_length=80)

    def charge(self):
        """Return the keyword facts that the operation takes."""
        data = self.cleaned_data
        u_ug = data["u_mass"]
        return {
            "formula": data["formula"].strip(),
            "role": data["role"],
            "mass_ug": data["mass"],
            "u_ug": round(data["mass"] * 0.001) if u_ug is None else u_ug,
            "purity": data["purity"] or 1.0,
            "lot": data["lot"],
        }
