"""Form fields that take units as people type them, and give what the models store."""

import uuid

from django import forms
from django.utils import timezone

from inventory.calc import units
from inventory.operations import days, log


class UnitField(forms.CharField):
    """Text with a unit. `parse` turns it into a number, or refuses in a sentence.

    A `conditional` field is needed in some cases, which its form knows; it is then
    not marked as optional.
    """

    parse = None

    def __init__(self, *args, conditional=False, **kwargs):
        self.conditional = conditional
        if conditional:
            kwargs["required"] = False
        super().__init__(*args, **kwargs)
        self.widget.attrs.setdefault("maxlength", 60)
        self.widget.attrs.setdefault("autocomplete", "off")
        self.widget.attrs.setdefault("spellcheck", "false")

    def to_python(self, value):
        text = super().to_python(value)
        if text in self.empty_values:
            return None
        if len(text) > 60:
            raise forms.ValidationError("This is too long.")
        try:
            return type(self).parse(text)
        except units.UnitError as error:
            raise forms.ValidationError(str(error)) from error


class MassField(UnitField):
    """A mass, in whole micrograms. Zero is refused unless `zero` allows it."""

    parse = staticmethod(units.parse_mass)

    def __init__(self, *args, zero=False, **kwargs):
        self.zero = zero
        super().__init__(*args, **kwargs)

    def validate(self, value):
        super().validate(value)
        if value == 0 and not self.zero:
            raise forms.ValidationError("This has to be more than zero.")


class VolumeField(MassField):
    """A volume, in whole microlitres."""

    parse = staticmethod(units.parse_volume)


class LiquidField(UnitField):
    """An amount of a liquid medium by mass or volume: a Need of calc.units."""

    @staticmethod
    def parse(text):
        need = units.parse_need(text)
        if need.kind == "amount":
            raise units.UnitError("Give a mass or a volume, as in 12.1 g or 14 mL.")
        return need


class NeedField(UnitField):
    """What is needed: g, mg, mL or mmol, as a Need of calc.units."""

    parse = staticmethod(units.parse_need)


class TemperatureField(UnitField):
    """A temperature, in degrees Celsius."""

    parse = staticmethod(units.parse_temperature)


class PressureField(UnitField):
    """A pressure, in pascals."""

    parse = staticmethod(units.parse_pressure)


class HumidityField(UnitField):
    """A relative humidity, as a fraction."""

    parse = staticmethod(units.parse_humidity)


class ShareField(UnitField):
    """A share in per cent, as a fraction."""

    parse = staticmethod(units.parse_percent)


class PurityField(ShareField):
    """A purity, as a fraction above zero; "5.0" after a gas's name is not one."""

    def validate(self, value):
        super().validate(value)
        if value == 0:
            raise forms.ValidationError("A purity is above zero.")


class MomentField(forms.DateTimeField):
    """When something was read or done; filled in with this minute."""

    def __init__(self, *args, **kwargs):
        kwargs.setdefault("initial", this_minute)
        kwargs.setdefault(
            "widget",
            forms.DateTimeInput(
                attrs={"type": "datetime-local"}, format="%Y-%m-%dT%H:%M"
            ),
        )
        super().__init__(*args, **kwargs)

    def to_python(self, value):
        moment = super().to_python(value)
        if moment and moment > timezone.now() + log.CLOCK_TOLERANCE:
            raise forms.ValidationError("This lies in the future.")
        return moment


class DayField(forms.DateField):
    """A day, with the browser's own calendar; not more than ten years ahead."""

    def __init__(self, *args, **kwargs):
        kwargs.setdefault(
            "widget", forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
        )
        super().__init__(*args, **kwargs)

    def validate(self, value):
        super().validate(value)
        if value and days.is_too_far(value):
            raise forms.ValidationError(days.TOO_FAR)


def this_minute():
    return timezone.localtime().replace(second=0, microsecond=0)


class RecordForm(forms.Form):
    """A form that records something: it carries the id that makes it count once."""

    request_id = forms.UUIDField(widget=forms.HiddenInput, initial=uuid.uuid4)

    @property
    def earlier(self):
        """Return the entry that an earlier submit of this form wrote, or None."""
        try:
            sent = self.data.get(self.add_prefix("request_id"), "")
            return log.repeated(uuid.UUID(sent))
        except ValueError:
            return None

    @property
    def facts(self):
        """Return what was typed, without the request id."""
        return {
            name: value
            for name, value in self.cleaned_data.items()
            if name != "request_id"
        }


class LookedAtMixin(forms.Form):
    """Asks whether an old, opened vessel of ageing metal was looked at first.

    `ageing` is (tone, sentence) of story.age, or None: then nothing is asked.
    """

    looked = forms.BooleanField(
        label="I looked at it just now: no thick, white, yellow or orange crust",
        error_messages={
            "required": "Look first. With a crust, leave it alone and ask your "
            "safety office."
        },
    )

    def __init__(self, *args, ageing=None, **kwargs):
        self.ageing = ageing
        super().__init__(*args, **kwargs)
        if ageing is None:
            del self.fields["looked"]
