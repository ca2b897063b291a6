"""What metals, their forms and media are called in each language (names.csv).

The English names are those of the catalogue. `under_de` is the German dative, as it
stands after “unter”. From memory; the names of the metals are those of Annex VI.
"""

import csv
from functools import cache
from pathlib import Path
from typing import Literal

from .wording import CannotPrint

Kind = Literal["material", "form", "medium"]


class NoName(CannotPrint):
    def __init__(self, key: str) -> None:
        super().__init__(f"There is no name for “{key}” in the languages of a label.")


@cache
def _table() -> dict[tuple[str, str], dict[str, str]]:
    path = Path(__file__).with_name("names.csv")
    with path.open(encoding="utf-8", newline="") as rows:
        return {(row["kind"], row["key"]): row for row in csv.DictReader(rows)}


def name(kind: Kind, key: str, lang: str) -> str:
    """Return a name as it stands in a list. Raises NoName."""
    row = _table().get((kind, key))
    if row is None:
        raise NoName(key)
    return row[lang]


def under(medium: str, lang: str) -> str:
    """Return a medium's name as it stands after “under”, “unter” or “sous”."""
    if lang == "de" and ("medium", medium) in _table():
        return _table()["medium", medium]["under_de"]
    return name("medium", medium, lang)


def product(symbol: str, form: str, lang: str) -> str:
    """Return the product name: the metal, and its form where that is classified."""
    metal = name("material", symbol, lang)
    said = metal[:1].upper() + metal[1:]
    if ("form", form) in _table():
        said += f", {name('form', form, lang)}"
    return said
