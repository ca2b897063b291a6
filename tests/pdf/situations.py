"""Situations to ask the label rules about."""

from datetime import date

from hypothesis import strategies as st

from inventory.calc.hazard_classes import CLASSES, signal_word_for
from inventory.calc.precautions import PRESCRIBED
from labels.rules import MODES, Profile, Situation, union

FULL_MM, SMALL_MM = (74.0, 52.0), (63.0, 38.0)
ML = 1_000
TODAY = date(2026, 11, 25)


def profile(*classes, euh=(), p=None):
    """Return a profile of these classes with all that they call for."""
    called_for = tuple(code for name in classes for code in PRESCRIBED[name])
    return Profile(
        classes=classes,
        h=tuple(dict.fromkeys(CLASSES[name].h for name in classes)),
        euh=euh,
        p=called_for if p is None else p,
        pictograms=(),
        signal_word=signal_word_for(classes),
    )


ALKALI = profile("Water-react. 1", "Skin Corr. 1B", euh=("EUH014",))
CALCIUM = profile("Water-react. 2")
TURNINGS = profile("Flam. Sol. 1", "Self-heat. 1", "Water-react. 2")
PYROPHORIC = profile("Pyr. Sol. 1", "Water-react. 1")
HEXANE = profile(
    *("Flam. Liq. 2", "Asp. Tox. 1", "STOT RE 1", "Repr. 2 (fertility)"),
    *("Skin Irrit. 2", "STOT SE 3 (drowsiness)", "Aquatic Chronic 2"),
)
OIL = profile("Asp. Tox. 1")


def situation(*profiles, capacity_ml=100.0, **facts):
    """Return the situation of a small label on a vessel that holds these together."""
    whole = union(profiles)
    facts = {
        "capacity_ul": round(capacity_ml * ML),
        "mode": "eu",
        "languages": ("en",),
        "label_mm": SMALL_MM,
        **facts,
    }
    return Situation(
        classes=whole.classes,
        h=whole.h,
        euh=whole.euh,
        p=whole.p,
        pictograms=whole.pictograms,
        signal_word=whole.signal_word,
        **facts,
    )


@st.composite
def situations(draw, **fixed):
    """Draw any situation there can be, with facts `fixed` beforehand."""
    names = draw(st.lists(st.sampled_from(sorted(CLASSES)), unique=True, max_size=7))
    euh = draw(st.sampled_from([(), ("EUH014",)]))
    asked = {
        "mode": draw(st.sampled_from(MODES)),
        "label_mm": draw(
            st.sampled_from([FULL_MM, SMALL_MM, (105.0, 74.0), (20.0, 10.0)])
        ),
        "research": draw(st.booleans()),
        "outer_full": draw(st.booleans()),
        "capacity_ml": draw(
            st.sampled_from([1, 2.9, 3, 5, 10, 10.1, 99, 100, 125, 126, 500, 4_000])
        ),
        **fixed,
    }
    return situation(profile(*names, euh=euh), **asked)
