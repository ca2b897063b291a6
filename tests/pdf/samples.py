"""Labels to try things on: the profiles recommended for each metal, and a maker."""

from labels import statements
from labels.wording import LabelContent, Supplier

ALKALI_P = (
    "P223",
    "P231+P232",
    "P280",
    "P302+P335+P334",
    "P305+P351+P338",
    "P370+P378",
)
EARTH_P = ("P223", "P231+P232", "P280", "P302+P335+P334", "P370+P378", "P402+P404")
EVERY_P = (*ALKALI_P, "P310", "P402+P404", "P501")
ALKALI_H = ("H260", "H314")
CORROSIVE = ("GHS02", "GHS05")
IRRITANT = ("GHS02", "GHS07")

# name, CAS, H, EUH, P, pictograms (Regulation (EC) 1272/2008, Annex VI for Li, Na, K,
# Mg and Ca; supplier classifications for the others)
PROFILES = {
    "Li": ("Lithium", "7439-93-2", ALKALI_H, ("EUH014",), ALKALI_P, CORROSIVE),
    "Na": ("Sodium", "7440-23-5", ALKALI_H, ("EUH014",), ALKALI_P, CORROSIVE),
    "K": ("Potassium", "7440-09-7", ALKALI_H, ("EUH014",), ALKALI_P, CORROSIVE),
    "Rb": ("Rubidium", "7440-17-7", ALKALI_H, ("EUH014",), ALKALI_P, CORROSIVE),
    "Cs": ("Caesium", "7440-46-2", ALKALI_H, ("EUH014",), ALKALI_P, CORROSIVE),
    "NaK": (
        "Sodium–potassium alloy, 77.8 % potassium",
        "11135-81-2",
        ("H250", *ALKALI_H),
        ("EUH014",),
        EVERY_P,
        CORROSIVE,
    ),
    "Mg": (
        "Magnesium turnings",
        "7439-95-4",
        ("H228", "H251", "H261"),
        (),
        ("P210", "P223", "P231+P232", "P280", "P370+P378", "P402+P404"),
        ("GHS02",),
    ),
    "Ca": ("Calcium", "7440-70-2", ("H261",), (), EARTH_P, ("GHS02",)),
    "Sr": ("Strontium", "7440-24-6", ("H261",), (), EARTH_P, ("GHS02",)),
    "Ba": (
        "Barium",
        "7440-39-3",
        ("H261", "H302", "H315", "H319"),
        (),
        EARTH_P,
        IRRITANT,
    ),
}
SUPPLIER = Supplier(
    "Reactive Metals Laboratory",
    "12 Foundry Lane\nBuilding C\nNorthfield",
    "+44 1632 960 123",
)
HOST = "HTTPS://TAREBOOK.EXAMPLE.ORG"


def fill(symbol):
    """What the gaps of the statements say for this metal."""
    if symbol == "Li":
        powder = "lithium-rated Class D powder (graphite or copper based)"
    else:
        powder = "Class D metal-fire powder; never water, foam, CO₂ or halon"
    return {"medium": "argon", "extinguisher": powder}


def make_label(symbol="Rb", number=7, **facts):
    """Return a full English label of one vessel."""
    name, cas, h, euh, p, pictograms = PROFILES[symbol]
    batch = f"{symbol.upper()}26A"

    def texts(codes):
        return tuple(statements.text(code, "en", fill(symbol)) for code in codes)

    return LabelContent(
        **{
            "product_name": name,
            "symbol": symbol,
            "cas": cas,
            "vessel_code": f"{batch}-{number:02}",
            "full_code": f"{batch}-{number:02}-K",
            "batch_code": batch,
            "url": f"{HOST}/B/{batch}/{number:02}",
            "net_text": "17.42 g ± 0.05 g",
            "net_date": "2026-11-25",
            "medium_text": "Under argon",
            "volume_text": "11.4 mL at 20 °C",
            "pictograms": pictograms,
            "signal_word": "Danger",
            "h_texts": texts(h),
            "euh_texts": texts(euh),
            "p_texts": texts(p),
            "supplier": SUPPLIER,
            **facts,
        }
    )
