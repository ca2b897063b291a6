"""Which vessels labels are wanted for: ticked, typed, or all of a batch or a place."""

import re
from collections.abc import Collection, Iterable
from dataclasses import dataclass
from typing import Any

from django.db.models import Q

from inventory.calc import codes
from inventory.models import Batch, Place, Vessel

from .content import printable

MOST_CODES = 200
MOST_LABELS = 2000
NOTHING_INSIDE = "Vessel {} holds no metal: there is nothing to label."


class WrongCodes(Exception):
    """Some of the codes name no vessel to label; one sentence for each."""

    def __init__(self, sentences: list[str]) -> None:
        super().__init__(" ".join(sentences))
        self.sentences = sentences


@dataclass(frozen=True, slots=True)
class Choice:
    """What was asked for; a vessel named in two ways gets one label."""

    ticked: tuple[int, ...] = ()
    named: tuple[int, ...] = ()  # by their codes
    batch: Batch | None = None
    place: Place | None = None

    def vessels(self) -> Any:
        """Return those that hold metal, in the order of the lists."""
        wanted = Q(pk__in=(*self.ticked, *self.named))
        if self.batch:
            wanted |= Q(batch=self.batch)
        if self.place:
            wanted |= Q(place=self.place)
        found = printable(Vessel.objects.filter(wanted))
        return found.order_by("batch__code", "number")


def by_codes(text: str, hosts: Collection[str]) -> tuple[int, ...]:
    """Return the keys of the vessels that a typed or scanned list names.

    Codes stand on lines of their own, or with commas, semicolons or blanks between.
    `hosts` are those that our own labels lead to. Raises WrongCodes.
    """
    typed = [code for code in re.split(r"[\s,;]+", text.strip()) if code]
    if len(typed) > MOST_CODES:
        raise WrongCodes(
            [f"At most {MOST_CODES} codes are read at a time; take a batch or a place."]
        )
    wanted, wrong = _read(typed, hosts)
    found = _found(wanted)
    for batch, number in wanted:
        vessel = found.get((batch, number))
        if vessel is None:
            wrong.append(f"There is no vessel {codes.vessel_code(batch, number)} here.")
        elif not vessel.filled_on or vessel.spent_on:
            wrong.append(NOTHING_INSIDE.format(vessel))
    if wrong:
        raise WrongCodes(wrong)
    return tuple(vessel.pk for vessel in found.values())


def _read(
    typed: list[str], hosts: Collection[str]
) -> tuple[list[tuple[str, int]], list[str]]:
    """Return (batch, number) of each code, and a sentence for each that is none."""
    wanted, wrong = [], []
    for code in typed:
        try:
            parsed = codes.parse_code(code, hosts)
        except codes.CodeError as error:
            wrong.append(_said(code, str(error)))
            continue
        if parsed.number is None:
            wrong.append(f"{parsed.batch} is a batch: choose it as one.")
        else:
            wanted.append((parsed.batch, parsed.number))
    return list(dict.fromkeys(wanted)), wrong


def _said(code: str, sentence: str) -> str:
    """Return the sentence, with the code in front where it does not name it."""
    return (
        sentence if code.upper() in sentence.upper() else f"“{code[:40]}”: {sentence}"
    )


def _found(wanted: Iterable[tuple[str, int]]) -> dict[tuple[str, int], Any]:
    batches = {batch for batch, _ in wanted}
    numbers = {number for _, number in wanted}
    rows = Vessel.objects.filter(batch__code__in=batches, number__in=numbers)
    rows = rows.select_related("batch")
    asked = set(wanted)
    return {
        key: vessel
        for vessel in rows
        if (key := (vessel.batch.code, vessel.number)) in asked
    }
