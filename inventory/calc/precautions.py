"""Precautionary statements: which class calls for which, and which few to print.

The lists are those of the tables in CLP, Annex I, as far as a laboratory's sealed
metals and liquids need them: the water-reactive, self-heating and acute oral ones were
compared with the consolidation of 2025-09-01; the others follow the UN table of Rev. 10
with the codes of the EU, or memory. Which six go before the others is our own choice.
"""

from collections.abc import Iterable

MOST = 6  # Article 28(3), unless more are needed

_WATER = ("P223", "P231+P232", "P280", "P302+P335+P334", "P370+P378", "P402+P404")
_FLAMMABLE_LIQUID = ("P210", "P233", "P240", "P241", "P280", "P370+P378", "P403+P235")
_SKIN_CORR = (
    *("P260", "P264", "P280", "P301+P330+P331", "P303+P361+P353", "P363"),
    *("P304+P340", "P310", "P321", "P305+P351+P338", "P405", "P501"),
)
_AQUATIC = ("P273", "P501")
_REPRODUCTION = ("P280", "P308+P313", "P405", "P501")

PRESCRIBED: dict[str, tuple[str, ...]] = {
    "Pyr. Sol. 1": (
        *("P210", "P222", "P231+P232", "P233", "P280"),
        *("P302+P335+P334", "P370+P378"),
    ),
    "Pyr. Liq. 1": (
        *("P210", "P222", "P231+P232", "P233", "P280", "P302+P334", "P370+P378"),
    ),
    "Water-react. 1": (*_WATER, "P501"),
    "Water-react. 2": (*_WATER, "P501"),
    "Water-react. 3": ("P231+P232", "P280", "P370+P378", "P402+P404", "P501"),
    "Self-heat. 1": ("P235", "P280", "P407", "P413", "P420"),
    "Self-heat. 2": ("P235", "P280", "P407", "P413", "P420"),
    "Flam. Sol. 1": ("P210", "P240", "P241", "P280", "P370+P378"),
    "Flam. Sol. 2": ("P210", "P240", "P241", "P280", "P370+P378"),
    "Flam. Liq. 2": (*_FLAMMABLE_LIQUID, "P303+P361+P353", "P501"),
    "Flam. Liq. 3": (*_FLAMMABLE_LIQUID, "P303+P361+P353", "P501"),
    "Skin Corr. 1": _SKIN_CORR,
    "Skin Corr. 1A": _SKIN_CORR,
    "Skin Corr. 1B": _SKIN_CORR,
    "Skin Corr. 1C": _SKIN_CORR,
    "Eye Dam. 1": ("P280", "P305+P351+P338", "P310"),
    "Acute Tox. 3 (oral)": ("P264", "P270", "P301+P310", "P330", "P405", "P501"),
    "Acute Tox. 4 (oral)": ("P264", "P270", "P301+P312", "P330", "P501"),
    "Acute Tox. 4 (inhalation)": ("P261", "P271", "P304+P340"),
    "Asp. Tox. 1": ("P301+P310", "P331", "P405", "P501"),
    "STOT RE 1": ("P260", "P264", "P270", "P501"),
    "STOT RE 2": ("P260", "P501"),
    "STOT SE 3 (irritation)": (
        *("P261", "P271", "P304+P340", "P403+P233", "P405", "P501"),
    ),
    "STOT SE 3 (drowsiness)": (
        *("P261", "P271", "P304+P340", "P403+P233", "P405", "P501"),
    ),
    "Repr. 2 (fertility)": _REPRODUCTION,
    "Repr. 2 (unborn child)": _REPRODUCTION,
    "Skin Irrit. 2": (
        *("P264", "P280", "P302+P352", "P332+P313", "P362+P364", "P321"),
    ),
    "Eye Irrit. 2": ("P264", "P280", "P305+P351+P338", "P337+P313"),
    "Aquatic Acute 1": _AQUATIC,
    "Aquatic Chronic 1": _AQUATIC,
    "Aquatic Chronic 2": _AQUATIC,
    "Aquatic Chronic 3": _AQUATIC,
}

# What matters most beside metal that burns in water: keep that away, know what puts it
# out, and what to do in the first minute.
ORDER = (
    *("P223", "P222", "P231+P232", "P280", "P302+P335+P334", "P302+P334"),
    *("P305+P351+P338", "P370+P378", "P210", "P301+P330+P331", "P301+P310", "P260"),
    *("P402+P404", "P310", "P331", "P304+P340", "P301+P312", "P420", "P235", "P407"),
    *("P233", "P403+P233", "P403+P235", "P240", "P241", "P261", "P271", "P273"),
    *("P308+P313", "P303+P361+P353", "P302+P352", "P362+P364", "P363", "P332+P313"),
    *("P337+P313", "P264", "P270", "P330", "P405", "P501"),
)
# Parts that stand in a combination above, and may be named alone.
ALONE = ("P231", "P232", "P334", "P335", "P402", "P404")
# A reference to a treatment, and masses in bulk: nothing here to fill them in with.
CANNOT_BE_COMPLETED = {
    "P321": "it points to a treatment elsewhere on the label, and there is none",
    "P413": "it is about bulk masses, which no vessel here holds",
}
P_CODES = (*ORDER, *ALONE)

# Article 28(1): what another statement on the label says already. Rinsing or washing
# first contradicts brushing off first, which is right for metal that burns in water.
_BRUSH_OFF = "P302+P335+P334"
REDUNDANT_P = {
    "P231": ("P231+P232",),
    "P232": ("P231+P232",),
    "P334": (_BRUSH_OFF, "P302+P334"),
    "P335": (_BRUSH_OFF,),
    "P302+P334": (_BRUSH_OFF,),
    "P302+P352": (_BRUSH_OFF, "P302+P334", "P303+P361+P353"),
    "P303+P361+P353": (_BRUSH_OFF, "P302+P334"),
    "P402": ("P402+P404",),
    "P404": ("P402+P404",),
    "P233": ("P402+P404", "P404", "P403+P233"),
    "P261": ("P260",),
    "P301+P312": ("P301+P310",),
    "P330": ("P301+P330+P331",),
    "P331": ("P301+P330+P331",),
    "P363": ("P362+P364",),
}

# Which statements answer a grave hazard: one of them has to be among those printed.
ANSWERS = {
    "H250": ("P222", "P231+P232"),
    "H260": ("P223",),
    "H261": ("P223", "P231+P232"),
    "H251": ("P280", "P235", "P420"),
    "H252": ("P280", "P235", "P420"),
    "H228": ("P210",),
    "H225": ("P210",),
    "H314": ("P280", "P305+P351+P338"),
    "H318": ("P280", "P305+P351+P338"),
    "H301": ("P301+P310",),
    "H304": ("P301+P310", "P301+P330+P331", "P331"),
    "H372": ("P260",),
}


def said_by(p: str, others: Iterable[str]) -> str:
    """Return the statement among `others` that makes `p` redundant, or ""."""
    present = set(others)
    return next((code for code in REDUNDANT_P.get(p, ()) if code in present), "")


def prescribed_for(p: str, classes: Iterable[str]) -> tuple[str, ...]:
    """Return which of the classes call for this statement."""
    return tuple(name for name in classes if p in PRESCRIBED.get(name, ()))


def choose(offered: Iterable[str], h: Iterable[str]) -> tuple[str, ...]:
    """Return the statements to print, of those a data sheet or table offers.

    The first six in our order without the redundant ones, and more only so that every
    hazard of `h` in ANSWERS has an answer, if one was offered (Art. 28(3)). They stand
    in the order of their codes: prevention, response, storage, disposal.
    """
    given = tuple(dict.fromkeys(offered))
    ranked = sorted((code for code in given if not said_by(code, given)), key=rank)
    chosen = ranked[:MOST]
    for hazard in h:
        answers = ANSWERS.get(hazard, ())
        if answers and not set(answers) & set(chosen):
            chosen += [code for code in ranked if code in answers][:1]
    return tuple(sorted(chosen))


def rank(code: str) -> int:
    """Return the place of a statement in our order; unknown ones come last."""
    return ORDER.index(code) if code in ORDER else len(ORDER)
