"""Taking metal out: by two weighings, by volume, or all of it."""

from django import forms
from django.db.models import Q

from inventory.calc.units import show_mass
from inventory.models import BookingLine, Project
from inventory.operations import ledger
from inventory.operations.readings import Facts
from inventory.web import fields

from . import weighing


class WithdrawForm(weighing.AirFields, fields.RecordForm):
    """One way of taking, chosen by `method`; the fields of the others stay empty."""

    WAYS = (
        ("weighed", "Weighed before and after"),
        ("volume", "Drawn as a volume"),
        ("whole", "The whole contents"),
    )
    NEEDS = {
        "weighed": ("before", "after"),
        "volume": ("volume", "temperature"),
        "whole": (),
    }

    method = forms.ChoiceField(
        label="How", choices=WAYS, widget=forms.RadioSelect, initial="weighed"
    )
    before = fields.MassField(label="Vessel before", conditional=True)
    after = fields.MassField(
        label="Vessel after",
        conditional=True,
        help_text="With the same closure, filled up with the same gas.",
    )
    balance = weighing.balance_field(required=False)
    liquid_out = fields.LiquidField(
        label="Liquid medium that went with it",
        required=False,
        help_text="As in 0.3 mL. Empty: none did.",
    )
    volume = fields.VolumeField(label="Volume drawn", conditional=True)
    temperature = fields.TemperatureField(
        label="Temperature of the metal", conditional=True
    )
    tolerance = fields.VolumeField(
        label="Tolerance of the syringe or pipette",
        required=False,
        zero=True,
        help_text="Its ± by the maker; empty takes 2 % of the volume.",
    )
    read_at = fields.MomentField(label="Taken at")
    purpose = forms.CharField(
        label="For", max_length=200, help_text="The experiment, in a few words."
    )
    line = forms.ModelChoiceField(
        BookingLine.objects.none(),
        label="Against the booking",
        required=False,
        empty_label="No booking: from what is free",
    )
    settle = forms.BooleanField(
        label="This settles the booking: what is left of it is free again",
        required=False,
        initial=True,
    )
    project = forms.ModelChoiceField(
        Project.objects.open(),
        label="Project",
        required=False,
        empty_label="None",
        help_text="Without a booking: whose experiment this is.",
    )

    def __init__(self, *args, vessel, **kwargs):
        self.vessel = vessel
        super().__init__(*args, **kwargs)
        # The line that this very form closed when it was sent before is a choice
        # still: the answer is that nothing is recorded twice.
        lines = BookingLine.objects.filter(
            Q(closed_by=None) | Q(closed_by=self.earlier), vessel=vessel
        ).select_related("booking__project")
        self.fields["line"].queryset = lines
        self.fields["line"].label_from_instance = promise_in_words
        if not lines:
            del self.fields["line"], self.fields["settle"]
        if not (vessel.medium and vessel.medium.is_liquid):
            del self.fields["liquid_out"]

    def clean(self):
        data = super().clean()
        for name in self.NEEDS.get(data.get("method"), ()):
            if data.get(name) is None and name not in self.errors:
                self.add_error(name, "This is needed for the way you chose.")
        if data.get("method") == "weighed" and data.get("balance"):
            self.refuse_digits(data)
        return data

    def refuse_digits(self, data):
        for name in self.NEEDS["weighed"]:
            if data.get(name):
                try:
                    weighing.refuse_too_fine(data[name], data["balance"])
                except forms.ValidationError as error:
                    self.add_error(name, error)

    def how(self):
        """Return the Weighed, Drawn or Whole that the valid form describes."""
        data = self.cleaned_data
        if data["method"] == "whole":
            return ledger.Whole()
        if data["method"] == "volume":
            tolerance = data["tolerance"]
            if tolerance is None:
                tolerance = data["volume"] * 0.02
            # Triangular over ± the tolerance, as the handbooks take glassware.
            return ledger.Drawn(
                volume_ul=data["volume"],
                u_volume_ul=round(tolerance / 6**0.5),
                temperature_c=data["temperature"],
            )
        return self.weighed()

    def weighed(self):
        data, vessel = self.cleaned_data, self.vessel
        density = Facts.read().liquid_density(vessel.medium)
        out, u_out = weighing.liquid_mass(data.get("liquid_out"), density)
        inside = vessel.weighings.last().liquid_ug if vessel.weighings.exists() else 0
        return ledger.Weighed(
            before=weighing.observation(
                self, data["before"], gas=vessel.gas, liquid=(inside, 0)
            ),
            after=weighing.observation(
                self,
                data["after"],
                gas=vessel.gas,
                liquid=(max(inside - out, 0), u_out),
            ),
        )


def promise_in_words(line):
    return f"{line.booking}: {show_mass(line.mass_ug)} for {line.booking.project}"


class DestroyForm(fields.RecordForm):
    """All of the residue, destroyed: how, when and under whose eyes."""

    happened_at = fields.MomentField(label="Destroyed at")
    how = forms.CharField(
        label="How, and who stood by",
        max_length=200,
        widget=forms.Textarea(attrs={"rows": 2}),
        help_text="The procedure by its local name, and the trained second person's "
        "role.",
    )
    supervised = forms.BooleanField(
        label="Done by the local written procedure, with a trained second person"
    )
