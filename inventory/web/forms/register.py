"""Places, balances, the laboratory, people, and the catalogue's own values."""

from django import forms
from django.contrib.auth.password_validation import validate_password

from inventory.models import Balance, Laboratory, Place, PlaceKind, Role
from inventory.web import fields


class NamedForm(fields.RecordForm):
    """A record with a name of its own. `record` is the one being changed."""

    model = None
    name = forms.CharField(max_length=80)

    def __init__(self, *args, record=None, **kwargs):
        self.record = record
        super().__init__(*args, **kwargs)

    def clean_name(self):
        name = self.cleaned_data["name"]
        others = self.model.objects.filter(name__iexact=name)
        if self.record:
            others = others.exclude(pk=self.record.pk)
        if others.exists() and not self.earlier:
            raise forms.ValidationError("This name is taken.")
        return name


class PlaceForm(NamedForm):
    model = Place
    kind = forms.ChoiceField(choices=PlaceKind)
    within = forms.ModelChoiceField(
        Place.objects.all(), required=False, empty_label="Nothing larger"
    )
    warmest = fields.TemperatureField(
        label="Warmest it gets",
        initial="40 °C",
        help_text="Metal that melts by then needs room to expand.",
    )
    note = forms.CharField(required=False, max_length=300)

    @property
    def record_facts(self):
        facts = self.facts
        facts["warmest_c"] = facts.pop("warmest")
        return facts


class BalanceForm(NamedForm):
    model = Balance
    readability = fields.MassField(help_text="The last digit's step, as in 0.1 mg.")
    repeatability = fields.MassField(
        zero=True, help_text="Standard deviation of repeated readings, as in 0.2 mg."
    )
    nonlinearity = fields.MassField(
        label="Non-linearity", zero=True, help_text="The largest deviation, as ±."
    )
    capacity = fields.MassField(help_text="The heaviest it can carry, as in 220 g.")
    drift = forms.FloatField(
        label="Drift of the sensitivity",
        min_value=0,
        initial=0,
        help_text="In millionths of the load (ppm) since it was adjusted, as in 1.5.",
    )
    due_on = fields.DayField(label="Calibration due", required=False)
    certificate = forms.CharField(
        required=False, max_length=120, help_text="The certificate's number or file."
    )
    is_in_use = forms.BooleanField(label="In use", required=False, initial=True)

    def clean(self):
        data = super().clean()
        step, most = data.get("readability"), data.get("capacity")
        if step and most and most <= step:
            self.add_error("capacity", "The capacity is far above the last digit.")
        return data

    @property
    def record_facts(self):
        names = ("readability", "repeatability", "nonlinearity", "capacity")
        data = self.cleaned_data
        masses = {f"{name}_ug": data[name] for name in names}
        return {
            "name": data["name"],
            "is_in_use": data["is_in_use"],
            "drift_ppm": data["drift"],
            "due_on": data["due_on"],
            "certificate": data["certificate"],
            **masses,
        }


class LaboratoryForm(NamedForm):
    """The supplier block of every label."""

    model = Laboratory
    address = forms.CharField(max_length=200)
    phone = forms.CharField(label="Telephone", max_length=40)

    @property
    def record_facts(self):
        return self.facts


def email_field():
    return forms.EmailField(
        label="E-mail",
        required=False,
        help_text="Letters about their requests and bookings go there.",
    )


class PersonForm(fields.RecordForm):
    """A new account."""

    username = forms.CharField(
        label="Sign-in name",
        max_length=150,
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )
    role = forms.ChoiceField(choices=Role, initial=Role.READER)
    password = forms.CharField(
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
        validators=[validate_password],
        help_text="Ten characters or more would be good; they can change it later.",
    )
    email = email_field()


class PersonChangeForm(fields.RecordForm):
    """What an account may do."""

    role = forms.ChoiceField(choices=Role)
    is_active = forms.BooleanField(label="May sign in", required=False)
    email = email_field()
    password = forms.CharField(
        label="New password",
        required=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
        validators=[validate_password],
        help_text="Only if they lost theirs.",
    )


class PropertyForm(fields.RecordForm):
    """A value of the laboratory's own for a property."""

    value = forms.FloatField(required=False)
    uncertainty = forms.FloatField(
        label="Standard uncertainty", required=False, min_value=0
    )
    source = forms.CharField(
        max_length=300, required=False, help_text="Where the number is from."
    )
    restore = forms.BooleanField(label="Use the shipped value again", required=False)

    SIGNED = {"melting_point", "boiling_point"}

    def __init__(self, *args, prop, **kwargs):
        self.prop = prop
        super().__init__(*args, **kwargs)
        self.fields["value"].help_text = f"In {prop.unit}."

    def clean(self):
        data = super().clean()
        if data.get("restore"):
            data["value"] = data["uncertainty"] = None
            return data
        value = data.get("value")
        if value is None and "value" not in self.errors:
            self.add_error("value", "Give a number, or tick the box below.")
        elif value is not None and value <= 0 and self.prop.name not in self.SIGNED:
            self.add_error("value", "This has to be more than zero.")
        if value is not None and not data.get("source"):
            self.add_error("source", "Say where the number is from.")
        return data
