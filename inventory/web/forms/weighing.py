"""What every balance reading asks: the instrument, the moment, the air."""

from django import forms

from inventory.calc import units
from inventory.models import Balance, Medium, MediumKind
from inventory.operations.vessels import Observation
from inventory.web import fields

LEFT_OUT = "Leave empty if it was not noted; the sums then use a wide default."


def gases():
    return Medium.objects.exclude(kind=MediumKind.LIQUID)


def closed_in_gases():
    """Return what may be above metal: any gas but air."""
    return gases().exclude(key="air")


class AirFields(forms.Form):
    """The air around a reading, all optional. Mixed into forms that weigh."""

    air_temperature = fields.TemperatureField(
        label="Air temperature", required=False, help_text=f"As in 21.5 °C. {LEFT_OUT}"
    )
    air_pressure = fields.PressureField(
        label="Air pressure", required=False, help_text="As in 1013 hPa."
    )
    air_humidity = fields.HumidityField(
        label="Relative humidity", required=False, help_text="As in 45 %."
    )

    AIR = ("air_temperature", "air_pressure", "air_humidity")

    def clean_air_temperature(self):
        celsius = self.cleaned_data["air_temperature"]
        if celsius is not None and not -10 <= celsius <= 50:
            raise forms.ValidationError(
                "Nobody weighs in air like that: between −10 °C and 50 °C."
            )
        return celsius

    def clean_air_pressure(self):
        pascal = self.cleaned_data["air_pressure"]
        if pascal is not None and not 50_000 <= pascal <= 110_000:
            raise forms.ValidationError(
                "The air's pressure is between 500 hPa and 1100 hPa."
            )
        return pascal

    @property
    def air_is_noted(self):
        """Return whether any of it was typed, so that the form shows it open."""
        return any(self[name].value() for name in self.AIR)

    @property
    def air(self):
        """Return the noted conditions as fields of an Observation."""
        return {
            "air_temperature_c": self.cleaned_data.get("air_temperature"),
            "air_pressure_pa": self.cleaned_data.get("air_pressure"),
            "air_humidity": self.cleaned_data.get("air_humidity"),
        }


def balance_field(**kwargs):
    """Return the choice of a balance in use, the first one chosen beforehand."""
    field = forms.ModelChoiceField(
        Balance.objects.filter(is_in_use=True),
        label="Balance",
        empty_label=None,
        **kwargs,
    )
    field.conditional = True  # without a reading it is not asked for
    return field


def prefer_last(form, vessel):
    """Choose beforehand the balance that this vessel was last weighed on."""
    last = vessel.weighings.order_by("-id").values_list("balance").first()
    if last:
        form.fields["balance"].initial = last[0]


def liquid_mass(amount, density):
    """Return (µg, u µg) of a liquid medium given as a mass or volume Need.

    `density` is a ufloat in kg/m³. What is given as a mass is taken as read off a
    balance to a hundredth of it, a volume to two hundredths: common practice.
    """
    if amount is None:
        return 0, 0
    if amount.kind == "mass":
        return round(amount.value), round(amount.value * 0.01)
    mass = density * amount.value
    return round(mass.n), round((mass.s**2 + (mass.n * 0.02) ** 2) ** 0.5)


def observation(form, reading_ug, *, gas, liquid=(0, 0)):
    """Return the Observation that a form with balance, moment and air describes."""
    liquid_ug, u_liquid_ug = liquid
    return Observation(
        reading_ug=reading_ug,
        balance=form.cleaned_data["balance"],
        read_at=form.cleaned_data["read_at"],
        gas=gas,
        liquid_ug=liquid_ug,
        u_liquid_ug=u_liquid_ug,
        note=form.cleaned_data.get("note", ""),
        **form.air,
    )


def check_digits(form, name):
    """Put the refusal of a reading with too many digits at its field."""
    reading, balance = form.cleaned_data.get(name), form.cleaned_data.get("balance")
    if reading and balance:
        try:
            refuse_too_fine(reading, balance)
        except forms.ValidationError as error:
            form.add_error(name, error)


def refuse_too_fine(reading_ug, balance):
    """Refuse a reading with more digits than its balance shows."""
    if reading_ug % balance.readability_ug:
        raise forms.ValidationError(
            f"{balance} shows steps of {units.show_mass_plain(balance.readability_ug)}; "
            "this reading has more digits than that."
        )
