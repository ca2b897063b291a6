"""What labels, tags and signs say of themselves, in each language."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Phrases:
    """One language. None of it is taken from a regulation."""

    full_on_tag: str
    full_inside: str
    inside: str  # "Inside: {count} vessels"
    inside_one: str
    more_inside: str  # the list goes on: "and {count} more on the next label"
    here: str  # heads what a place holds
    no_water: str
    never_on_fire: str
    ask_first: str


PHRASES = {
    "en": Phrases(
        full_on_tag="Full label on the tag.",
        full_inside="Open: full label inside.",
        inside="Inside: {count} vessels",
        inside_one="Inside: 1 vessel",
        more_inside="and {count} more on the next label",
        here="Kept here",
        no_water="NEVER WATER",
        never_on_fire="No water, foam, CO₂ or halon on a fire here.",
        ask_first="Local rules, the safety data sheets and trained people come first.",
    ),
    "de": Phrases(
        full_on_tag="Volles Etikett am Anhänger.",
        full_inside="Öffnen: volles Etikett innen.",
        inside="Inhalt: {count} Gefäße",
        inside_one="Inhalt: 1 Gefäß",
        more_inside="und {count} weitere auf dem nächsten Etikett",
        here="Hier gelagert",
        no_water="NIE WASSER",
        never_on_fire="Hier nie mit Wasser, Schaum, CO₂ oder Halon löschen.",
        ask_first="Örtliche Regeln, Sicherheitsdatenblätter und Geschulte gehen vor.",
    ),
    "fr": Phrases(
        full_on_tag="Étiquette complète sur la fiche attachée.",
        full_inside="Ouvrir : étiquette complète à l’intérieur.",
        inside="Contenu : {count} récipients",
        inside_one="Contenu : 1 récipient",
        more_inside="et {count} autres sur l’étiquette suivante",
        here="Conservés ici",
        no_water="JAMAIS D’EAU",
        never_on_fire="Ici, ni eau, ni mousse, ni CO₂, ni halon sur un feu.",
        ask_first="Les règles locales, les fiches de données de sécurité et les personnes formées priment.",
    ),
}
