"""What a label says, as plain text."""

import json
import re
import unicodedata
from dataclasses import asdict, dataclass, fields, replace
from functools import lru_cache
from hashlib import sha256

from .words import WORDS, Words

# The marks that ask the supplier to fill in or choose (CLP Annex IV, introduction).
RAW_MARK = re.compile(r"…|\.\.\.|[\[\]<>{}/]")


@lru_cache(maxsize=8192)
def clean(text: str) -> str:
    """Compose accents, make all white space plain spaces, drop what has no shape."""
    composed = unicodedata.normalize("NFC", re.sub(r"\s+", " ", text))
    return "".join(c for c in composed if unicodedata.category(c)[0] != "C").strip()


class CannotPrint(Exception):
    """A label cannot be printed as asked; the message is fit to show."""


class UnfinishedStatement(CannotPrint):
    """A statement still holds a gap, a choice or a bracket."""

    def __init__(self, text: str) -> None:
        self.text = text
        super().__init__(
            f"“{text}” still has a gap or a choice in it: complete the statement first."
        )


@dataclass(frozen=True, slots=True)
class Supplier:
    """Who answers for the label (CLP Art. 17(1)(a))."""

    name: str
    address: str = ""
    phone: str = ""


@dataclass(frozen=True, slots=True)
class Translation:
    """What a label says in a further language: the same details (CLP Art. 17(2)).

    The statements stand in the order of the label's own.
    """

    lang: str
    product_name: str
    signal_word: str = ""
    h_texts: tuple[str, ...] = ()
    euh_texts: tuple[str, ...] = ()
    p_texts: tuple[str, ...] = ()
    medium_text: str = ""
    volume_text: str = ""
    transport_text: str = ""
    note: str = ""

    def __post_init__(self) -> None:
        check_language(self.lang)
        check_statements(self.statements)

    @property
    def statements(self) -> tuple[str, ...]:
        """H, EUH and P texts in the order they are printed."""
        return self.h_texts + self.euh_texts + self.p_texts

    @property
    def words(self) -> Words:
        return WORDS[self.lang]


@dataclass(frozen=True, slots=True)
class LabelContent:
    """Everything one vessel's label says.

    Texts are ready to print; an empty one is left out. The code, the URL and the
    product name are required. Statements must be complete: a raw "…", "/" or
    bracket raises UnfinishedStatement.
    """

    product_name: str
    full_code: str  # vessel code with its check character; the one that is printed
    url: str  # upper case, to the batch record with this vessel marked
    symbol: str = ""
    cas: str = ""
    vessel_code: str = ""  # names the document
    batch_code: str = ""
    net_text: str = ""  # "17.42 g ± 0.05 g"
    net_date: str = ""
    medium_text: str = ""
    volume_text: str = ""
    pictograms: tuple[str, ...] = ()
    signal_word: str = ""
    h_texts: tuple[str, ...] = ()
    euh_texts: tuple[str, ...] = ()
    p_texts: tuple[str, ...] = ()
    supplier: Supplier | None = None
    note: str = ""
    draft_reason: str = ""
    lang: str = "en"
    more: tuple[Translation, ...] = ()  # further languages, in their order
    transport_text: str = ""  # "UN 1428 SODIUM, 4.3, PG I"; only when asked for
    mode: str = "eu"
    statement_codes: tuple[str, ...] = ()  # beside `statements`, one each
    # What has to stay on the vessel itself, when the rest goes on a tag or fold-out:
    # "product", "supplier", "medium", "signal_word", and codes as "GHS05", "H314".
    # Empty: all of it.
    least: tuple[str, ...] = ()
    capacity_ul: int | None = None  # of the vessel: the rules go by it
    glass_mm: float | None = None  # diameter of the body, as drawn from its capacity

    def __post_init__(self) -> None:
        for name in ("product_name", "full_code", "url"):
            if not clean(getattr(self, name)):
                raise ValueError(f"a label needs its {name}")
        check_language(self.lang)
        check_statements(self.statements)
        counts = {len(other.statements) for other in self.more}
        if self.statement_codes:
            counts.add(len(self.statement_codes))
        if counts - {len(self.statements)}:
            raise ValueError("each language says the same statements, one a code")

    @property
    def statements(self) -> tuple[str, ...]:
        """H, EUH and P texts in the order they are printed."""
        return self.h_texts + self.euh_texts + self.p_texts

    @property
    def words(self) -> Words:
        return WORDS[self.lang]

    @property
    def languages(self) -> tuple[str, ...]:
        return (self.lang, *(other.lang for other in self.more))

    @property
    def identity(self) -> str:
        """The product name with its symbol, unless that is in it already."""
        shown = self.product_name == self.symbol or f"({self.symbol})" in (
            self.product_name
        )
        if shown or not self.symbol:
            return self.product_name
        return f"{self.product_name} ({self.symbol})"

    def at_least(self) -> "LabelContent":
        """Return the label with no more than has to stay on the vessel itself.

        The codes, the net mass and who to ask stay: they are what the label is for.
        """
        if not self.least:
            return self
        keep = _Keep(self.least, self.statement_codes)
        supplier = self.supplier if "supplier" in self.least else None
        return replace(
            self,
            pictograms=tuple(code for code in self.pictograms if code in self.least),
            statement_codes=keep.codes(),
            signal_word=keep.part("signal_word", self.signal_word),
            medium_text=keep.part("medium", self.medium_text),
            h_texts=keep.h(self),
            euh_texts=keep.euh(self),
            p_texts=keep.p(self),
            supplier=supplier and replace(supplier, address=""),
            transport_text="",
            more=tuple(
                replace(
                    other,
                    signal_word=keep.part("signal_word", other.signal_word),
                    medium_text=keep.part("medium", other.medium_text),
                    h_texts=keep.h(other),
                    euh_texts=keep.euh(other),
                    p_texts=keep.p(other),
                    transport_text="",
                )
                for other in self.more
            ),
        )

    def every_text(self) -> tuple[str, ...]:
        """Every string that may be printed, the label's own words included."""
        own = texts_of(self)
        for other in self.more:
            own += texts_of(other)
        if self.supplier:
            own += [self.supplier.name, self.supplier.address, self.supplier.phone]
        return tuple(text for text in own if text)


@dataclass(frozen=True, slots=True)
class _Keep:
    """Which parts and statements to keep, in whatever language they are said."""

    names: tuple[str, ...]
    all_codes: tuple[str, ...]

    def codes(self) -> tuple[str, ...]:
        return tuple(code for code in self.all_codes if code in self.names)

    def part(self, name: str, text: str) -> str:
        return text if name in self.names else ""

    def h(self, said: LabelContent | Translation) -> tuple[str, ...]:
        return self._texts(said.h_texts, 0)

    def euh(self, said: LabelContent | Translation) -> tuple[str, ...]:
        return self._texts(said.euh_texts, len(said.h_texts))

    def p(self, said: LabelContent | Translation) -> tuple[str, ...]:
        return self._texts(said.p_texts, len(said.h_texts) + len(said.euh_texts))

    def _texts(self, texts: tuple[str, ...], start: int) -> tuple[str, ...]:
        codes = self.all_codes[start:]
        pairs = zip(codes, texts, strict=False)
        return tuple(text for code, text in pairs if code in self.names)


def texts_of(said: LabelContent | Translation) -> list[str]:
    """Return what is printed in one language, its own words included."""
    unprinted = {"url", "lang", "mode"}
    texts = [
        getattr(said, field.name)
        for field in fields(said)
        if field.name not in unprinted and isinstance(getattr(said, field.name), str)
    ]
    return [*said.statements, said.words.see_record, *texts]


# What changes no word on the label: where it is printed from, and how it is set.
_NOT_SAID = {"url", "draft_reason", "least", "capacity_ul", "glass_mm"}


def content_key(content: LabelContent) -> str:
    """Return a key of all that a label says: another key, another label (SHA-256)."""
    said = {k: v for k, v in asdict(content).items() if k not in _NOT_SAID}
    text = json.dumps(said, sort_keys=True, ensure_ascii=False)
    return sha256(text.encode()).hexdigest()


def check_language(lang: str) -> None:
    if lang not in WORDS:
        raise ValueError(f"no words for language {lang!r}")


def check_statements(texts: tuple[str, ...]) -> None:
    """Refuse a statement that still holds a gap, a choice or a bracket."""
    for text in texts:
        if RAW_MARK.search(text):
            raise UnfinishedStatement(text)
