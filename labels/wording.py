"""What a label says, as plain text."""

import re
import unicodedata
from dataclasses import dataclass, fields

# The marks that ask the supplier to fill in or choose (CLP Annex IV, introduction).
RAW_MARK = re.compile(r"…|\.\.\.|[\[\]<>{}/]")


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
class Words:
    """The label's own few words in one language."""

    batch: str
    net: str
    see_record: str
    part: str  # "{part} of {parts}"
    continues: str
    draft: str


WORDS = {
    "en": Words(
        batch="Batch",
        net="Net",
        see_record="see batch record",
        part="label {part} of {parts}",
        continues="continues on label {part} of {parts}",
        draft="DRAFT",
    ),
    "de": Words(
        batch="Charge",
        net="Netto",
        see_record="siehe Chargenblatt",
        part="Etikett {part} von {parts}",
        continues="weiter auf Etikett {part} von {parts}",
        draft="ENTWURF",
    ),
    "fr": Words(
        batch="Lot",
        net="Net",
        see_record="voir fiche du lot",
        part="étiquette {part} sur {parts}",
        continues="suite sur l’étiquette {part} sur {parts}",
        draft="ÉBAUCHE",
    ),
}


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

    def __post_init__(self) -> None:
        for name in ("product_name", "full_code", "url"):
            if not clean(getattr(self, name)):
                raise ValueError(f"a label needs its {name}")
        if self.lang not in WORDS:
            raise ValueError(f"no words for language {self.lang!r}")
        for text in self.statements:
            if RAW_MARK.search(text):
                raise UnfinishedStatement(text)

    @property
    def statements(self) -> tuple[str, ...]:
        """H, EUH and P texts in the order they are printed."""
        return self.h_texts + self.euh_texts + self.p_texts

    @property
    def words(self) -> Words:
        return WORDS[self.lang]

    @property
    def identity(self) -> str:
        """The product name with its symbol, unless that is in it already."""
        shown = self.product_name == self.symbol or f"({self.symbol})" in (
            self.product_name
        )
        if shown or not self.symbol:
            return self.product_name
        return f"{self.product_name} ({self.symbol})"

    def every_text(self) -> tuple[str, ...]:
        """Every string that may be printed, the label's own words included."""
        own: list[str] = [*self.statements, self.words.see_record]
        for field in fields(self):
            value = getattr(self, field.name)
            if isinstance(value, str) and field.name not in {"url", "lang"}:
                own.append(value)
        if self.supplier:
            own += [self.supplier.name, self.supplier.address, self.supplier.phone]
        return tuple(text for text in own if text)
