"""Batches and charges."""

from django import forms

from inventory.models import (
    Batch,
    BatchKind,
    ChargeRole,
    HazardProfile,
    Material,
    Process,
)
from inventory.web import fields


class BatchesField(forms.ModelMultipleChoiceField):
    """Some batches, each with its metal and date, so that the right one is chosen."""

    def label_from_instance(self, batch):
        return f"{batch}, {batch.material.name}, {batch.made_on:%-d %b %Y}"


class BatchForm(fields.RecordForm):
    """What is noted about a batch. A new one asks for its material too."""

    material = forms.ModelChoiceField(
        Material.objects.all(), to_field_name="symbol", empty_label="Choose a metal"
    )
    kind = forms.ChoiceField(label="Origin", choices=BatchKind)
    process = forms.ChoiceField(
        choices=[("", "None here"), *Process.choices],
        required=False,
        help_text="Needed for what was made or re-purified here: batches of one "
        "process are compared.",
    )
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
    parents = BatchesField(
        Batch.objects.select_related("material"),
        label="Made from",
        required=False,
        to_field_name="code",
        help_text="The batches that went into it, when re-purified or combined.",
    )
    note = forms.CharField(
        required=False, max_length=2000, widget=forms.Textarea(attrs={"rows": 4})
    )

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["process"].conditional = True

    def clean(self):
        data = super().clean()
        hazard, material = data.get("hazard"), data.get("material")
        if hazard and material and hazard.material_id != material.pk:
            self.add_error("hazard", f"This is a form of {hazard.material.name}.")
        return data

    def parts(self):
        """Return material, parents and the other facts, as the operation takes them."""
        facts = self.facts
        apart = {
            name: facts.pop(name) for name in ("material", "parents") if name in facts
        }
        return {**apart, "facts": facts}


class BatchChangeForm(BatchForm):
    """The same for a recorded batch: its metal stays as it is."""

    material = None

    def __init__(self, *args, batch, **kwargs):
        super().__init__(*args, **kwargs)
        others = self.fields["parents"].queryset.exclude(pk=batch.pk)
        self.fields["parents"].queryset = others
        self.fields["hazard"].queryset = batch.material.hazards.all()
        self.fields["hazard"].empty_label = None


class ChargeForm(fields.RecordForm):
    """A reagent weighed into a batch."""

    formula = forms.CharField(
        max_length=60,
        help_text="As in RbCl or Ca. What was weighed with its water is written with "
        "it: BaCl2·2H2O, or BaCl2.2H2O.",
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
        required=False,
        help_text="As in 99.5 %. Taken as the least it is, as suppliers state it; "
        "empty counts as 100 %.",
    )
    u_purity = fields.ShareField(
        label="Standard uncertainty of the purity",
        required=False,
        help_text="Where an analysis gives it, as in 0.1 %. Empty takes the purity as "
        "a lower bound.",
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
            "u_purity": data["u_purity"],
            "lot": data["lot"],
        }
