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

The choices made: dust and fume are what a metal gives off (P260, P261); wet bandages
are for pyrophoric substances only (P334; from memory).
"""

import csv
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from string import Formatter

from .wording import RAW_MARK, CannotPrint, UnfinishedStatement

LANGUAGES = ("en", "de", "fr")

# What may be said without knowing the material. What to fill a vessel with and what
# to put a fire out with have no default: a wrong one can hurt.
DEFAULTS: dict[str, dict[str, str]] = {
    "en": {
        "washed": "hands and exposed skin",
        "disposal": "an approved waste disposal plant",
    },
    "de": {
        "washed": "Hände und ungeschützte Haut",
        "disposal": "einer zugelassenen Abfallentsorgungsanlage",
    },
    "fr": {
        "washed": "les mains et la peau exposée",
        "disposal": "une installation d'élimination des déchets agréée",
    },
}


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


def gaps(code: str, lang: str) -> tuple[str, ...]:
    """Return the names that `text` needs filled in, those with defaults included."""
    return tuple(name for _, name, _, _ in Formatter().parse(_form(code, lang)) if name)


def text(code: str, lang: str, fill: Mapping[str, str]) -> str:
    """Return the statement as it is printed, its gaps filled from `fill`.

    `fill` is in the same language; names it does not need are ignored. Raises
    MissingFill, UnknownStatement, or UnfinishedStatement if a filling itself holds
    a gap, a choice or a bracket.
    """
    form = _form(code, lang)
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
