"""Taring, moving, retiring: what each asks, cleaned into what is stored."""

from django import forms
from django.forms import formset_factory

from inventory.models import Batch, Medium, Place, VesselKind
from inventory.operations.readings import Facts
from inventory.operations.vessels import Empty
from inventory.web import fields

from . import weighing


class TareForm(weighing.AirFields, fields.RecordForm):
    """What a set of vessels to be tared has in common."""

    batch = forms.ModelChoiceField(
        Batch.objects.all(),
        required=False,
        to_field_name="code",
        empty_label="No batch yet: known by their glass marks",
        help_text="With a batch the vessels get their codes at once.",
    )
    kind = forms.ChoiceField(label="Kind of vessel", choices=VesselKind)
    capacity = fields.VolumeField(
        label="Inner volume", help_text="Each, up to the closure, as in 5 mL."
    )
    balance = weighing.balance_field()
    read_at = fields.MomentField(label="Weighed at")
    gas = forms.ModelChoiceField(
        weighing.gases(),
        label="Inside when weighed",
        initial="air",
        empty_label=None,
        to_field_name="key",
        help_text="Air if the vessel was open; argon or vacuum if it was closed so.",
    )
    liquid = forms.ModelChoiceField(
        Medium.objects.filter(kind="liquid"),
        label="Liquid already inside",
        required=False,
        to_field_name="key",
        empty_label="None",
        help_text="If the oil is in before the metal: it then counts with the tare.",
    )
    liquid_amount = fields.LiquidField(
        label="How much of it, each", required=False, help_text="As in 20 mL or 17 g."
    )
    place = forms.ModelChoiceField(Place.objects.all(), required=False)

    field_order = ["batch", "kind", "capacity", "balance", "read_at", "gas"]

    def clean(self):
        data = super().clean()
        halves = bool(data.get("liquid")) != bool(data.get("liquid_amount"))
        if halves and not self.errors:
            self.add_error(
                "liquid_amount", "Say both which liquid and how much, or neither."
            )
        return data

    def observation(self, reading_ug):
        """Return the tare reading of one of the vessels."""
        liquid, amount = (
            self.cleaned_data.get("liquid"),
            self.cleaned_data.get("liquid_amount"),
        )
        density = Facts.read().liquid_density(liquid)
        return weighing.observation(
            self,
            reading_ug,
            gas=self.cleaned_data["gas"],
            liquid=weighing.liquid_mass(amount, density),
        )


class TareRowForm(forms.Form):
    """One vessel of the set. A row without a reading is left out."""

    glass_mark = forms.CharField(label="Glass mark", max_length=30, required=False)
    reading = fields.MassField(label="Tare", conditional=True)

    def clean(self):
        data = super().clean()
        missing = data.get("glass_mark") and not data.get("reading")
        if missing and "reading" not in self.errors:
            self.add_error("reading", "The tare of this one is missing.")
        return data

    @property
    def is_used(self):
        return bool(self.cleaned_data.get("reading"))


TareRows = formset_factory(TareRowForm, extra=6, max_num=100, absolute_max=100)


def empties(form, rows):
    """Return the Empty vessels of a valid tare form and its rows.

    Adds an error to a row that its balance cannot have shown, and returns None.
    """
    found, fine = [], True
    for row in rows:
        if not row.is_used:
            continue
        try:
            weighing.refuse_too_fine(
                row.cleaned_data["reading"], form.cleaned_data["balance"]
            )
        except forms.ValidationError as error:
            row.add_error("reading", error)
            fine = False
            continue
        found.append(
            Empty(
                kind=form.cleaned_data["kind"],
                capacity_ul=form.cleaned_data["capacity"],
                tare=form.observation(row.cleaned_data["reading"]),
                glass_mark=row.cleaned_data["glass_mark"],
                field=row.prefix,
            )
        )
    if fine and not found:
        form.add_error(None, "Write at least one tare.")
    return found if fine and found else None


class MoveForm(fields.RecordForm):
    place = forms.ModelChoiceField(Place.objects.all())


class ReasonForm(fields.RecordForm):
    """Why something is undone, released or retired."""

    reason = forms.CharField(max_length=200, widget=forms.Textarea(attrs={"rows": 2}))


class TareAgainForm(weighing.AirFields, fields.RecordForm):
    reading = fields.MassField(label="Tare, with its closure")
    balance = weighing.balance_field()
    read_at = fields.MomentField(label="Weighed at")
    gas = forms.ModelChoiceField(
        weighing.gases(),
        label="Inside when weighed",
        initial="air",
        empty_label=None,
        to_field_name="key",
    )

    def clean(self):
        data = super().clean()
        if data.get("reading") and data.get("balance"):
            try:
                weighing.refuse_too_fine(data["reading"], data["balance"])
            except forms.ValidationError as error:
                self.add_error("reading", error)
        return data
