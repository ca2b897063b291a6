"""Taking metal out: by two weighings, by volume, or all of it."""

from django import forms

from inventory.calc.units import show_mass
from inventory.models import BookingLine, Medium, Project
from inventory.operations import taking
from inventory.operations.readings import Facts
from inventory.web import fields

from . import weighing

LIQUID_KNOWN = (
    ("", "None went"),
    ("known", "Known: measured"),
    ("roughly", "Roughly known: within about a half"),
    ("unknown", "Some did, nobody knows how much"),
)
ROUGHLY = 0.5 / 3**0.5  # of the amount: rectangular within ± a half


def gas_choices():
    return [
        ("", "The same as before"),
        *[(gas.key, gas.name) for gas in weighing.closed_in_gases()],
        ("unknown", "Another one, not known which"),
    ]


class LiquidGoneMixin:
    """What went out with the metal: the fields `liquid_known` and `liquid_out`.

    For a form about a `vessel`; one that is kept in no liquid has neither.
    """

    def ask_of_liquid_alone(self):
        medium = self.vessel.medium
        if not (medium and medium.is_liquid):
            del self.fields["liquid_known"], self.fields["liquid_out"]

    def check_liquid(self):
        """Ask for the amount where it was said to be known."""
        data = self.cleaned_data
        missing = data.get("liquid_out") is None and "liquid_out" not in self.errors
        if data.get("liquid_known") in ("known", "roughly") and missing:
            self.add_error("liquid_out", "Say how much, or that nobody knows.")

    def liquid(self):
        """Return the Liquid that went out with the metal."""
        known = self.cleaned_data.get("liquid_known")
        if not known:
            return taking.NO_LIQUID
        if known == "unknown":
            return taking.Liquid(is_unknown=True)
        density = Facts.read().liquid_density(self.vessel.medium)
        out, u_out = weighing.liquid_mass(self.cleaned_data["liquid_out"], density)
        if known == "roughly":
            u_out = round(out * ROUGHLY)
        return taking.Liquid(-out, u_out)


class WithdrawForm(
    LiquidGoneMixin, fields.LookedAtMixin, weighing.AirFields, fields.RecordForm
):
    """One way of taking, chosen by `method`; the fields of the others stay empty."""

    WAYS = (
        ("weighed", "Vessel weighed before and after"),
        ("receiver", "Receiver weighed"),
        ("volume", "Drawn as a volume"),
        ("pieces", "Counted pieces"),
        ("whole", "The whole contents"),
    )
    NEEDS = {
        "weighed": ("before", "after"),
        "receiver": ("receiver_empty", "receiver_full"),
        "volume": ("volume", "temperature"),
        "pieces": ("count", "piece"),
        "whole": (),
    }
    READ = ("before", "after", "receiver_empty", "receiver_full")

    method = forms.ChoiceField(
        label="How", choices=WAYS, widget=forms.RadioSelect, initial="weighed"
    )
    before = fields.MassField(label="Vessel before", conditional=True)
    after = fields.MassField(
        label="Vessel after",
        conditional=True,
        help_text="With the same closure, filled up with the same gas.",
    )
    gas_after = forms.ChoiceField(
        label="Gas inside afterwards", choices=gas_choices, required=False
    )
    receiver_empty = fields.MassField(label="Receiver before", conditional=True)
    receiver_full = fields.MassField(label="Receiver with the metal", conditional=True)
    balance = weighing.balance_field(required=False)
    liquid_known = forms.ChoiceField(
        label="Liquid medium that went with it", choices=LIQUID_KNOWN, required=False
    )
    liquid_out = fields.LiquidField(
        label="How much of it", required=False, help_text="As in 0.3 mL or 0.25 g."
    )
    count = forms.IntegerField(
        label="Number of pieces", required=False, min_value=1, max_value=10_000
    )
    piece = fields.MassField(label="Mean mass of a piece", conditional=True)
    piece_u = fields.MassField(
        label="Spread from piece to piece",
        required=False,
        zero=True,
        help_text="Standard deviation; empty takes 5 %.",
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
        lines = offer_promises(self, vessel)
        weighing.prefer_last(self, vessel)
        if not lines:
            del self.fields["settle"]
        elif len(lines) == 1 and vessel.free_ug <= 0:
            # Nothing is free: what is taken can only be what is promised.
            self.fields["line"].initial = lines[0].pk
        self.ask_of_liquid_alone()

    def clean(self):
        data = super().clean()
        for name in self.NEEDS.get(data.get("method"), ()):
            if data.get(name) is None and name not in self.errors:
                self.add_error(name, "This is needed for the way you chose.")
        for name in set(self.READ) & set(self.NEEDS.get(data.get("method"), ())):
            weighing.check_digits(self, name)
        self.check_liquid()
        return data

    def how(self):
        """Return the way of taking that the valid form describes."""
        return getattr(self, f"take_{self.cleaned_data['method']}")()

    def take_whole(self):
        return taking.Whole()

    def take_volume(self):
        data = self.cleaned_data
        tolerance = data["tolerance"]
        if tolerance is None:
            tolerance = data["volume"] * 0.02
        # Triangular over ± the tolerance, as the handbooks take glassware.
        return taking.Drawn(
            volume_ul=data["volume"],
            u_volume_ul=round(tolerance / 6**0.5),
            temperature_c=data["temperature"],
            liquid=self.liquid(),
        )

    def take_pieces(self):
        data = self.cleaned_data
        u_ug = data["piece_u"]
        return taking.Pieces(
            count=data["count"],
            piece_ug=data["piece"],
            u_piece_ug=round(data["piece"] * 0.05) if u_ug is None else u_ug,
            liquid=self.liquid(),
        )

    def take_receiver(self):
        data = self.cleaned_data
        return taking.receive(
            self.vessel,
            weighing.observation(self, data["receiver_empty"], gas=self.vessel.gas),
            weighing.observation(self, data["receiver_full"], gas=self.vessel.gas),
            self.liquid(),
        )

    def take_weighed(self):
        data, vessel, liquid = self.cleaned_data, self.vessel, self.liquid()
        inside = max(round(vessel.liquid_ug), 0)
        key = data["gas_after"]
        gas_after = Medium.objects.filter(key=key).first() or vessel.gas
        return taking.Weighed(
            before=weighing.observation(
                self, data["before"], gas=vessel.gas, liquid=(inside, 0)
            ),
            after=weighing.observation(
                self,
                data["after"],
                gas=gas_after,
                liquid=(max(inside + liquid.change_ug, 0), liquid.u_ug),
            ),
            liquid=liquid,
            gas_is_unknown=key == "unknown",
        )


def offer_promises(form, vessel):
    """Let a form choose among the promises of a vessel; return them.

    The line that this very form closed when it was sent before is a choice still:
    the answer is that nothing is recorded twice.
    """
    promises = BookingLine.objects.filter(vessel=vessel)
    lines = promises.open() | promises.filter(
        closed_by__isnull=False, closed_by=form.earlier
    )
    lines = lines.select_related("booking__project")
    form.fields["line"].queryset = lines
    form.fields["line"].label_from_instance = promise_in_words
    if not lines:
        del form.fields["line"]
    return lines


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
