"""What the printed codes mean: RB26A is a batch, RB26A-07-W its seventh vessel."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Container
from dataclasses import dataclass

from stdnum.iso7064 import mod_37_36

TEXT_MAX = 200
NUMBER_MAX = 9999
_DASHES = re.compile(r"[\u2010-\u2015\u2212]")
_URL_PATH = re.compile(r"(?:^|.*/)B/([A-Z0-9]+)(?:/([0-9]+))?/?")
_AUTHORITY = re.compile(r"(?:[A-Z][A-Z0-9+.-]*:)?//([^/?#\\]*)")
_BATCH = re.compile(r"([A-Z]{1,3})[ -]*([0-9]{2})[ -]*([A-Z]{1,3})")
_TYPED = re.compile(
    _BATCH.pattern + r"(?:([ -]*)([0-9]+)(?:[ -]*([A-Z])|[ -]+([0-9]))?)?"
)


class CodeError(ValueError):
    """What was typed or scanned is no code; the message is fit to show."""


@dataclass(frozen=True, slots=True)
class ParsedCode:
    """A batch code, and the number of a vessel in it unless the batch is meant."""

    batch: str
    number: int | None


def batch_code(symbol: str, year: int, run: int) -> str:
    """Return the code of the material's batch number `run` (from 0) of a year."""
    assert run >= 0, run
    letters = ""
    left = run + 1
    while left:
        left, place = divmod(left - 1, 26)
        letters = chr(ord("A") + place) + letters
    return f"{symbol.upper()}{year % 100:02d}{letters}"


def vessel_code(batch: str, number: int) -> str:
    """Return the code of a vessel, its number counted from 1 in its batch."""
    assert 1 <= number <= NUMBER_MAX, number
    return f"{batch}-{number:02d}"


def check_character(code: str) -> str:
    """Return the ISO 7064 MOD 37,36 character that guards `code` without hyphens."""
    return str(mod_37_36.calc_check_digit(code.replace("-", "")))


def full_code(batch: str, number: int) -> str:
    """Return the vessel's code with its check character, for typing by hand."""
    code = vessel_code(batch, number)
    return f"{code}-{check_character(code)}"


def qr_path(batch: str, number: int | None = None) -> str:
    """Return the path a printed QR code leads to, in QR alphanumeric characters.

    It is a vessel's in its batch, or without a `number` the batch's own.
    """
    return f"/B/{batch}" if number is None else f"/B/{batch}/{number:02d}"


def link_host(link: str) -> str:
    """Return the host that a link names, with its port unless that is usual, or "".

    Cameras and scanners may leave "https://" out: "metals.example.org/B/RB26A/07".
    """
    folded = _fold(link)
    if whole := _AUTHORITY.match(folded):
        return folded_host(whole[1].rpartition("@")[2])
    first, slash, _ = folded.partition("/")
    return folded_host(first) if slash and first != "B" else ""


def folded_host(host: str) -> str:
    """Return a host as it is compared: small letters, without a usual port."""
    return re.sub(r":(80|443)?$", "", host.lower())


def parse_code(text: str, hosts: Container[str] | None = None) -> ParsedCode:
    """Return what a typed or scanned code names.

    Lower case, spaces, a missing check character, a batch alone and the whole
    link of a scanned label are all read. Where `hosts` are given, a link to any
    other is refused: the same code of another laboratory is another vessel.
    """
    if len(text) > TEXT_MAX:
        raise CodeError("This is too long to be a code.")
    folded = _fold(text)
    if not folded:
        raise CodeError("Type a code, as in RB26A-07.")
    if "/" in folded:
        found = _from_link(folded)
        host = link_host(folded)
        if hosts is not None and host and host not in hosts:
            raise CodeError("This code is of another laboratory.")
        return found
    typed = _TYPED.fullmatch(folded)
    if typed is None:
        raise CodeError(
            f"“{text.strip()[:40]}” is not a code; one looks like RB26A-07."
        )
    symbol, year, run, hyphen, digits, letter, figure = typed.groups()
    batch = f"{symbol}{year}{run}"
    if digits is None:
        return ParsedCode(batch, None)
    if not letter and not figure and len(digits) > 2:
        return _run_together(batch, digits, apart=bool(hyphen))
    return _vessel(batch, _number(digits), letter or figure)


def _fold(text: str) -> str:
    return _DASHES.sub("-", unicodedata.normalize("NFKC", text)).strip().upper()


def _from_link(link: str) -> ParsedCode:
    """Return what the link on a label names; it carries no check character."""
    path = _URL_PATH.fullmatch(re.split(r"[?#]", link)[0])
    if path is None or not _BATCH.fullmatch(path.group(1)):
        raise CodeError("This link does not lead to a batch here.")
    batch, digits = path.groups()
    return ParsedCode(batch, _number(digits) if digits else None)


def _number(digits: str) -> int:
    """Return a vessel's number within the range that codes can hold."""
    if len(digits) > 6 or not 1 <= int(digits) <= NUMBER_MAX:
        raise CodeError(f"Vessel numbers run from 1 to {NUMBER_MAX}.")
    return int(digits)


def _run_together(batch: str, digits: str, *, apart: bool) -> ParsedCode:
    """Return the vessel of three digits or more, the last perhaps the check.

    071 can only be 07 with the check 1, since 71 is written without the nought.
    123 is 123, but in RB26A123, typed without any hyphen, it may be 12 with 3.
    """
    shorter, last = digits[:-1], digits[-1]
    if digits.startswith("0"):
        return _vessel(batch, _number(shorter), last)
    number = _number(digits)
    guarded = check_character(vessel_code(batch, _number(shorter))) == last
    if guarded and not apart:
        raise CodeError(
            f"Type the hyphens too: {batch}-{digits} or {batch}-{shorter}-{last}."
        )
    return ParsedCode(batch, number)


def _vessel(batch: str, number: int, check: str | None) -> ParsedCode:
    """Return the vessel, if the check character given is the right one."""
    code = vessel_code(batch, number)
    if check is not None and check != check_character(code):
        raise CodeError(
            f"The last character of {code}-{check} does not fit; type it again."
        )
    return ParsedCode(batch, number)
