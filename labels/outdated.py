"""Whether a printed label still says what is inside, and what changed since."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from inventory.models import LabelPrint
from inventory.operations import labelling

from .content import for_vessel
from .shelf import Shelf, Wish
from .wording import CannotPrint, LabelContent, content_key

SENTENCES = {
    "medium": "It says “{}”; the metal is now kept {}.",
    "product": "It names the metal “{}”; today it is “{}”.",
    "signal_word": "The signal word was “{}”; today it is “{}”.",
    "transport": "The transport line was “{}”; today it is “{}”.",
}
EXTRAS = ("transport", "research", "outer_full")


def extras_of(wish: Wish) -> str:
    """Return what else was asked for, as the log keeps it."""
    return " ".join(name for name in EXTRAS if getattr(wish, name))


def wish_of(printed: Any) -> Wish:
    """Return how a logged label was asked for."""
    extras = printed.extras.split()
    return Wish(
        tuple(printed.languages.split()),
        printed.mode,
        **{name: name in extras for name in EXTRAS},
    )


def said(vessel: Any, content: LabelContent) -> dict[str, Any]:
    """Return in words what a label says where that may change."""
    supplier = content.supplier
    return {
        "net_ug": round(vessel.remaining_ug),
        "u_ug": round(vessel.u2_ug2**0.5),
        "net": content.net_text,
        "medium": content.medium_text,
        "codes": list(content.statement_codes),
        "pictograms": list(content.pictograms),
        "signal_word": content.signal_word,
        "product": content.product_name,
        "transport": content.transport_text,
        "note": content.note,
        "supplier": [supplier.name, supplier.address, supplier.phone]
        if supplier
        else [],
    }


@dataclass(frozen=True, slots=True)
class State:
    """What there is to say about the label on a vessel.

    `changes` are sentences, one each; without any the label still holds. `printed` is
    None where no label was ever printed.
    """

    printed: Any = None
    changes: tuple[str, ...] = ()
    remark: str = ""

    @property
    def is_out_of_date(self) -> bool:
        return self.printed is None or bool(self.changes)


def states(vessels: Sequence[Any], shelf: Shelf) -> dict[int, State]:
    """Return {vessel key: State} of vessels from content.printable, in three queries."""
    newest = labelling.newest(vessels)
    moved = labelling.changed(vessels)
    return {
        vessel.pk: _state(vessel, shelf, newest[vessel.pk], vessel.pk in moved)
        if vessel.pk in newest
        else State()
        for vessel in vessels
    }


def _state(vessel: Any, shelf: Shelf, printed: LabelPrint, moved: bool) -> State:
    """Return the state of a label; `moved`: by the log something happened since."""
    try:
        content = for_vessel(vessel, shelf, "", wish_of(printed))
    except CannotPrint as error:
        return State(printed, (f"It could not be printed today. {error}",))
    if content_key(content) == printed.content_key:
        return State(printed)
    now = said(vessel, content)
    if found := tuple(changes(printed.said, now, moved=moved)):
        return State(printed, found)
    if printed.said.get("net") != now["net"]:
        return State(
            printed,
            remark=f"Newer readings give {now['net']}: within what the label says.",
        )
    if printed.said == now:
        return State(printed, remark="Only the day of its net mass is another.")
    return State(printed, ("The wording of the label is another today.",))


def changes(then: dict[str, Any], now: dict[str, Any], *, moved: bool) -> Iterator[str]:
    """Yield in words what a label said and what is true today.

    A reading that agrees moves the net mass within what the label says of it: that
    overtakes no label. What was taken out does, however little (`moved`).
    """
    if not then:
        yield "What it said was not kept; what it has to say today is something else."
        return
    off_ug = abs(then["net_ug"] - now["net_ug"])
    if then["net"] != now["net"] and (moved or off_ug > 2 * then["u_ug"]):
        yield f"The net mass was {then['net']} when printed; it is {now['net']} now."
    for name, words in SENTENCES.items():
        if then[name] != now[name]:
            yield words.format(then[name] or "none", now[name] or "none")
    for name, what in (("codes", "statement"), ("pictograms", "pictogram")):
        yield from _lists(then[name], now[name], what)
    if then["note"] != now["note"]:
        yield _note(then["note"], now["note"])
    if then["supplier"] != now["supplier"]:
        yield "The laboratory's name, address or telephone changed."


def _note(then: str, now: str) -> str:
    if now:
        return f"It does not say “{now}”."
    return f"It says “{then}”, which no longer holds."


def _lists(then: Iterable[str], now: Iterable[str], what: str) -> Iterator[str]:
    new = [code for code in now if code not in set(then)]
    gone = [code for code in then if code not in set(now)]
    if new:
        yield f"Since it was printed this {what} came in: {', '.join(new)}."
    if gone:
        yield f"It carries a {what} that no longer holds: {', '.join(gone)}."
