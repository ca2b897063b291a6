"""The label's own few words, in each language it can speak."""

from dataclasses import dataclass
from datetime import date


@dataclass(frozen=True, slots=True)
class Words:
    """One language: what is said on a label and not taken from a regulation."""

    batch: str
    net: str
    see_record: str
    part: str  # "{part} of {parts}"
    continues: str
    draft: str
    opened: str  # "Opened {day}"
    vessel: str  # "{volume} vessel"
    transport: str  # "Transport, adviser to confirm: {entry}"
    danger: str  # the two signal words (CLP Art. 20, Annex I tables)
    warning: str
    months: tuple[str, ...]
    whole_day: str  # "{day} {month} {year}"
    first: str  # what the first day of a month is called
    decimal: str

    def day(self, day: date) -> str:
        """Return the day with its month in words: no order of figures to mistake."""
        number = self.first if day.day == 1 else str(day.day)
        month = self.months[day.month - 1]
        return self.whole_day.format(day=number, month=month, year=day.year)

    def number(self, text: str) -> str:
        """Return an English number with its unit as this language writes it."""
        return text.replace(".", self.decimal)

    def signal(self, word: str) -> str:
        """Return the signal word that is "Danger" or "Warning" in English."""
        return {"Danger": self.danger, "Warning": self.warning}.get(word, "")


WORDS = {
    "en": Words(
        batch="Batch",
        net="Net",
        see_record="see batch record",
        part="label {part} of {parts}",
        continues="continues on label {part} of {parts}",
        draft="DRAFT",
        opened="Opened {day}",
        vessel="{volume} vessel",
        transport="Transport, adviser to confirm: {entry}",
        danger="Danger",
        warning="Warning",
        months=(
            *("Jan", "Feb", "Mar", "Apr", "May", "Jun"),
            *("Jul", "Aug", "Sep", "Oct", "Nov", "Dec"),
        ),
        whole_day="{day} {month} {year}",
        first="1",
        decimal=".",
    ),
    "de": Words(
        batch="Charge",
        net="Netto",
        see_record="siehe Chargenblatt",
        part="Etikett {part} von {parts}",
        continues="weiter auf Etikett {part} von {parts}",
        draft="ENTWURF",
        opened="Geöffnet am {day}",
        vessel="Gefäß {volume}",
        transport="Beförderung, vom Gefahrgutbeauftragten zu bestätigen: {entry}",
        danger="Gefahr",
        warning="Achtung",
        months=(
            *("Jan.", "Feb.", "März", "Apr.", "Mai", "Juni"),
            *("Juli", "Aug.", "Sept.", "Okt.", "Nov.", "Dez."),
        ),
        whole_day="{day}. {month} {year}",
        first="1",
        decimal=",",
    ),
    "fr": Words(
        batch="Lot",
        net="Net",
        see_record="voir fiche du lot",
        part="étiquette {part} sur {parts}",
        continues="suite sur l’étiquette {part} sur {parts}",
        draft="ÉBAUCHE",
        opened="Ouvert le {day}",
        vessel="récipient de {volume}",
        transport="Transport, à confirmer par le conseiller à la sécurité : {entry}",
        danger="Danger",
        warning="Attention",
        months=(
            *("janv.", "févr.", "mars", "avr.", "mai", "juin"),
            *("juill.", "août", "sept.", "oct.", "nov.", "déc."),
        ),
        whole_day="{day} {month} {year}",
        first="1er",
        decimal=",",
    ),
}
