"""What the gaps of the statements are filled in with: it comes from what is inside.

An extinguishing agent is only named where no source consulted forbids it for the metal.
The sources: NLM WISER/HSDB (lithium: neither soda ash nor sodium chloride), IMDG EmS
(caesium: no sand), Sax's (NaK: no graphite), CAMEO (NaK: no bicarbonate), ICSC cards
and hazard data sheets; none of them forbids copper or graphite for lithium, or sodium
chloride for the others. The data sheet of the lot decides.
"""

from dataclasses import dataclass

from . import names

# Metal: the words for its agent. What stands in the table beside each agent that may
# be named is in tests.
_NEVER = {
    "en": "never water, foam, CO₂ or halon",
    "de": "niemals Wasser, Schaum, CO₂ oder Halon",
    "fr": "jamais d'eau, de mousse, de CO₂ ni de halon",
}
_SALT = {
    "en": "Class D powder based on sodium chloride",
    "de": "Metallbrandpulver (Brandklasse D) auf Natriumchloridbasis",
    "fr": "une poudre de classe D à base de chlorure de sodium",
}
_LITHIUM = {
    "en": "Class D powder for lithium, copper or graphite based",
    "de": "Metallbrandpulver (Brandklasse D) für Lithium auf Kupfer- oder Graphitbasis",
    "fr": "une poudre de classe D pour lithium, à base de cuivre ou de graphite",
}
_AIRBORNE = {
    "solid": {},  # as in statements.DEFAULTS
    "liquid": {
        "en": "fume or mist",
        "de": "Rauch oder Nebel",
        "fr": "les fumées ou brouillards",
    },
    "solid in solvent": {
        "en": "dust, fume or vapours",
        "de": "Staub, Rauch oder Dampf",
        "fr": "les poussières, fumées ou vapeurs",
    },
    "liquid in solvent": {
        "en": "fume, mist or vapours",
        "de": "Rauch, Nebel oder Dampf",
        "fr": "les fumées, brouillards ou vapeurs",
    },
}
_AND = {"en": "and", "de": "und", "fr": "et"}
# What harms the nervous system; for the others the table of Annex VI names no organ.
_ORGANS = {
    "hexane": {
        "en": "organs (nervous system)",
        "de": "die Organe (Nervensystem)",
        "fr": "les organes (système nerveux)",
    }
}
_MEDIUM = {"en": "under {medium}", "de": "unter {medium}", "fr": "sous {medium}"}
_MEDIUM_AND_GAS = {
    "en": "under {medium}, {gas} above",
    "de": "unter {medium}, darüber {gas}",
    "fr": "sous {medium}, {gas} au-dessus",
}


@dataclass(frozen=True, slots=True)
class Inside:
    """What is in a vessel, by the catalogue's keys.

    `handled_under` is the gas that P231 names: one that is fine for the metal.
    """

    symbol: str
    medium: str
    gas: str  # above a liquid; the medium itself otherwise
    is_liquid_medium: bool
    handled_under: str = "argon"

    @property
    def is_liquid_metal(self) -> bool:
        return self.symbol == "NaK"


def fills(inside: Inside, lang: str) -> dict[str, str]:
    """Return {gap: words} for the statements of a label in one language."""
    agent = _LITHIUM if inside.symbol == "Li" else _SALT
    found = {
        "extinguisher": f"{agent[lang]}, {_NEVER[lang]},",
        "medium": handling_medium(inside, lang),
    }
    state = "liquid" if inside.is_liquid_metal else "solid"
    if inside.is_liquid_medium:
        state += " in solvent"
    if words := _AIRBORNE[state].get(lang):
        found["airborne"] = words
    if inside.medium in _ORGANS:
        found["organs"] = _ORGANS[inside.medium][lang]
    return found


def handling_medium(inside: Inside, lang: str) -> str:
    """Return what the contents are handled and stored under, for P231."""
    gas = names.under(inside.handled_under, lang)
    if not inside.is_liquid_medium:
        return gas
    return f"{names.under(inside.medium, lang)} {_AND[lang]} {gas}"


def medium_text(inside: Inside, lang: str) -> str:
    """Return what surrounds the metal, as in "under light mineral oil, argon above"."""
    medium = names.under(inside.medium, lang)
    if inside.gas and inside.gas != inside.medium:
        gas = names.name("medium", inside.gas, lang)
        return _MEDIUM_AND_GAS[lang].format(medium=medium, gas=gas)
    return _MEDIUM[lang].format(medium=medium)
