"""Record keys in the query of an address, which anybody can write by hand."""

from collections.abc import Iterable

# SQLite's and PostgreSQL's whole numbers hold eighteen digits with room to spare.
DIGITS_MAX = 18


def keys(texts: Iterable[str]) -> list[int]:
    """Return the keys that stand in `texts`; what cannot be a key is left out."""
    return [
        int(text)
        for text in texts
        if text.isascii() and text.isdigit() and len(text) <= DIGITS_MAX
    ]
