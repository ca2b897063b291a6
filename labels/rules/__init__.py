"""What a label must, should or may say, by whose rule, and since when."""

from inventory.calc.hazards import Profile, Transport

from .judging import judge
from .merging import merge, union
from .verdict import MODES, Element, Mode, Need, Situation, Verdict

__all__ = [
    "MODES",
    "Element",
    "Mode",
    "Need",
    "Profile",
    "Situation",
    "Transport",
    "Verdict",
    "judge",
    "merge",
    "union",
]
