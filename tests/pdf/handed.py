"""A hand-over sheet to try things on: three metals, each in a medium of its own."""

from labels import fills, statements
from labels.papers.cautions import Hazard, Statement
from labels.papers.handover import HandedVessel, HandOverSheet, TotalRow
from tests.pdf.samples import ALKALI_P, CORROSIVE, HOST, SUPPLIER

# symbol: name, CAS, medium's key and words, hazard codes. The UN entries stand in the
# dangerous goods list, UN Model Regulations, chapter 3.2 (ADR table A has the same);
# from memory, and as rules.transport writes them: ADR 5.4.1.1.1, from memory.
METALS = {
    "Rb": ("Rubidium", "7440-17-7", "vacuum", "under vacuum", ("H260", "H314")),
    "K": (
        *("Potassium", "7440-09-7", "mineral_oil_light"),
        "under light mineral oil, argon above",
        ("H260", "H314", "H304"),
    ),
    "Cs": ("Caesium", "7440-46-2", "argon", "under argon", ("H260", "H314")),
}
ENTRIES = {
    "Rb": "UN 1423 RUBIDIUM, 4.3, PG I",
    "K": "UN 2257 POTASSIUM, 4.3, PG I",
    "Cs": "UN 1407 CAESIUM, 4.3, PG I",
}


def make_vessel(number=1, symbol="Rb", **facts):
    name, cas, _, medium, _ = METALS[symbol]
    batch = f"{symbol.upper()}26A"
    return HandedVessel(
        **{
            "code": f"{batch}-{number:02}-K",
            "url": f"{HOST}/B/{batch}/{number:02}",
            "kind": "Ampoule",
            "closure": "flame-sealed",
            "mark": f"G{number}",
            "metal": name,
            "symbol": symbol,
            "cas": cas,
            "batch": batch,
            "mass": "4.2120 g ± 0.0011 g (k = 2)",
            "found": "weighed when filled, 20 Mar 2026",
            "purity": "99.8 %",
            "purity_by": "assay, 2 Apr 2026",
            "medium": medium,
            "portion": "whole vessel",
            "returned": "not expected",
            **facts,
        }
    )


def make_hazard(symbol="Rb", **facts):
    name, _, medium, medium_words, h = METALS[symbol]
    inside = fills.Inside(symbol, medium, "argon", is_liquid_medium="oil" in medium)
    fill = fills.fills(inside, "en")

    def said(codes):
        return tuple(
            Statement(code, statements.text(code, "en", fill)) for code in codes
        )

    oil = ("GHS08",) if inside.is_liquid_medium else ()
    return Hazard(
        **{
            "metal": name,
            "medium": medium_words,
            "pictograms": CORROSIVE + oil,
            "signal_word": "Danger",
            "h": said(h),
            "euh": said(["EUH014"]),
            "p": said(ALKALI_P),
            "transport": ENTRIES[symbol],
            **facts,
        }
    )


def make_sheet(count=3, **facts):
    """Return a sheet of that many vessels, of three metals in turn."""
    kinds = (list(METALS) * count)[:count]
    used = list(dict.fromkeys(kinds))
    return HandOverSheet(
        **{
            "number": "12",
            "date": "4 Jul 2026",
            "project": "Cold atoms in a shared trap",
            "laboratory": SUPPLIER,
            "partner": "Institute of Slow Atoms",
            "partner_address": "3 Mill Road, Southmoor",
            "vessels": tuple(
                make_vessel(number, symbol)
                for number, symbol in enumerate(kinds, start=1)
            ),
            "totals": tuple(
                TotalRow(
                    METALS[symbol][0],
                    str(kinds.count(symbol)),
                    "42.120 g ± 0.011 g (k = 2)",
                )
                for symbol in used
            ),
            "combined": "The uncertainties of one balance add up; others add squared.",
            "hazards": tuple(make_hazard(symbol) for symbol in used),
            "printed": "5 Jul 2026",
            **facts,
        }
    )
