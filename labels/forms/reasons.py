"""Why a label is printed again, and the id that makes a job count once."""

import uuid
from typing import Any

from django import forms

from inventory.operations import log

REASONS = (
    ("", "Say why"),
    ("changed", "Its contents changed"),
    ("smudged", "Smudged or faded"),
    ("lost", "Lost or fallen off"),
    ("second", "A second one, for a tag or a box"),
    ("misprint", "Misprinted or jammed"),
    ("other", "Another reason"),
)


class ReasonForm(forms.Form):
    """The part of a print job that is sent with it. `again`: some had a label."""

    request_id = forms.UUIDField(widget=forms.HiddenInput, initial=uuid.uuid4)
    reason = forms.ChoiceField(label="Why again", choices=REASONS, required=False)
    other = forms.CharField(label="In your words", required=False, max_length=150)

    def __init__(self, *args: Any, again: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.again = again and self.earlier is None
        # Needed here, so that the page does not call it optional.
        asked: Any = self.fields["reason"]
        asked.conditional = again

    @property
    def earlier(self) -> Any:
        """Return the log entry that an earlier submit of this job wrote, or None."""
        try:
            return log.repeated(uuid.UUID(self.data.get("request_id", "")))
        except ValueError:
            return None

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        if self.again and "reason" in data:
            if not data["reason"]:
                self.add_error(
                    "reason", "Some of these had a label before: say why again."
                )
            elif data["reason"] == "other" and not data.get("other"):
                self.add_error("other", "Say in a few words why.")
        return data

    @property
    def words(self) -> str:
        """Return the reason as the log keeps it."""
        if not self.again:
            return ""
        chosen = self.cleaned_data["reason"]
        if chosen == "other":
            return str(self.cleaned_data["other"])
        return dict(REASONS)[chosen]
