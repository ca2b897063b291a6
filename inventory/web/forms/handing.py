"""Picking, handing over, and what comes back or is reported."""

from django import forms

from inventory.calc import codes, density
from inventory.models import Medium, Partner, Place
from inventory.operations import coming_back
from inventory.operations.readings import Facts
from inventory.web import fields

from . import weighing
from .withdrawals import LIQUID_KNOWN, LiquidGoneMixin, gas_choices


class PickForm(fields.RecordForm):
    """A code, typed or read by a scanner that ends it with Enter."""

    code = forms.CharField(
        label="Scan or type the code",
        max_length=codes.TEXT_MAX,
        widget=forms.TextInput(
            attrs={
                "autocomplete": "off",
                "autocapitalize": "characters",
                "spellcheck": "false",
                "enterkeyhint": "go",
            }
        ),
    )

    def __init__(self, *args, hosts, **kwargs):
        """`hosts` are those that our own labels lead to."""
        self.hosts = hosts
        super().__init__(*args, **kwargs)

    def clean_code(self):
        """Return the bare code; a link of another laboratory is refused."""
        code = self.cleaned_data["code"]
        if not code:
            return code
        try:
            parsed = codes.parse_code(code, self.hosts)
        except codes.CodeError as error:
            raise forms.ValidationError(str(error)) from error
        if parsed.number is None:
            return parsed.batch
        return codes.vessel_code(parsed.batch, parsed.number)


class HandOverForm(fields.RecordForm):
    """Which picked vessels pass to a partner: per vessel a tick, and its return."""

    partner = forms.ModelChoiceField(
        Partner.objects.none(), label="Handed over to", empty_label=None
    )
    handed_at = fields.MomentField(label="Handed over at")
    carried = forms.CharField(
        label="How it travels",
        required=False,
        max_length=200,
        help_text="As in: steel can in vermiculite, by hand, on foot.",
    )
    note = forms.CharField(required=False, max_length=300)
    beyond_share = forms.CharField(
        label="Why beyond the share",
        required=False,
        max_length=300,
        help_text="This stays with the booking.",
    )

    def __init__(self, *args, lines, partners, **kwargs):
        self.lines = lines
        super().__init__(*args, **kwargs)
        # Shown only where it is needed.
        self.fields["beyond_share"].conditional = True
        self.fields["partner"].queryset = partners
        for line in lines:
            self.fields[f"line_{line.pk}"] = forms.BooleanField(
                label=str(line.vessel), required=False, initial=True
            )
            self.fields[f"return_{line.pk}"] = fields.DayField(
                label="Comes back by", required=False
            )
            self.fields[f"expected_{line.pk}"] = fields.MassField(
                label="With about", required=False, zero=True
            )

    def clean(self):
        data = super().clean()
        for line in self.lines:
            day, expected = f"return_{line.pk}", f"expected_{line.pk}"
            if {day, expected} & set(self.errors):
                continue
            if data.get(day) and data.get(expected) is None:
                self.add_error(
                    expected, "Say with about how much; 0 g if it comes back empty."
                )
            elif data.get(expected) is not None and not data.get(day):
                self.add_error(day, "Say by which day.")
        if not self.errors and not self.chosen():
            self.add_error(None, "Tick at least one vessel.")
        return data

    @property
    def asks_why(self):
        """Whether a reason is needed, or was given."""
        return "beyond_share" in self.errors or bool(self["beyond_share"].value())

    def chosen(self):
        """Return the lines that were ticked."""
        return [line for line in self.lines if self.cleaned_data.get(f"line_{line.pk}")]

    def returns(self):
        """Return {line pk: (day, µg)} of the vessels that come back."""
        found = {}
        for line in self.chosen():
            day = self.cleaned_data.get(f"return_{line.pk}")
            if day:
                found[line.pk] = (day, self.cleaned_data[f"expected_{line.pk}"])
        return found

    def rows(self):
        """Return (line, tick, day, mass) for the list of vessels."""
        return [
            (
                line,
                self[f"line_{line.pk}"],
                self[f"return_{line.pk}"],
                self[f"expected_{line.pk}"],
            )
            for line in self.lines
        ]


class ReportForm(fields.RecordForm):
    """What a partner says was used: an amount, or all of it."""

    used = fields.NeedField(
        label="Used",
        conditional=True,
        help_text="As in 1.2 g, 25 mmol or 2 mL. A volume is that of the metal at "
        "20 °C. All: leave it empty.",
    )
    is_all = forms.BooleanField(label="All of it was used", required=False)
    u_used = fields.MassField(
        label="Standard uncertainty of that",
        required=False,
        zero=True,
        help_text="Half of a ± that covers nearly all. Empty: it may be half more or "
        "half less. All of it: leave this empty, the record knows.",
    )
    happened_at = fields.MomentField(label="Used at")
    note = forms.CharField(
        required=False, max_length=300, help_text="As in: second film, run 14."
    )

    def __init__(self, *args, material, **kwargs):
        self.material = material
        super().__init__(*args, **kwargs)

    def clean_used(self):
        """Return the µg used of the metal; None where no amount was typed."""
        need = self.cleaned_data["used"]
        if need is None:
            return None
        facts = Facts.read().material(self.material)
        used_ug = round(density.mass_for_need(need, facts))
        if used_ug == 0:
            raise forms.ValidationError("This has to be more than zero.")
        return used_ug

    def clean(self):
        data = super().clean()
        if not self.errors and bool(data.get("used")) == bool(data.get("is_all")):
            self.add_error("used", "Write how much, or tick that all was used.")
        return data

    def facts_of_use(self):
        """Return what `returning.report` takes of the form."""
        data = self.cleaned_data
        return {
            "used_ug": data["used"],
            "u_ug": data["u_used"],
            "happened_at": data["happened_at"],
            "note": data["note"],
        }


def gas_now_choices():
    """Return the gases that may be inside, and first that nobody opened it."""
    return [("", "Not opened: as it left"), *gas_choices()[1:]]


class ReturnForm(LiquidGoneMixin, weighing.AirFields, fields.RecordForm):
    """How a vessel is back: empty, or weighed, opened or with its seal as it was."""

    WAYS = (
        ("empty", "Empty: all of the metal was used"),
        ("opened", "Opened, with metal in it: weighed again"),
        ("sealed", "Not opened, its seal as it was: weighed again"),
    )

    way = forms.ChoiceField(
        label="It came back",
        choices=WAYS,
        widget=forms.RadioSelect,
        error_messages={"required": "Say how it came back."},
    )
    place = forms.ModelChoiceField(
        Place.objects.all(), label="Now stands in", empty_label="Choose a place"
    )
    read_at = fields.MomentField(label="Back, or weighed, at")
    reading = fields.MassField(
        label="The closed vessel",
        conditional=True,
        help_text="With the closure it was tared with.",
    )
    balance = weighing.balance_field(required=False)
    gas_now = forms.ChoiceField(
        label="Gas inside now", choices=gas_now_choices, required=False
    )
    liquid_known = forms.ChoiceField(
        label="Liquid medium that went with it", choices=LIQUID_KNOWN, required=False
    )
    liquid_out = fields.LiquidField(
        label="How much of it", required=False, help_text="As in 0.3 mL or 0.25 g."
    )
    note = forms.CharField(
        required=False, max_length=300, help_text="How the glass and the seal look."
    )

    def __init__(self, *args, vessel, **kwargs):
        self.vessel = vessel
        super().__init__(*args, **kwargs)
        weighing.prefer_last(self, vessel)
        # Needed of a vessel that was opened: what it left with is out.
        self.fields["gas_now"].conditional = True
        self.ask_of_liquid_alone()

    def clean(self):
        data = super().clean()
        if data.get("way") in ("opened", "sealed"):
            for name in ("reading", "balance"):
                if data.get(name) is None and name not in self.errors:
                    self.add_error(name, "This is needed for the way you chose.")
            weighing.check_digits(self, "reading")
        if data.get("way") == "opened" and data.get("gas_now") == "":
            self.add_error("gas_now", "It was opened: say which gas is inside now.")
        as_it_left = ("", None, self.vessel.gas.key)
        if data.get("way") == "sealed" and data.get("gas_now") not in as_it_left:
            self.add_error(
                "gas_now", "Not opened, it holds the gas it left with. Was it opened?"
            )
        self.check_liquid()
        return data

    def how(self):
        """Return the way back that the valid form describes."""
        data, vessel = self.cleaned_data, self.vessel
        if data["way"] == "empty":
            return coming_back.Empty(data["read_at"])
        liquid = self.liquid()
        inside = max(round(vessel.liquid_ug) + liquid.change_ug, 0)
        gas = Medium.objects.filter(key=data["gas_now"]).first() or vessel.gas
        return coming_back.Weighed(
            weighing.observation(
                self, data["reading"], gas=gas, liquid=(inside, liquid.u_ug)
            ),
            opened=data["way"] == "opened",
            liquid=liquid,
            gas_is_unknown=data["gas_now"] == "unknown",
        )
