"""What a print job is asked for: which vessels, how they are set, on what."""

from collections.abc import Collection
from typing import Any

from django import forms

from inventory.calc.keys import keys
from inventory.models import Batch, Mode, Place, Vessel
from labels.choosing import MOST_LABELS, NOTHING_INSIDE, Choice, WrongCodes, by_codes
from labels.formats import FORMATS, Format
from labels.geometry import Sheet
from labels.jobs import Job
from labels.own import every_sheet, fitting, usual
from labels.shelf import Wish
from labels.wording import CannotPrint

LANGUAGES = (("en", "English"), ("de", "German"), ("fr", "French"))
USUAL = ("", "The usual one for the format")
DEFAULTS = {"format": "full", "mode": "eu", "first": "en"}
# What is remembered from one job to the next.
KEPT = ("format", "sheet", "mode", "first", "second", "third", "transport", "outlines")


class KeysField(forms.Field):
    """Several whole numbers, as ticked boxes send them."""

    widget = forms.MultipleHiddenInput

    def clean(self, value: Any) -> tuple[int, ...]:
        texts = [str(text) for text in value or ()]
        found = keys(texts)
        if len(found) < len(texts):
            raise forms.ValidationError("This is no key of a record.")
        return tuple(dict.fromkeys(found))


class SheetSelect(forms.Select):
    """The sheets, each naming the formats that fit it, for the page's script."""

    sheets: dict[str, Sheet]

    def create_option(self, *args: Any, **kwargs: Any) -> dict[str, Any]:
        option = super().create_option(*args, **kwargs)
        sheet = self.sheets.get(str(option["value"]))
        if sheet:
            fits = [key for key, one in FORMATS.items() if one.fits(sheet.piece_mm)]
            option["attrs"]["data-formats"] = " ".join(fits)
        return option


class JobForm(forms.Form):
    """A print job as the page's address says it. `job` is it, once it is valid."""

    vessel = KeysField(required=False)
    codes = forms.CharField(
        label="Codes, typed or scanned",
        required=False,
        max_length=10_000,
        widget=forms.Textarea(
            attrs={"rows": 3, "spellcheck": "false", "autocapitalize": "characters"}
        ),
        help_text="One a line, as RB26A-07-K, or the links a scanner reads. The last "
        "character guards against a slip.",
    )
    batch = forms.CharField(
        required=False, max_length=20, help_text="All of it that hold metal, as RB26A."
    )
    place = forms.ModelChoiceField(
        Place.objects.all(), required=False, empty_label="No place as a whole"
    )
    format = forms.ChoiceField(choices=[(f.key, f.name) for f in FORMATS.values()])
    sheet = forms.ChoiceField(required=False, widget=SheetSelect)
    mode = forms.ChoiceField(label="By the rules of", choices=Mode.choices)
    first = forms.ChoiceField(label="Language", choices=LANGUAGES)
    second = forms.ChoiceField(
        label="Second language", choices=(("", "None"), *LANGUAGES), required=False
    )
    third = forms.ChoiceField(
        label="Third language", choices=(("", "None"), *LANGUAGES), required=False
    )
    stem = forms.FloatField(
        label="Stem of the ampoules, in mm",
        required=False,
        min_value=1,
        max_value=100,
        help_text="For flags: how thick it is where the tail goes round.",
    )
    glass = forms.FloatField(
        label="Glass, outer diameter in mm",
        required=False,
        min_value=1,
        max_value=1000,
        help_text="If you measured it; else it follows from kind and volume.",
    )
    transport = forms.BooleanField(
        label="Transport line",
        required=False,
        help_text="UN number, name, class and packing group, for a dangerous-goods "
        "adviser to confirm. It is no transport marking.",
    )
    outlines = forms.BooleanField(
        label="Cutting lines",
        required=False,
        help_text="For plain paper that is cut by hand.",
    )
    research = forms.BooleanField(
        label="Supplied for research or analysis", required=False
    )
    outer_full = forms.BooleanField(
        label="Stands in a package with the full label", required=False
    )
    used = KeysField(required=False)

    job: Job
    choice: Choice
    count = 0

    def __init__(self, *args: Any, hosts: Collection[str], **kwargs: Any) -> None:
        """`hosts` are those that our own labels lead to."""
        super().__init__(*args, **kwargs)
        self.hosts = hosts
        self.sheets = every_sheet()
        select: Any = self.fields["sheet"]
        select.choices = [
            USUAL,
            *((key, sheet.name) for key, sheet in self.sheets.items()),
        ]
        select.widget.sheets = self.sheets

    def clean_codes(self) -> tuple[int, ...]:
        try:
            return by_codes(self.cleaned_data["codes"], self.hosts)
        except WrongCodes as error:
            raise forms.ValidationError(error.sentences) from error

    def clean_batch(self) -> Any:
        code = self.cleaned_data["batch"].strip().upper()
        found = Batch.objects.filter(code=code).first() if code else None
        if code and found is None:
            raise forms.ValidationError(f"There is no batch {code} here.")
        return found

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        self.choice = Choice(
            data.get("vessel") or (),
            data.get("codes") or (),
            data.get("batch"),
            data.get("place"),
        )
        self._refuse_empty()
        if not self.errors:
            format = FORMATS[data["format"]]
            sheet = self._sheet(format, data["sheet"])
            if sheet:
                self._use(data, format, sheet)
        return data

    def _refuse_empty(self) -> None:
        """Refuse ticked vessels that hold nothing; the other ways leave them out."""
        inside = set(self.choice.vessels().values_list("pk", flat=True))
        if len(inside) > MOST_LABELS:
            self.add_error(None, f"At most {MOST_LABELS} labels are printed at a time.")
        self.count = len(inside)
        missing = [key for key in self.choice.ticked if key not in inside]
        if missing:
            self.add_error("vessel", self._nothing_in(missing[0]))

    def _nothing_in(self, key: int) -> str:
        vessel = Vessel.objects.filter(pk=key).first()
        return NOTHING_INSIDE.format(vessel or key)

    def _sheet(self, format: Format, key: str) -> Sheet | None:
        """Return the sheet, or refuse one whose places cannot carry the format."""
        if not key:
            return usual(format, self.sheets)
        sheet = self.sheets[key]
        if format.fits(sheet.piece_mm):
            return sheet
        width, height = sheet.piece_mm
        names = "; ".join(one.name for one in fitting(format, self.sheets)[:4])
        self.add_error(
            "sheet",
            f"The format “{format.name}” does not fit labels of {width:g} × "
            f"{height:g} mm. It fits: {names}.",
        )
        return None

    def _use(self, data: dict[str, Any], format: Format, sheet: Sheet) -> None:
        """Make the job, or refuse languages or places that cannot be."""
        used = frozenset(data["used"])
        if used - set(range(sheet.count)):
            self.add_error("used", f"This sheet has {sheet.count} places.")
            return
        if len(used) == sheet.count:
            self.add_error("used", "Leave one place at least to print on.")
            return
        spoken = (data["first"], data["second"], data["third"])
        try:
            wish = Wish(
                tuple(lang for lang in spoken if lang),
                data["mode"],
                data["transport"],
                data["research"],
                data["outer_full"],
            )
        except CannotPrint as error:
            self.add_error("first", str(error))
            return
        self.job = Job(
            vessels=self.choice.vessels(),
            format=format,
            sheet=sheet,
            wish=wish,
            used=used,
            outlines=data["outlines"],
            glass_mm=data["glass"],
            stem_mm=data["stem"],
        )
