"""What stands in a logger's or a person's file: text, taken apart into cells.

How the columns are parted, where the heading is and how decimals are written is
guessed from the file; whoever imports it sees the guess and can change it.
"""

import csv
import re
from collections import Counter
from dataclasses import dataclass
from io import StringIO

from inventory.operations.runs import IMPORT_MAX

BYTES_MAX = 1_000_000
COLUMNS_MAX = 30
LOOKED_AT = 40  # lines that a guess is made from
PARTED_BY = {"\t": "a tab", ";": "a semicolon", "|": "a bar", ",": "a comma"}
NUMBER = re.compile(r"[+\-−]?\d+(?:[.,]\d+)?(?:[eE][+\-]?\d+)?")


class Unreadable(ValueError):
    """No table that can be read; the message is fit to show."""


@dataclass(frozen=True, slots=True)
class Sheet:
    """The cells of a file: its heading, and each row with its line in the file."""

    heading: list[str]
    rows: list[tuple[int, list[str]]]

    def column(self, n):
        """Return the cells of a column, without the empty ones."""
        return [
            row[n].strip() for _, row in self.rows if n < len(row) and row[n].strip()
        ]


def decoded(raw):
    """Return a file's text. Loggers write UTF-8, UTF-16 with a mark, or cp1252."""
    if len(raw) > BYTES_MAX:
        raise Unreadable("This file is larger than 1 MB: thin it out, or split it.")
    marked = raw[:2] in (b"\xff\xfe", b"\xfe\xff")
    for page in ("utf-16",) if marked else ("utf-8-sig", "cp1252"):
        try:
            text = raw.decode(page)
        except UnicodeDecodeError:
            continue
        if "\0" not in text:
            return text
    raise Unreadable("This is not a text file. Save the table as CSV and choose that.")


def guessed_delimiter(text):
    """Return what parts the columns: what splits most lines alike.

    The comma comes last, because it may stand for decimals.
    """
    for delimiter in PARTED_BY:
        widths = Counter(len(row) for _, row in cells(text, delimiter, LOOKED_AT))
        if not widths:
            break
        width, times = widths.most_common(1)[0]
        if width > 1 and times >= 0.6 * widths.total():
            return delimiter
    return ","


def cells(text, delimiter, most=None):
    """Return [(line, cells)] of the rows that are not empty."""
    reader = csv.reader(StringIO(text, newline=""), delimiter=delimiter)
    found = []
    try:
        for row in reader:
            if any(cell.strip() for cell in row):
                found.append((reader.line_num, row))
            if most and len(found) == most:
                break
    except csv.Error as error:
        raise Unreadable(
            f"Line {reader.line_num} cannot be read: a quotation mark may be open."
        ) from error
    return found


def guessed_heading(text, delimiter):
    """Return the line of the heading: the first that is as wide as most, with no number.

    0 when the first line of that width holds numbers already.
    """
    rows = cells(text, delimiter, LOOKED_AT)
    widths = Counter(len(row) for _, row in rows)
    width = widths.most_common(1)[0][0] if widths else 0
    wide = [(line, row) for line, row in rows if len(row) == width]
    line, row = next(iter(wide), (0, []))
    return 0 if has_number(row) else line


def has_number(row):
    return any(NUMBER.fullmatch(cell.strip()) for cell in row)


def sheet(text, delimiter, heading_line):
    """Return the Sheet of a text; lines above the heading are left out."""
    rows = cells(text, delimiter)
    heading = next((row for line, row in rows if line == heading_line), [])
    rows = [(line, row) for line, row in rows if line > heading_line]
    if not rows:
        raise Unreadable("There is no row of readings below the heading.")
    if len(rows) > IMPORT_MAX:
        raise Unreadable(
            f"There are {len(rows)} rows; at most {IMPORT_MAX} are read in one go. "
            "Thin them out, or split the file."
        )
    width = max(len(row) for _, row in rows)
    if max(width, len(heading)) > COLUMNS_MAX:
        raise Unreadable(f"There are more than {COLUMNS_MAX} columns; leave some out.")
    heading = heading + [""] * (width - len(heading))
    names = [name.strip() or f"column {n}" for n, name in enumerate(heading, 1)]
    return Sheet(names, rows)


def guessed_decimals(sheet):
    """Return "," if numbers are written with commas and none with a point."""
    texts = [cell.strip() for _, row in sheet.rows[:LOOKED_AT] for cell in row]
    numbers = [text for text in texts if NUMBER.fullmatch(text)]
    with_comma = any("," in number for number in numbers)
    return "," if with_comma and not any("." in number for number in numbers) else "."
