"""The clauses that label rules rest on, with their dates and how sure we are of them.

`seen` says how the clause is known here: "seen" in the text or an authority's page,
"second copy" in a secondary or older copy, "from memory". None of it is legal advice:
the Official Journal or the Code of Federal Regulations decides.
"""

from dataclasses import dataclass
from datetime import date
from typing import Literal

Seen = Literal["seen", "second copy", "from memory"]

# Regulation (EC) No 1272/2008 applies to substances from this day (Art. 62); from memory.
CLP = date(2010, 12, 1)
# Retained in Great Britain from the end of the transition period.
GB = date(2021, 1, 1)
# Final rule of 2024 (89 FR 44144), in force; it changed (f)(12). From memory.
HCS_2024 = date(2024, 7, 19)
HCS_2012 = date(2012, 5, 25)


@dataclass(frozen=True, slots=True)
class Clause:
    cites: str
    since: date | None
    seen: Seen

    @property
    def words(self) -> str:
        """The citation, with a warning where the text itself was not at hand."""
        if self.seen == "from memory":
            return f"{self.cites} (from memory; check the official text)"
        if self.seen == "second copy":
            return f"{self.cites} (from a secondary copy)"
        return self.cites


CLAUSES: dict[str, Clause] = {
    "supplier": Clause("CLP Art. 17(1)(a)", CLP, "seen"),
    "quantity": Clause("CLP Art. 17(1)(b)", CLP, "seen"),
    "product": Clause("CLP Art. 17(1)(c), Art. 18", CLP, "seen"),
    "mixture": Clause("CLP Art. 18(3)(b)", CLP, "from memory"),
    "pictogram": Clause("CLP Art. 17(1)(d), Art. 19", CLP, "seen"),
    "precedence": Clause("CLP Art. 26(1)", CLP, "second copy"),
    "signal_word": Clause("CLP Art. 17(1)(e), Art. 20", CLP, "seen"),
    "h": Clause("CLP Art. 17(1)(f), Art. 21", CLP, "seen"),
    "redundant_h": Clause("CLP Art. 27", CLP, "from memory"),
    "p": Clause("CLP Art. 17(1)(g), Art. 22", CLP, "seen"),
    "redundant_p": Clause("CLP Art. 28(1)", CLP, "second copy"),
    "six": Clause("CLP Art. 28(3)", CLP, "second copy"),
    "euh": Clause("CLP Art. 17(1)(h), Art. 25(1)", CLP, "seen"),
    "languages": Clause("CLP Art. 17(2)", CLP, "seen"),
    "small_29_1": Clause("CLP Art. 29(1), Annex I 1.5.1", CLP, "second copy"),
    "small_125": Clause("CLP Art. 29(2), Annex I 1.5.2.1", CLP, "second copy"),
    # Inserted by Regulation (EU) No 487/2013.
    "small_10": Clause("CLP Annex I 1.5.2.4", date(2014, 12, 1), "from memory"),
    "label_size": Clause("CLP Art. 31, Annex I 1.2.1, Table 1.3", CLP, "second copy"),
    "pictogram_size": Clause("CLP Annex I 1.2.1.3, Table 1.3", CLP, "second copy"),
    "osha_shipped": Clause("29 CFR 1910.1200(f)(1)", HCS_2012, "seen"),
    "osha_workplace": Clause("29 CFR 1910.1200(f)(6)", HCS_2012, "second copy"),
    "osha_small": Clause("29 CFR 1910.1200(f)(12)", HCS_2024, "second copy"),
    "osha_english": Clause("29 CFR 1910.1200(f)(2), (f)(11)", HCS_2012, "from memory"),
    "osha_frame": Clause("29 CFR 1910.1200, Appendix C.2.3", HCS_2012, "from memory"),
    "eu_workplace": Clause(
        "Directives 92/58/EEC and 98/24/EC, as amended by 2014/27/EU",
        date(2015, 6, 1),
        "from memory",
    ),
    "ours": Clause("our own rule", None, "seen"),
}


@dataclass(frozen=True, slots=True)
class FormatRule:
    """A rule of Regulation (EU) 2024/2865 about how a label is set."""

    key: str
    what: str
    words: str


# In force since 10 December 2024; the day from which the format rules have to be kept
# was moved from 1 January 2027 by Regulation (EU) 2025/2439. Seen in trade notices.
FORMAT_CITES = (
    "CLP Annex I 1.2.1.4, 1.2.1.5, as amended by Regulation (EU) 2024/2865 "
    "(from trade notices)"
)
FORMAT_APPLIES = date(2028, 1, 1)
FORMAT_PROPOSAL = (
    "A provisional agreement of June 2026 would move the format rules of Regulation "
    "(EU) 2024/2865 to 1 January 2030 and keep fixed letter sizes for the general "
    "public alone. No adoption was found in November 2026: check the Official Journal."
)
FORMAT_RULES = (
    FormatRule(
        "line_spacing",
        "Distance of the lines",
        "At least 120 % of the letter size, taken here as the point size, the stricter "
        "of two readings.",
    ),
    FormatRule(
        "typeface",
        "Typeface",
        "One easily legible typeface without serifs.",
    ),
    FormatRule(
        "colours",
        "Black on white",
        "The text is black on a white ground.",
    ),
)
# Package capacity in litres up to which the letter x must be this tall, in millimetres.
X_HEIGHTS_MM = ((0.5, 1.2), (3.0, 1.4), (50.0, 1.8), (float("inf"), 2.0))
OSHA_DATES = (
    "The changes of 2024 to 29 CFR 1910.1200 have to be kept for substances by makers "
    "since 19 May 2026 and by employers since 20 November 2026, for mixtures from 19 "
    "November 2027 and 19 May 2028."
)
