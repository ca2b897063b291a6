"""Importing a run's readings: the file, and what its columns are."""

import uuid

from django import forms

from inventory.web import fields, log_columns, log_rows, logfile

DELIMITERS = {"tab": "\t", "semicolon": ";", "bar": "|", "comma": ","}
NAME_OF = {delimiter: name for name, delimiter in DELIMITERS.items()}


class UploadForm(forms.Form):
    """A file or pasted text; its text is `text` once it is valid."""

    file = forms.FileField(
        label="File",
        required=False,
        help_text="CSV or tab-separated text, at most 1 MB and 5000 rows.",
    )
    pasted = forms.CharField(
        label="Or paste the rows here",
        required=False,
        strip=False,
        max_length=logfile.BYTES_MAX,
        widget=forms.Textarea(attrs={"rows": 6, "spellcheck": "false"}),
        help_text="With their heading, as copied out of a spreadsheet.",
    )

    def clean_file(self):
        if file := self.cleaned_data["file"]:
            try:
                return logfile.decoded(file.read(logfile.BYTES_MAX + 1))
            except logfile.Unreadable as error:
                raise forms.ValidationError(str(error)) from error
        return ""

    def clean(self):
        data = super().clean()
        given = [text for text in (data.get("file"), data.get("pasted")) if text]
        if not self.errors and len(given) != 1:
            self.add_error("file", "Choose a file, or paste its rows: one of them.")
        elif given:
            self.text = given[0]
        return data


class PreviewForm(fields.RecordForm):
    """How a file is read: what parts it, how numbers and dates are written.

    It is always bound: to what was guessed at first, then to what was chosen.
    """

    text = forms.CharField(
        widget=forms.HiddenInput, strip=False, max_length=logfile.BYTES_MAX
    )
    # The parting and the heading that the columns were chosen for.
    shape = forms.CharField(widget=forms.HiddenInput, required=False)
    delimiter = forms.ChoiceField(
        label="Columns are parted by",
        choices=[(NAME_OF[key], name) for key, name in logfile.PARTED_BY.items()],
    )
    heading = forms.IntegerField(
        label="The heading is in line",
        min_value=0,
        max_value=1000,
        widget=forms.NumberInput(attrs={"inputmode": "numeric"}),
        help_text="0 if there is none.",
    )
    decimal = forms.ChoiceField(
        label="Decimals are written with",
        choices=[(".", "a point"), (",", "a comma")],
    )
    order = forms.ChoiceField(
        label="Dates are written",
        required=False,
        choices=[("", "choose"), *log_rows.ORDERS.items()],
    )
    skip = forms.BooleanField(
        label="Leave out the rows that cannot be read", required=False
    )

    def __init__(self, data, *, sheet):
        super().__init__(data)
        self.sheet = sheet
        for n, name in enumerate(sheet.heading):
            self.fields[f"column-{n}"] = forms.ChoiceField(
                label=name[:60], required=False, choices=log_columns.CHOICES
            )

    def columns(self):
        """Yield (the column's control, a few of its cells)."""
        for n in range(len(self.sheet.heading)):
            yield self[f"column-{n}"], [c[:30] for c in self.sheet.column(n)[:3]]

    def settings(self):
        return [self[name] for name in ("delimiter", "heading", "decimal", "order")]

    def clean(self):
        data = super().clean()
        if not self.errors:
            choices = self.choices()
            if sentence := log_rows.refuse(choices):
                self.add_error(None, sentence)
            elif not choices.order and log_rows.dates_in(self.sheet, choices.columns):
                self.add_error(
                    "order",
                    "These dates can be read in two ways: say how they are written.",
                )
        return data

    def choices(self):
        data = self.cleaned_data
        columns = [data[f"column-{n}"] for n in range(len(self.sheet.heading))]
        return log_rows.Choices(columns, data["decimal"], data["order"])


def preview(text, posted=None):
    """Return the PreviewForm of a text, as posted or as guessed.

    Columns are guessed anew when the text is parted otherwise than they were chosen
    for. Raises logfile.Unreadable.
    """
    posted = posted or {}
    delimiter = DELIMITERS.get(posted.get("delimiter"))
    delimiter = delimiter or logfile.guessed_delimiter(text)
    heading = str(posted.get("heading", ""))
    if not heading.isdecimal() or len(heading) > 4:
        heading = logfile.guessed_heading(text, delimiter)
    sheet = logfile.sheet(text, delimiter, int(heading))
    shape = f"{NAME_OF[delimiter]} {heading}"
    if posted.get("shape") == shape:
        return PreviewForm(posted, sheet=sheet)
    columns = log_columns.guessed(sheet.heading)
    guessed = {
        "request_id": posted.get("request_id") or uuid.uuid4(),
        "text": text,
        "shape": shape,
        "delimiter": NAME_OF[delimiter],
        "heading": heading,
        "decimal": logfile.guessed_decimals(sheet),
        "order": log_rows.guessed_order(sheet, columns),
    }
    guessed |= {f"column-{n}": choice for n, choice in enumerate(columns)}
    return PreviewForm(guessed, sheet=sheet)
