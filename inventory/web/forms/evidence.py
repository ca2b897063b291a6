"""Purity and files: what was measured, and what is kept with a batch."""

from django import forms
from django.conf import settings
from django.forms import formset_factory

from inventory.calc import purity
from inventory.models import Attachment, AttachmentKind
from inventory.operations import uploads
from inventory.operations.errors import OperationError
from inventory.operations.evidence import Found
from inventory.web import fields


class ContentField(fields.UnitField):
    """How much of an impurity there is, or a limit: a Content of calc.purity."""

    parse = staticmethod(purity.parse_content)


class AssayForm(fields.RecordForm):
    """What an analysis, or a supplier's certificate, says about a batch."""

    purity = fields.PurityField(
        conditional=True,
        help_text="By mass, as in 99.95 %. Empty if only impurities were measured.",
    )
    grade = forms.CharField(
        label="Grade in words",
        required=False,
        max_length=80,
        help_text="As the paper calls it. Empty counts the nines.",
    )
    method = forms.CharField(
        max_length=200,
        help_text="As in ICP-MS after dissolution in water, or supplier's certificate. "
        "Say so if the purity counts metals only (metals basis).",
    )
    measured_on = fields.DayField(label="Measured on")
    measured_by = forms.CharField(
        label="Measured by",
        required=False,
        max_length=150,
        help_text="The laboratory or the role, not a name.",
    )
    certificate = forms.ModelChoiceField(
        Attachment.objects.none(),
        required=False,
        empty_label="None",
        help_text="One of the files kept with the batch. Put it there first.",
    )
    note = forms.CharField(required=False, max_length=300)

    def __init__(self, *args, batch, **kwargs):
        super().__init__(*args, **kwargs)
        kept = Attachment.objects.standing().filter(batch=batch)
        self.fields["certificate"].queryset = kept


class ImpurityForm(forms.Form):
    """One impurity. A row with nothing in it is left out."""

    species = forms.CharField(label="Impurity", max_length=40, required=False)
    content = ContentField(conditional=True)

    def __init__(self, *args, symbol="", **kwargs):
        self.symbol = symbol
        super().__init__(*args, **kwargs)
        self.fields["species"].conditional = True  # needed beside a content
        self.fields["species"].widget.attrs |= {"autocapitalize": "off"}

    def clean_species(self):
        typed = self.cleaned_data["species"]
        try:
            return typed and purity.parse_species(typed, self.symbol)
        except purity.PurityError as error:
            raise forms.ValidationError(str(error)) from error

    def clean(self):
        data = super().clean()
        if self.errors:
            return data
        if data["species"] and not data["content"]:
            self.add_error("content", "Say how much, as in 12 mg/kg or < 5 mg/kg.")
        elif data["content"] and not data["species"]:
            self.add_error("species", "Say of what, as in Fe.")
        return data


ImpurityRows = formset_factory(ImpurityForm, extra=6, max_num=90, absolute_max=90)


def found(rows):
    """Return the Found of the rows that are filled in."""
    return [
        Found(row.cleaned_data["species"], row.cleaned_data["content"], row.prefix)
        for row in rows
        if row.cleaned_data.get("species")
    ]


class AttachmentForm(fields.RecordForm):
    """A photo or a paper to be kept with a batch."""

    file = forms.FileField(
        label="Photo or PDF",
        widget=forms.FileInput(
            # Spelled out, so that phones hand over a JPEG and no format of their own.
            attrs={"accept": "image/jpeg,image/png,image/webp,application/pdf"}
        ),
        help_text="JPEG, PNG, WebP or PDF, at most "
        f"{settings.FILE_BYTES_MAX // 1_000_000} MB. If this form comes back, choose "
        "the file again: a browser does not keep it.",
        error_messages={
            "required": "Choose a file.",
            "empty": "This file is empty.",
            "invalid": "Choose a file.",
        },
    )
    kind = forms.ChoiceField(label="What it is", choices=AttachmentKind)
    name = forms.CharField(
        required=False,
        max_length=150,
        help_text="What the page calls it. Empty takes the file's own name.",
    )
    for_partners = forms.BooleanField(
        label="Partners who were offered metal of this batch may open it",
        required=False,
    )

    def clean_file(self):
        """Return the Sound: what the file is, as it will be kept."""
        try:
            return uploads.examine(self.cleaned_data["file"])
        except OperationError as error:
            raise forms.ValidationError(str(error)) from error

    def clean(self):
        data = super().clean()
        if self.errors and data.get("file"):
            self.add_error(
                "file", "Choose the file again: the browser did not keep it."
            )
        return data

    def attachment(self):
        """Return the facts as the operation takes them."""
        facts = self.facts
        return {"sound": facts.pop("file"), **facts}
