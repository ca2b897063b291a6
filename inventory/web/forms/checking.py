"""Weighing again, changing the medium, and transferring."""

from django import forms

from inventory.models import BookingLine, Cause, Closure, Medium, Place
from inventory.operations import filling, media, taking
from inventory.operations.readings import Facts
from inventory.operations.transferring import Arrival
from inventory.web import fields

from . import weighing
from .withdrawals import LIQUID_KNOWN, ROUGHLY, offer_promises


class CheckForm(weighing.AirFields, fields.RecordForm):
    """A check weighing, and, where it disagrees, what somebody decided it shows."""

    reading = fields.MassField(
        label="The closed vessel", help_text="With the closure it was tared with."
    )
    balance = weighing.balance_field()
    read_at = fields.MomentField(label="Weighed at")
    gas = forms.ModelChoiceField(
        weighing.closed_in_gases(),
        label="Gas inside",
        to_field_name="key",
        empty_label=None,
    )
    note = forms.CharField(required=False, max_length=300)
    cause = forms.ChoiceField(
        label="If it disagrees: what it shows",
        choices=[("", "Not decided: it is weighed again"), *Cause.choices],
        required=False,
    )
    reason = forms.CharField(
        label="And how you know",
        required=False,
        max_length=200,
        widget=forms.Textarea(attrs={"rows": 2}),
        help_text="The difference is posted in the ledger with these words.",
    )

    def __init__(self, *args, vessel, **kwargs):
        self.vessel = vessel
        super().__init__(*args, **kwargs)
        weighing.prefer_last(self, vessel)
        if vessel.gas_id:
            self.fields["gas"].initial = vessel.gas.key

    def clean(self):
        data = super().clean()
        weighing.check_digits(self, "reading")
        if data.get("cause") and not data.get("reason"):
            self.add_error("reason", "Say how you know.")
        return data

    def seen(self):
        """Return the Observation."""
        data = self.cleaned_data
        inside = max(round(self.vessel.liquid_ug), 0)
        return weighing.observation(
            self, data["reading"], gas=data["gas"], liquid=(inside, 0)
        )


class MediumForm(fields.LookedAtMixin, weighing.AirFields, fields.RecordForm):
    """What the metal is kept in from now on, and what went in or out for it."""

    WAYS = (
        ("none", "No liquid went in or out"),
        ("in", "Liquid was put in"),
        ("out", "Liquid was drained"),
        ("all", "All of the liquid was drained"),
    )

    medium = forms.ModelChoiceField(
        Medium.objects.exclude(key="air"),
        label="Kept in from now on",
        to_field_name="key",
        empty_label=None,
    )
    gas = forms.ModelChoiceField(
        weighing.closed_in_gases(),
        label="Gas above",
        to_field_name="key",
        required=False,
        empty_label="The same as “kept in”",
        help_text="Needed when the metal is kept in a liquid.",
    )
    way = forms.ChoiceField(label="Liquid", choices=WAYS, initial="none")
    liquid_known = forms.ChoiceField(
        label="How well that is known", choices=LIQUID_KNOWN[1:], required=False
    )
    amount = fields.LiquidField(
        label="How much", required=False, help_text="As in 14 mL or 12.1 g."
    )
    before = fields.MassField(
        label="Vessel before", required=False, help_text="If it was weighed."
    )
    after = fields.MassField(
        label="Vessel after", required=False, help_text="If it was weighed."
    )
    balance = weighing.balance_field(required=False)
    read_at = fields.MomentField(label="Done at")
    note = forms.CharField(required=False, max_length=200)
    accept_medium = forms.BooleanField(
        label="Go ahead all the same: this medium is a decision of ours",
        required=False,
    )

    def __init__(self, *args, vessel, **kwargs):
        self.vessel = vessel
        super().__init__(*args, **kwargs)
        weighing.prefer_last(self, vessel)
        self.fields["medium"].initial = vessel.medium.key
        if vessel.medium.is_liquid:
            self.fields["gas"].initial = vessel.gas.key

    def clean(self):
        data = super().clean()
        for name in ("before", "after"):
            weighing.check_digits(self, name)
        medium, way = data.get("medium"), data.get("way")
        if medium and medium.is_liquid and not data.get("gas"):
            self.add_error("gas", f"Say which gas is above the {medium.name}.")
        measured = data.get("liquid_known") in ("known", "roughly")
        missing = data.get("amount") is None and "amount" not in self.errors
        if way in ("in", "out") and measured and missing:
            self.add_error("amount", "Say how much, or that nobody knows.")
        liquid = self.vessel.medium.is_liquid or (medium and medium.is_liquid)
        if way and way != "none" and not liquid:
            self.add_error("way", "There is no liquid here, before or after.")
        return data

    def exchange(self):
        """Return the Exchange that the valid form describes."""
        data = self.cleaned_data
        gas = data["gas"] if data["medium"].is_liquid else data["medium"]
        liquid = self.liquid()
        inside = max(round(self.vessel.liquid_ug), 0)
        left = max(inside + liquid.change_ug, 0)
        return media.Exchange(
            medium=data["medium"],
            gas=gas,
            liquid=liquid,
            way={"in": 1, "out": -1}.get(data["way"], 0),
            before=self.seen("before", self.vessel.gas, inside),
            after=self.seen("after", gas, left),
            accept_medium=data["accept_medium"],
        )

    def seen(self, name, gas, liquid_ug):
        reading = self.cleaned_data[name]
        if reading is None:
            return None
        return weighing.observation(self, reading, gas=gas, liquid=(liquid_ug, 0))

    def liquid(self):
        """Return the Liquid put in (+) or drained (-)."""
        data, inside = self.cleaned_data, max(round(self.vessel.liquid_ug), 0)
        if data["way"] == "none":
            return taking.NO_LIQUID
        if data["way"] == "all":
            # What clings to glass and metal: taken as a hundredth of what was in.
            return taking.Liquid(-inside, round(inside * 0.01))
        if data["liquid_known"] == "unknown":
            return taking.Liquid(is_unknown=True)
        sign = 1 if data["way"] == "in" else -1
        medium = data["medium"] if data["medium"].is_liquid else self.vessel.medium
        density = Facts.read().liquid_density(medium)
        amount, u_ug = weighing.liquid_mass(data["amount"], density)
        if data["liquid_known"] == "roughly":
            u_ug = round(amount * ROUGHLY)
        return taking.Liquid(sign * amount, u_ug)


class TransferForm(fields.LookedAtMixin, weighing.AirFields, fields.RecordForm):
    """Metal from one vessel into empty, tared ones: both sides of it."""

    WAYS = (
        ("arrived", "By what arrived, weighed in the filled vessels"),
        ("weighed", "And by this vessel, weighed before and after"),
    )

    method = forms.ChoiceField(
        label="How it is known", choices=WAYS, widget=forms.RadioSelect,
        initial="weighed",
    )  # fmt: skip
    line = forms.ModelChoiceField(
        BookingLine.objects.none(),
        label="Drawn for the booking",
        required=False,
        empty_label="No booking: from what is free",
        help_text="The promise goes with the metal, into one vessel.",
    )
    settle = forms.BooleanField(
        label="This settles the booking: what is left of it is free again",
        required=False,
        initial=True,
    )
    before = fields.MassField(label="This vessel before", conditional=True)
    after = fields.MassField(label="This vessel after", conditional=True)
    balance = weighing.balance_field()
    read_at = fields.MomentField(label="Done at")
    medium = forms.ModelChoiceField(
        weighing.closed_in_gases(),
        label="The filled ones are kept in",
        to_field_name="key",
        empty_label=None,
    )
    closure = forms.ChoiceField(label="And closed with", choices=Closure)
    place = forms.ModelChoiceField(
        Place.objects.all(), required=False, empty_label="Where each was tared"
    )
    accept_medium = forms.BooleanField(
        label="Go ahead all the same: this medium is a decision of ours",
        required=False,
    )
    is_loss = forms.BooleanField(
        label="What did not arrive is lost: post it as a loss", required=False
    )
    loss_reason = forms.CharField(
        label="Where it went",
        required=False,
        max_length=200,
        help_text="As in “wetted the funnel, quenched”.",
    )

    def __init__(self, *args, source, targets, **kwargs):
        self.source, self.targets = source, targets
        super().__init__(*args, **kwargs)
        weighing.prefer_last(self, source)
        if not offer_promises(self, source):
            del self.fields["settle"]
        for vessel in targets:
            self.fields[f"gross_{vessel.pk}"] = fields.MassField(
                label=f"{vessel} with the metal", required=False
            )

    def clean(self):
        data = super().clean()
        names = [f"gross_{vessel.pk}" for vessel in self.targets]
        if data.get("method") == "weighed":
            for name in ("before", "after"):
                if data.get(name) is None and name not in self.errors:
                    self.add_error(name, "This is needed for the way you chose.")
                weighing.check_digits(self, name)
        for name in names:
            weighing.check_digits(self, name)
        if not self.errors and not any(data.get(name) for name in names):
            self.add_error(None, "Write the gross reading of at least one vessel.")
        if data.get("is_loss") and not data.get("loss_reason"):
            self.add_error("loss_reason", "Say where it went.")
        return data

    def how(self):
        """Return the source's Weighed, or None when only what arrived is known."""
        if self.cleaned_data["method"] == "arrived":
            return None
        inside = max(round(self.source.liquid_ug), 0)
        readings = {
            name: weighing.observation(
                self, self.cleaned_data[name], gas=self.source.gas, liquid=(inside, 0)
            )
            for name in ("before", "after")
        }
        return taking.Weighed(**readings)

    def arrivals(self):
        """Return the Arrivals of the vessels that a gross was written for."""
        data = self.cleaned_data
        return [
            Arrival(
                vessel=vessel,
                filling=filling.Filling(
                    batch=self.source.batch,
                    medium=data["medium"],
                    gas=data["medium"],
                    closure=data["closure"],
                    place=data["place"],
                    gross=weighing.observation(
                        self, data[f"gross_{vessel.pk}"], gas=data["medium"]
                    ),
                    accept_medium=data["accept_medium"],
                ),
                field=f"gross_{vessel.pk}",
            )
            for vessel in self.targets
            if data.get(f"gross_{vessel.pk}")
        ]

    def rows(self):
        """Return (vessel, gross field) for the table of receiving vessels."""
        return [(vessel, self[f"gross_{vessel.pk}"]) for vessel in self.targets]
