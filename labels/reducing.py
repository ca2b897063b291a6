"""A label with less on it, for a piece of glass that cannot carry all of it.

What leaves the vessel is said in full on its tag. Each language drops the same.
"""

from collections.abc import Iterator
from dataclasses import replace
from itertools import compress

from .wording import LabelContent


def reductions(content: LabelContent) -> Iterator[LabelContent]:
    """Yield the label with less and less on it, down to what has to stay.

    First the precautionary statements go, the last first; then what hazard
    statements and pictograms may go. Nothing may where `least` is empty.
    """
    if not content.least:
        return
    codes = p_codes(content)
    stays = [code in content.least for code in codes]
    for count in range(stays.count(False), -1, -1):
        yield keeping(content, _all_but_last(stays, count))
    yield with_pictograms(content)
    yield content.at_least()


def with_pictograms(content: LabelContent) -> LabelContent:
    """Return what has to stay, and all pictograms."""
    named = replace(content, least=(*content.least, *content.pictograms))
    return replace(named.at_least(), least=content.least)


def keeping(content: LabelContent, stays: list[bool]) -> LabelContent:
    """Return the label with these of its precautionary statements, for the vessel.

    The supplier's address and the transport line go too: name and telephone stay
    (Annex I 1.5.1.2; from a secondary copy).
    """
    hazards = len(content.h_texts) + len(content.euh_texts)
    codes = content.statement_codes
    kept_codes = (*codes[:hazards], *compress(codes[hazards:], stays))
    return replace(
        content,
        p_texts=tuple(compress(content.p_texts, stays)),
        statement_codes=kept_codes,
        supplier=content.supplier and replace(content.supplier, address=""),
        transport_text="",
        more=tuple(
            replace(
                other,
                p_texts=tuple(compress(other.p_texts, stays)),
                transport_text="",
            )
            for other in content.more
        ),
    )


def p_codes(content: LabelContent) -> tuple[str, ...]:
    """Return the codes of the precautionary statements, as far as they are known."""
    return content.statement_codes[len(content.h_texts) + len(content.euh_texts) :]


def left_out(content: LabelContent, kept: LabelContent) -> tuple[str, ...]:
    """Return the codes of the statements and pictograms that are not in `kept`."""
    before = (*content.pictograms, *content.statement_codes)
    after = {*kept.pictograms, *kept.statement_codes}
    return tuple(code for code in before if code not in after)


def _all_but_last(stays: list[bool], count: int) -> list[bool]:
    """Return which stay when only the first `count` that need not do."""
    found = []
    for must in stays:
        found.append(must or count > 0)
        count -= not must
    return found
