"""Whether a metal may be kept in a medium, and why."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

Verdict = Literal["fine", "condition", "avoid", "never"]


@dataclass(frozen=True, slots=True)
class Rule:
    """A verdict on one metal in one medium, the reason as a sentence, the source."""

    verdict: Verdict
    sentence: str
    source: str


def verdict(
    rules: Mapping[tuple[str, str], Rule], symbol: str, medium_key: str
) -> Rule:
    """Return the rule for a metal in a medium; where none is known, to avoid it."""
    unknown = Rule(
        "avoid",
        f"Nothing is recorded about keeping {symbol} this way; "
        "ask a person who knows before using it.",
        "no rule",
    )
    return rules.get((symbol, medium_key), unknown)
