"""What a data sheet says of a lot's hazards, typed as it stands there."""

from django import forms

from inventory.calc import hazard_checks
from inventory.calc.hazard_classes import PICTOGRAMS
from inventory.calc.hazards import Profile, Transport, split_codes
from inventory.models import Attachment
from inventory.web import fields

PICTOGRAM_NAMES = {
    "GHS01": "exploding bomb",
    "GHS02": "flame",
    "GHS03": "flame over circle",
    "GHS04": "gas cylinder",
    "GHS05": "corrosion",
    "GHS06": "skull and crossbones",
    "GHS07": "exclamation mark",
    "GHS08": "health hazard",
    "GHS09": "environment",
}


class CodesField(forms.CharField):
    """Codes parted by semicolons or lines, as a tuple."""

    def __init__(self, *args, rows=2, **kwargs):
        widget = forms.Textarea(attrs={"rows": rows, "spellcheck": "false"})
        super().__init__(*args, widget=widget, **kwargs)

    def clean(self, value):
        return split_codes(super().clean(value))

    def prepare_value(self, value):
        return "; ".join(value) if isinstance(value, list | tuple) else value


class LotProfileForm(fields.RecordForm):
    """The classification of one lot. Contradictions are refused at their field."""

    document = forms.CharField(
        label="Data sheet",
        max_length=150,
        help_text="Title and version, as in “Potassium, in oil, version 6.1”.",
    )
    document_date = fields.DayField(label="Date of the data sheet")
    attachment = forms.ModelChoiceField(
        Attachment.objects.none(),
        label="File",
        required=False,
        empty_label="Not kept here",
        help_text="One of the files kept with this batch.",
    )
    hazard_classes = CodesField(
        required=False,
        max_length=300,
        help_text="Parted by semicolons, as in Water-react. 1; Skin Corr. 1B. "
        "Section 2.1 of the data sheet.",
    )
    signal_word = forms.ChoiceField(
        choices=[("", "None"), ("Danger", "Danger"), ("Warning", "Warning")],
        required=False,
    )
    pictograms = forms.MultipleChoiceField(
        choices=[(code, f"{code} {PICTOGRAM_NAMES[code]}") for code in PICTOGRAMS],
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )
    h = CodesField(
        label="Hazard statements",
        required=False,
        max_length=200,
        help_text="As in H260; H314.",
    )
    euh = CodesField(
        label="Supplemental statements",
        required=False,
        max_length=60,
        rows=1,
        help_text="As in EUH014.",
    )
    p = CodesField(
        label="Precautionary statements",
        required=False,
        max_length=400,
        help_text="As in P223; P231+P232. A label prints the six that matter most, and "
        "more only where a grave hazard would go without.",
    )
    un_number = forms.CharField(
        label="UN number",
        required=False,
        max_length=10,
        help_text="As in 2257. Section 14; empty keeps the catalogue's entry.",
    )
    proper_shipping_name = forms.CharField(required=False, max_length=120)
    transport_class = forms.CharField(
        required=False, max_length=20, help_text="As in 4.3, or 4.3 (4.2)."
    )
    packing_group = forms.ChoiceField(
        choices=[("", "None"), ("I", "I"), ("II", "II"), ("III", "III")],
        required=False,
    )

    def __init__(self, *args, batch, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["attachment"].queryset = batch.attachments.filter(
            withdraws=None, withdrawn_by=None
        )

    def clean(self):
        data = super().clean()
        if not self.errors:
            for problem in hazard_checks.problems(*self.classification()):
                self.add_error(problem.field, problem.sentence)
        return data

    def classification(self):
        """Return what was typed as a Profile and a Transport."""
        data = self.cleaned_data
        profile = Profile(
            classes=data["hazard_classes"],
            h=data["h"],
            euh=data["euh"],
            p=data["p"],
            pictograms=tuple(data["pictograms"]),
            signal_word=data["signal_word"],
        )
        transport = Transport(
            un_number=data["un_number"],
            name=data["proper_shipping_name"],
            hazard_class=data["transport_class"],
            packing_group=data["packing_group"],
        )
        return profile, transport

    def recorded(self):
        """Return arguments and keyword facts as the operation takes them."""
        names = ("document", "document_date", "attachment")
        return self.classification(), {n: self.cleaned_data[n] for n in names}
