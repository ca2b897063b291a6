"""What may be left off the label of a small package, by hazard class (CLP Annex I 1.5.2).

The list of 1.5.2.1.1 is from secondary copies: item 7, substances that give off
flammable gas with water in categories 1 to 3, from the Czech text and memory.
"""

from collections.abc import Iterable

from inventory.calc.hazard_classes import classes_of
from inventory.calc.precautions import prescribed_for

MOST_ML = 125.0
RESEARCH_ML = 10.0

# 1.5.2.1.1: hazard and precautionary statements may go, pictogram and signal word stay.
# (Acute Tox. 4, STOT SE 3 and STOT RE 2: where not supplied to the general public.)
STATEMENTS_MAY_GO = frozenset(
    {
        *("Flam. Liq. 2", "Flam. Liq. 3", "Flam. Sol. 1", "Flam. Sol. 2"),
        *("Self-heat. 2", "Water-react. 1", "Water-react. 2", "Water-react. 3"),
        *("Acute Tox. 4 (oral)", "Acute Tox. 4 (inhalation)"),
        *("STOT SE 3 (irritation)", "STOT SE 3 (drowsiness)", "STOT RE 2"),
        *("Skin Irrit. 2", "Eye Irrit. 2"),
        *("Aquatic Acute 1", "Aquatic Chronic 1", "Aquatic Chronic 2"),
    }
)
# 1.5.2.1.2: precautionary statements alone may go.
PRECAUTIONS_MAY_GO = frozenset({"Aquatic Chronic 3"})
# 1.5.2.4: what the inner label of 10 mL must show where it applies.
RESEARCH_PICTOGRAMS = frozenset({"GHS01", "GHS05", "GHS06", "GHS08"})

# Never left off for want of room, whatever the law would allow.
NEVER_DROPPED = frozenset({"H314"})
# Left on unless somebody decides otherwise: what these metals do with water and air is
# the message that matters.
KEPT = frozenset({"H250", "H251", "H252", "H260", "H261", "H318"})
KEPT_P = frozenset({"P223", "P231+P232", "P370+P378"})


def statement_may_go(h: str, classes: Iterable[str]) -> bool:
    """Return whether 1.5.2.1.1 lets a hazard statement off: for every class behind it."""
    behind = [name for name in classes_of(h) if name in set(classes)]
    return bool(behind) and all(name in STATEMENTS_MAY_GO for name in behind)


def precaution_may_go(p: str, classes: Iterable[str]) -> bool:
    """Return whether 1.5.2.1 lets a precautionary statement off.

    It stays when a class that is not on the lists calls for it, and also when none
    does: a supplier had a reason to print it.
    """
    behind = prescribed_for(p, classes)
    free = STATEMENTS_MAY_GO | PRECAUTIONS_MAY_GO
    return bool(behind) and all(name in free for name in behind)
