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
    return forms.ModelChoiceField(
        Balance.objects.filter(is_in_use=True),
        label="Balance",
        empty_label=None,
        **kwargs,
    )


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


def refuse_too_fine(reading_ug, balance):
    """Refuse a reading with more digits than its balance shows."""
    if reading_ug % balance.readability_ug:
        raise forms.ValidationError(
            f"{balance} shows steps of {units.show_mass_plain(balance.readability_ug)}; "
            "this reading has more digits than that."
        )
