"""Four vessels to try every format on, in one language or in three."""

from labels import fills, names, statements
from labels.wording import LabelContent, Supplier, Translation
from labels.words import WORDS
from tests.pdf.samples import ALKALI_P, CORROSIVE, HOST

HAZARDS = ("H260", "H314", "EUH014")
PYROPHORIC = ("H250", *HAZARDS)
# What has to stay on the vessel, as the rules say of small ones.
LEAST = ("product", "supplier", "signal_word", *CORROSIVE, *HAZARDS)
SUPPLIER = Supplier(
    "Reactive Metals Laboratory",
    "12 Foundry Lane\nBuilding C\nNorthfield",
    "+44 1632 960 123",
)
# symbol: CAS, number, net, medium, gas, capacity in mL, glass, statements
VESSELS = {
    "Li": ("7439-93-2", 3, "1.284 g", "argon", "argon", 5, 18.0, HAZARDS),
    "K": (
        *("7440-09-7", 12, "148.6 g", "mineral_oil_light", "argon"),
        *(500, 86.0, HAZARDS),
    ),
    "Rb": ("7440-17-7", 7, "0.882 g", "vacuum", "vacuum", 2, 12.0, HAZARDS),
    "NaK": ("11135-81-2", 1, "31.07 g", "argon", "argon", 100, 60.0, PYROPHORIC),
}
UNCERTAINTY = {"Li": "0.006 g", "K": "0.3 g", "Rb": "0.005 g", "NaK": "0.05 g"}


def make(symbol, langs=("en",), **facts):
    """Return the full label of one of the vessels."""
    cas, number, net, medium, gas, capacity_ml, glass_mm, hazards = VESSELS[symbol]
    batch = f"{symbol.upper()}26A"
    inside = fills.Inside(symbol, medium, gas, is_liquid_medium="oil" in medium)
    codes = (*hazards, *ALKALI_P)

    def said(lang):
        words, fill = WORDS[lang], fills.fills(inside, lang)
        texts = [statements.text(code, lang, fill) for code in codes]
        name = names.name("material", symbol, lang)
        count = len(hazards)
        return {
            "lang": lang,
            "product_name": name[0].upper() + name[1:],
            "signal_word": words.danger,
            "h_texts": tuple(texts[: count - 1]),
            "euh_texts": (texts[count - 1],),
            "p_texts": tuple(texts[count:]),
            "medium_text": fills.medium_text(inside, lang),
            "volume_text": words.vessel.format(volume=f"{capacity_ml} mL"),
        }

    first, *further = langs
    return LabelContent(
        **{
            "symbol": symbol,
            "cas": cas,
            "vessel_code": f"{batch}-{number:02}",
            "full_code": f"{batch}-{number:02}-K",
            "batch_code": batch,
            "url": f"{HOST}/B/{batch}/{number:02}",
            "net_text": f"{net} ± {UNCERTAINTY[symbol]}",
            "net_date": "25 Nov 2026",
            "pictograms": CORROSIVE,
            "supplier": SUPPLIER,
            "statement_codes": codes,
            "least": LEAST,
            "capacity_ul": capacity_ml * 1000,
            "glass_mm": glass_mm,
            "more": tuple(Translation(**said(lang)) for lang in further),
            **said(first),
            **facts,
        }
    )
