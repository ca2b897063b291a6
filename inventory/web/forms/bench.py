"""The bench: what all rows have in common, and what is read of each vessel."""

import re
from datetime import timedelta

from django import forms
from django.utils import timezone
from django.utils.text import capfirst

from inventory.calc import units
from inventory.models import Closure, Place, VesselKind
from inventory.operations.bench import Row
from inventory.operations.filling import Filling
from inventory.operations.readings import Facts
from inventory.operations.vessels import Empty, Observation
from inventory.web import fields

from . import weighing
from .run import off_the_pad

# A row may wait so long in a browser without a connection.
WAITS_AT_MOST = timedelta(days=60)


class LayOutForm(fields.RecordForm):
    """Vessels of a batch that get their codes before they are tared."""

    kind = forms.ChoiceField(label="Kind of vessel", choices=VesselKind)
    capacity = fields.VolumeField(
        label="Inner volume", help_text="Each, up to the closure, as in 5 mL."
    )
    count = forms.IntegerField(label="How many", min_value=1, max_value=100)
    glass_marks = forms.CharField(
        required=False,
        max_length=3200,
        widget=forms.Textarea(attrs={"rows": 4}),
        help_text="One a line, in the order of the codes. An empty line skips one.",
    )
    place = forms.ModelChoiceField(Place.objects.all(), required=False)

    def clean_glass_marks(self):
        text = self.cleaned_data["glass_marks"]
        marks = [line.strip() for line in text.rstrip().splitlines()]
        if any(len(mark) > 30 for mark in marks):
            raise forms.ValidationError("A glass mark has at most 30 characters.")
        return marks

    def vessels(self):
        """Return what is laid out, as the operation takes it."""
        facts = self.facts
        return {"capacity_ul": facts.pop("capacity"), **facts}


class GramsField(fields.MassField):
    """A balance's output: a mass, in grams where no unit stands."""

    @staticmethod
    def parse(text):
        number = re.sub(r"^\+\s*", "", text)  # Balances print their plus sign.
        has_unit = re.search(r"[^\d\s.,+eE-]", number)
        return units.parse_mass(number if has_unit else f"{off_the_pad(number)} g")


class HeadForm(fields.LookedAtMixin, weighing.AirFields):
    """What the rows have in common. It stays in the page's address."""

    source = forms.ModelChoiceField(
        None,
        label="Metal comes from",
        required=False,
        to_field_name="code",
        empty_label="The run itself",
        help_text="A receiver of this batch: then the rows are transfers from it.",
        error_messages={"invalid_choice": "It holds no metal of this batch."},
    )
    balance = weighing.balance_field()
    tare_gas = forms.ModelChoiceField(
        weighing.gases(),
        label="Inside when tared",
        initial="air",
        empty_label=None,
        to_field_name="key",
        help_text="Air if the vessel is open then.",
    )
    gas = forms.ModelChoiceField(
        weighing.closed_in_gases(),
        label="Gas above a liquid",
        required=False,
        to_field_name="key",
        empty_label="No row is kept in a liquid",
    )
    place = forms.ModelChoiceField(
        Place.objects.all(),
        label="Goes to",
        required=False,
        empty_label="Where each stands",
    )
    read_at = fields.MomentField(
        label="Weighed at",
        required=False,
        initial=None,
        help_text="Empty: each row when it is entered. For readings from paper, when.",
    )
    accept_medium = forms.BooleanField(
        label="Go ahead all the same: this medium is a decision of ours",
        required=False,
        help_text="Only where a row advised against the medium.",
    )

    KEPT = ("source", "balance", "tare_gas", "gas", "place", "read_at")
    KEPT += weighing.AirFields.AIR

    def __init__(self, *args, sources, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["source"].queryset = sources

    def kept(self):
        """Return what was chosen, for the query of the page's address."""
        values = {name: self[name].value() for name in self.KEPT}
        return {name: value for name, value in values.items() if value}

    def seen(self, reading_ug, row, *, gas, liquid=(0, 0)):
        """Return the Observation of a row's reading."""
        return Observation(
            reading_ug=reading_ug,
            balance=self.cleaned_data["balance"],
            read_at=self.cleaned_data["read_at"] or row.entered_at,
            gas=gas,
            liquid_ug=liquid[0],
            u_liquid_ug=liquid[1],
            **self.air,
        )


class RowForm(fields.RecordForm):
    """One vessel: a new one, or `vessel`, whose `tares` are read beforehand."""

    kind = forms.ChoiceField(label="Kind", choices=VesselKind)
    capacity = fields.VolumeField(
        label="Inner volume",
        error_messages={"required": "Say how much it holds, as in 5 mL."},
    )
    glass_mark = forms.CharField(label="Glass mark", max_length=30, required=False)
    tare = GramsField(label="Tare", conditional=True)
    gross = GramsField(label="Gross", conditional=True)
    medium = forms.ChoiceField(label="Kept in", required=False)
    liquid = fields.LiquidField(label="Liquid added since the tare", required=False)
    closure = forms.ChoiceField(label="Closed with", choices=Closure)
    # Seconds since the row was entered, by the clock that was asked both times.
    age = forms.CharField(required=False, widget=forms.HiddenInput)

    was_sent = False  # and recorded before
    READINGS = ("tare", "gross")
    OF_A_NEW_ONE = ("kind", "capacity", "glass_mark")

    def __init__(self, *args, media, vessel=None, **kwargs):
        super().__init__(*args, **kwargs)
        self.vessel, self.kept_in = vessel, {medium.key: medium for medium in media}
        self.tared = vessel.tares[-1] if vessel and vessel.tares else None
        choices = [(medium.key, medium.name) for medium in media]
        self.fields["medium"].choices = [("", "—"), *choices]
        if vessel:
            for name in self.OF_A_NEW_ONE:
                del self.fields[name]
        # One that was tared since the page was loaded is refused, not left out.
        if self.tared and self.add_prefix("tare") not in self.data:
            del self.fields["tare"]
        for name, field in self.fields.items():
            if not field.widget.is_hidden:
                whose = vessel or "the new vessel"
                field.widget.attrs["aria-label"] = f"{field.label} of {whose}"
                field.widget.attrs["data-field"] = name
        if "glass_mark" in self.fields:
            self.fields["glass_mark"].widget.attrs["placeholder"] = "Glass mark"
        for name in {*self.READINGS} & set(self.fields):
            self.fields[name].widget.attrs["inputmode"] = "decimal"

    def clean_medium(self):
        return self.kept_in.get(self.cleaned_data["medium"])

    def clean(self):
        data = super().clean()
        if not self.errors and not any(data.get(name) for name in self.READINGS):
            self.add_error("gross", "Write a reading: the tare, the gross, or both.")
        if data.get("gross") and not data.get("medium") and "medium" not in self.errors:
            self.add_error("medium", "Say what the metal is kept in.")
        return data

    @property
    def entered_at(self):
        """Return the minute in which the row was entered, as other forms take it."""
        text = self.cleaned_data["age"]
        seconds = int(text) if text.isascii() and text.isdigit() else 0
        ago = timedelta(seconds=min(seconds, WAITS_AT_MOST.total_seconds()))
        moment = timezone.localtime(timezone.now() - ago)
        return moment.replace(second=0, microsecond=0)

    @property
    def empty(self):
        """Return the new vessel as it is tared, or None for one that there is."""
        if self.vessel:
            return None
        return Empty(
            kind=self.cleaned_data["kind"],
            capacity_ul=self.cleaned_data["capacity"],
            tare=None,
            glass_mark=self.cleaned_data["glass_mark"],
            field=self.prefix,
        )


def row_of(head, row, batch):
    """Return the Row that two valid forms describe, or None with errors on them."""
    refuse_digits(head, row)
    if row.cleaned_data.get("gross"):
        refuse_liquid(head, row)
    if head.errors or row.errors:
        return None
    tare = row.cleaned_data.get("tare")
    return Row(
        vessel=row.vessel,
        empty=row.empty,
        tare=tare and head.seen(tare, row, gas=head.cleaned_data["tare_gas"]),
        put_in=row.cleaned_data.get("gross") and put_in(head, row, batch),
    )


def refuse_digits(head, row):
    """Refuse readings with more digits than the balance shows."""
    for name in row.READINGS:
        if reading := row.cleaned_data.get(name):
            try:
                weighing.refuse_too_fine(reading, head.cleaned_data["balance"])
            except forms.ValidationError as error:
                row.add_error(name, error)


def refuse_liquid(head, row):
    """Refuse a liquid without its gas or amount, which would count as metal."""
    medium, amount = row.cleaned_data["medium"], row.cleaned_data["liquid"]
    if not medium.is_liquid:
        if amount:
            row.add_error("liquid", f"{capfirst(medium.name)} is no liquid.")
        return
    if not head.cleaned_data["gas"]:
        head.add_error("gas", f"Say which gas is above the {medium.name}.")
    if not amount and not (row.tared and row.tared.liquid_ug):
        row.add_error(
            "liquid",
            f"Say how much {medium.name} went in, as in 3 mL or 2.6 g: it was not in "
            "when tared, and would count as metal.",
        )


def put_in(head, row, batch):
    """Return the Filling of a row that has a gross."""
    data, medium = row.cleaned_data, row.cleaned_data["medium"]
    gas = head.cleaned_data["gas"] if medium.is_liquid else medium
    density = Facts.read().liquid_density(medium)
    liquid = weighing.liquid_mass(data["liquid"], density)
    return Filling(
        batch=batch,
        medium=medium,
        gas=gas,
        closure=data["closure"],
        place=head.cleaned_data["place"],
        gross=head.seen(data["gross"], row, gas=gas, liquid=liquid),
        accept_medium=head.cleaned_data["accept_medium"],
    )
