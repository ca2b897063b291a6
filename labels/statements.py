"""Which words a hazard or precautionary code stands for, ready to print.

`statements.csv` holds, for each code and language, the official text with its
gaps ("…"), choices ("/") and conditions ("[ ]"), and beside it the same text
completed for sealed reactive metals; `{name}` marks what the material or the place
must fill in. Where both agree the second is empty.

Column `weak` names languages whose text rests on a single secondary copy: check
them against the Official Journal before relying on them. Column `source`:
A  Regulation (EC) 1272/2008 Annex III or IV as published in 2008
B  UN GHS Rev. 10 code table, English only
C  the class tables in Annex I of the regulation, consolidated 2025-09-01
D  secondary copies of Annex IV after Regulation (EU) 2019/521
E  French wording from two public lists; the 2008 text is superseded
F  two or more public lists in German and in French, read in November 2026

The choices made: dust and fume are what a solid metal gives off (P260, P261); wet
bandages are for pyrophoric substances only (P334; from memory).
"""

import csv
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from string import Formatter

from .wording import (
    RAW_MARK,
    CannotPrint,
    LabelContent,
    Translation,
    UnfinishedStatement,
)

LANGUAGES = ("en", "de", "fr")

# What may be said without knowing the material. What to fill a vessel with and what
# to put a fire out with have no default: a wrong one can hurt.
DEFAULTS: dict[str, dict[str, str]] = {
    "en": {
        "washed": "hands and exposed skin",
        "airborne": "dust or fume",
        "organs": "organs",
        "disposal": "an approved waste disposal plant",
    },
    "de": {
        "washed": "Hände und ungeschützte Haut",
        "airborne": "Staub oder Rauch",
        "organs": "die Organe",
        "disposal": "einer zugelassenen Abfallentsorgungsanlage",
    },
    "fr": {
        "washed": "les mains et la peau exposée",
        "airborne": "les poussières ou fumées",
        "organs": "les organes",
        "disposal": "une installation d'élimination des déchets agréée",
    },
}

# Where the United States print another wording (29 CFR 1910.1200, Appendix C).
OSHA_ENGLISH = {"H261": "In contact with water releases flammable gas."}


@dataclass(frozen=True, slots=True)
class Weak:
    """A text on a label that rests on a single secondary copy."""

    code: str
    lang: str
    text: str


class UnknownStatement(CannotPrint):
    def __init__(self, code: str, lang: str) -> None:
        super().__init__(f"There is no statement {code} in language “{lang}”.")


class MissingFill(CannotPrint):
    """The statement has a gap that nothing was given for."""

    def __init__(self, code: str, name: str) -> None:
        self.code, self.name = code, name
        super().__init__(f"{code} needs its {name} filled in before it can be printed.")


@cache
def _table() -> dict[str, dict[str, str]]:
    path = Path(__file__).with_name("statements.csv")
    with path.open(encoding="utf-8", newline="") as rows:
        return {row["code"]: row for row in csv.DictReader(rows)}


def codes() -> tuple[str, ...]:
    """Every code we have words for, in the order of the table."""
    return tuple(_table())


def official(code: str, lang: str) -> str:
    """Return the text as published, gaps and choices included. Not for printing."""
    return _row(code, lang)[f"text_{lang}"]


def is_weak(code: str, lang: str) -> bool:
    """Whether this language's text still wants checking against its source."""
    return lang in _row(code, lang)["weak"].split()


def weak_texts(content: LabelContent) -> tuple[Weak, ...]:
    """Return the texts of a label that want checking against the Official Journal."""
    languages: tuple[LabelContent | Translation, ...] = (content, *content.more)
    return tuple(
        Weak(code, said.lang, printed)
        for said in languages
        for code, printed in zip(content.statement_codes, said.statements, strict=False)
        if is_weak(code, said.lang)
    )


def gaps(code: str, lang: str) -> tuple[str, ...]:
    """Return the names that `text` needs filled in, those with defaults included."""
    return tuple(name for _, name, _, _ in Formatter().parse(_form(code, lang)) if name)


def text(
    code: str, lang: str, fill: Mapping[str, str], *, us_wording: bool = False
) -> str:
    """Return the statement as it is printed, its gaps filled from `fill`.

    `fill` is in the same language; names it does not need are ignored. `us_wording`
    takes OSHA's English where it differs. Raises MissingFill, UnknownStatement, or
    UnfinishedStatement if a filling itself holds a gap, a choice or a bracket.
    """
    form = _form(code, lang)
    if us_wording and lang == "en":
        form = OSHA_ENGLISH.get(code, form)
    known = {**DEFAULTS[lang], **fill}
    for name in gaps(code, lang):
        if not known.get(name, "").strip():
            raise MissingFill(code, name)
    finished = form.format_map(known)
    if RAW_MARK.search(finished):
        raise UnfinishedStatement(finished)
    return finished


def _row(code: str, lang: str) -> dict[str, str]:
    row = _table().get(code)
    if row is None or lang not in LANGUAGES:
        raise UnknownStatement(code, lang)
    return row


def _form(code: str, lang: str) -> str:
    row = _row(code, lang)
    return row[f"print_{lang}"] or row[f"text_{lang}"]
