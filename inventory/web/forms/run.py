"""A run: set up once at the desk, read with one thumb at the bench."""

import re

from django import forms
from django.utils import timezone

from inventory.calc import units
from inventory.operations.run_rows import Seen
from inventory.web import fields
from inventory.web.quantities import QUANTITIES
from inventory.web.run_words import ago

# Of a reading whose uncertainty nobody gave, as a fraction of the receiver's volume.
READ_TO = 0.01


class RateField(fields.MassField):
    """A mass in a time, in whole micrograms an hour."""

    parse = staticmethod(units.parse_rate)


class SetUpForm(fields.RecordForm):
    started_at = fields.MomentField(label="Started")
    receiver = forms.ModelChoiceField(
        None,
        label="Receiver, if it is a vessel of this batch",
        required=False,
        to_field_name="code",
        empty_label="None of them",
    )
    receiver_volume = fields.VolumeField(
        label="Or, of other glass, what it is graduated for",
        required=False,
        help_text="As in 50 mL. It cannot be weighed afterwards without a tare.",
    )
    u_receiver = fields.VolumeField(
        label="Standard uncertainty of a reading",
        required=False,
        help_text="Reading and graduation together, as in 0.2 mL. Empty takes 1 % of "
        "the receiver's volume.",
    )
    worth = RateField(
        label="Worth going on above",
        required=False,
        help_text="As in 0.5 g/h. The run page then says when the rate falls below it.",
    )
    ended_at = fields.MomentField(
        label="Ended",
        required=False,
        initial=None,
        help_text="Empty while it runs.",
    )

    def __init__(self, *args, vessels, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["receiver"].queryset = vessels

    def run(self):
        """Return the RunLog's fields."""
        data = self.cleaned_data
        vessel, volume_ul = data["receiver"], data["receiver_volume"]
        holds_ul = vessel.capacity_ul if vessel else volume_ul or 0
        u_ul = data["u_receiver"]
        return {
            "started_at": data["started_at"],
            "ended_at": data["ended_at"],
            "receiver": vessel,
            "receiver_ul": volume_ul,
            "u_receiver_ul": round(holds_ul * READ_TO) if u_ul is None else u_ul,
            "worth_ug_per_h": data["worth"],
        }


class ReadingForm(fields.RecordForm):
    """What is read off a run; each field holds the last value, in its unit.

    A value left as it stood is not recorded, unless “same” is ticked: nobody can
    tell it from one that was not looked at. The time left as it stood is the moment
    of recording: the page may have been open for long.
    """

    note = forms.CharField(
        max_length=300,
        required=False,
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )
    read_at = fields.MomentField(
        label="Read at",
        show_hidden_initial=True,
        help_text="Left as it stands, it is the moment you press Record.",
    )

    def __init__(self, *args, last, kept, ended=False, **kwargs):
        super().__init__(*args, **kwargs)
        self.last = last
        if ended:
            ask_for_the_time(self.fields["read_at"])
        for quantity in QUANTITIES:
            add_quantity(self.fields, quantity, last.get(quantity.name), kept)

    def quantities(self):
        """Yield each quantity's controls, and how old its last value is."""
        for quantity in QUANTITIES:
            name = quantity.name
            last = self.last.get(name)
            yield {
                "number": self[name],
                "unit": self[f"{name}_unit"],
                "same": self[f"{name}_same"] if last else None,
                "ago": ago(last.read_at) if last else "",
            }

    def clean(self):
        data = super().clean()
        self.values, self.left = {}, []
        for quantity in QUANTITIES:
            try:
                self.values[quantity.fact] = self.taken(quantity)
            except (units.UnitError, forms.ValidationError) as error:
                self.add_error(quantity.name, str(getattr(error, "message", error)))
        return data

    def taken(self, quantity):
        """Return the value that was read of a quantity, or None if it was not."""
        name = quantity.name
        number = self.cleaned_data.get(name, "")
        unit = self.cleaned_data.get(f"{name}_unit", "")
        same = self.cleaned_data.get(f"{name}_same")
        if not number and same:
            raise forms.ValidationError("Write the number, or take the tick away.")
        if not number:
            return None
        if re.match(r"[-+]?[0-9.,]+ *[^0-9.,eE +-]", number):
            raise forms.ValidationError(
                "Write the number alone; its unit is chosen beside it."
            )
        if name in self.changed_data:
            return quantity.parse(f"{off_the_pad(number)} {unit}")
        if f"{name}_unit" in self.changed_data:
            raise forms.ValidationError(
                "Only the unit was changed: read the number anew too."
            )
        if not same:
            self.left.append(quantity.label)
            return None
        return quantity.parse(f"{number} {unit}")

    def seen(self):
        """Return what was read, as the operation takes it."""
        read_at = self.cleaned_data["read_at"]
        if "read_at" not in self.changed_data:
            read_at = timezone.now().replace(microsecond=0)
        return Seen(read_at=read_at, note=self.cleaned_data["note"], **self.values)

    def units(self):
        """Return {quantity: unit} as chosen, to be kept for the next reading."""
        return {q.name: self.cleaned_data[f"{q.name}_unit"] for q in QUANTITIES}


def ask_for_the_time(field):
    """Leave the time of a reading empty: the run is over, so it was not now."""
    field.initial, field.show_hidden_initial = None, False
    field.help_text = "The run has ended: say when this was read."


def add_quantity(form_fields, quantity, last, kept):
    """Add a quantity's number, its unit, and “same” if there is something to repeat."""
    unit = quantity.unit(kept)
    value = getattr(last, quantity.fact) if last else None
    pad = {
        "inputmode": "decimal",
        "autocomplete": "off",
        "enterkeyhint": "done",
        "maxlength": 30,
        "class": "pad-number",
    }
    name = quantity.name
    form_fields[name] = forms.CharField(
        label=quantity.label,
        required=False,
        max_length=30,
        initial="" if value is None else units.show_in(value, unit),
        show_hidden_initial=True,
        widget=forms.TextInput(attrs=pad),
    )
    form_fields[f"{name}_unit"] = forms.ChoiceField(
        label=f"Unit of {quantity.label.lower()}",
        choices=[(each, each) for each in quantity.units],
        initial=unit,
        show_hidden_initial=True,
        widget=forms.Select(attrs={"aria-label": f"{quantity.label}, unit"}),
    )
    if value is not None:
        form_fields[f"{name}_same"] = forms.BooleanField(
            label=f"{quantity.label}: same", required=False
        )


def off_the_pad(number):
    """Return a number with a point for its decimals.

    A phone's number pad may have a comma and no point. Between one and three other
    digits a comma says no more than a point would; “1,234” stays as it is, to be
    refused, because it can be read in two ways.
    """
    comma = re.fullmatch(r"([0-9]*),([0-9]+)", number)
    if comma and (len(comma[2]) != 3 or not comma[1].strip("0")):
        return f"{comma[1] or '0'}.{comma[2]}"
    return number
