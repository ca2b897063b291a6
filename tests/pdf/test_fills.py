"""What the gaps of the statements are filled in with, for each metal and medium."""

import csv
from datetime import date
from pathlib import Path

import pytest

from inventory.operations.catalogue import FOLDER
from labels import fills, names, statements
from labels.fills import Inside
from labels.wording import RAW_MARK
from labels.words import WORDS

METALS = ("Li", "Na", "K", "Rb", "Cs", "NaK", "Mg", "Ca", "Sr", "Ba")
LIQUIDS = ("mineral_oil_light", "mineral_oil_heavy", "kerosene", "hexane", "heptane")
LANGUAGES = ("en", "de", "fr")

# Which agents the sources allow: "ok" where one does and none forbids it. NLM WISER/HSDB
# for Li, IMDG EmS for Cs, Sax's and CAMEO for NaK, ICSC cards; the rest from memory.
ALLOWED = {
    "copper": {"Li"},
    "graphite": {"Li", "Na", "K", "Mg", "Ca", "Sr", "Ba"},
    "sodium chloride": {"Na", "K", "NaK", "Rb", "Cs", "Mg", "Ca", "Sr", "Ba"},
    "sand": set(),
    "soda ash": set(),
    "bicarbonate": set(),
    "lime": set(),
}
AGENTS = {
    "de": {
        "copper": "Kupfer",
        "graphite": "Graphit",
        "sodium chloride": "Natriumchlor",
    },
    "fr": {"copper": "cuivre", "graphite": "graphite", "sodium chloride": "chlorure"},
}
NEVER = {
    "en": ("water", "foam", "CO₂", "halon"),
    "de": ("Wasser", "Schaum", "CO₂", "Halon"),
    "fr": ("eau", "mousse", "CO₂", "halon"),
}


def under_argon(symbol):
    return Inside(symbol, "argon", "argon", is_liquid_medium=False)


def in_liquid(symbol, medium):
    return Inside(symbol, medium, "argon", is_liquid_medium=True)


def statement(code, inside, lang="en"):
    return statements.text(code, lang, fills.fills(inside, lang))


@pytest.mark.parametrize("symbol", METALS)
def test_no_agent_is_printed_that_a_source_forbids(symbol):
    printed = statement("P370+P378", under_argon(symbol))

    named = {agent for agent in ALLOWED if agent in printed}
    assert named
    assert all(symbol in ALLOWED[agent] for agent in named)


@pytest.mark.parametrize("symbol", METALS)
@pytest.mark.parametrize("lang", ["de", "fr"])
def test_every_language_names_the_same_agents(symbol, lang):
    english = statement("P370+P378", under_argon(symbol))
    printed = statement("P370+P378", under_argon(symbol), lang)

    for agent, word in AGENTS[lang].items():
        assert (word in printed) == (agent in english)


@pytest.mark.parametrize("symbol", METALS)
@pytest.mark.parametrize("lang", LANGUAGES)
def test_water_foam_carbon_dioxide_and_halon_are_warned_of_on_every_label(symbol, lang):
    printed = statement("P370+P378", under_argon(symbol), lang)

    never = printed.partition({"en": "never", "de": "niemals", "fr": "jamais"}[lang])[2]
    assert all(word in never for word in NEVER[lang])


def test_lithium_is_never_said_to_be_handled_under_nitrogen_unless_it_is_fine():
    inside = Inside("Li", "vacuum", "vacuum", is_liquid_medium=False)

    assert statement("P231", inside) == "Handle and store contents under argon."


@pytest.mark.parametrize(
    ("lang", "printed"),
    [
        ("en", "Handle and store contents under light mineral oil and argon."),
        ("de", "Inhalt unter leichtem Mineralöl und Argon handhaben und aufbewahren."),
        ("fr", "Manipuler et stocker le contenu sous huile minérale légère et argon."),
    ],
)
def test_handling_names_the_oil_and_the_gas(lang, printed):
    assert statement("P231", in_liquid("K", "mineral_oil_light"), lang) == printed


@pytest.mark.parametrize(
    ("inside", "printed"),
    [
        (under_argon("K"), "Do not breathe dust or fume."),
        (under_argon("NaK"), "Do not breathe fume or mist."),
        (in_liquid("K", "hexane"), "Do not breathe dust, fume or vapours."),
        (in_liquid("NaK", "hexane"), "Do not breathe fume, mist or vapours."),
    ],
)
def test_what_is_not_to_be_breathed_comes_from_metal_and_liquid(inside, printed):
    assert statement("P260", inside) == printed


def test_hexane_names_the_organ_it_harms():
    assert statement("H372", in_liquid("K", "hexane")) == (
        "Causes damage to organs (nervous system) through prolonged or repeated "
        "exposure."
    )


@pytest.mark.parametrize("lang", LANGUAGES)
@pytest.mark.parametrize("medium", ["argon", *LIQUIDS])
@pytest.mark.parametrize("symbol", METALS)
def test_no_label_of_any_metal_in_any_medium_has_a_gap_left(symbol, medium, lang):
    inside = Inside(symbol, medium, "argon", is_liquid_medium=medium in LIQUIDS)
    fill = fills.fills(inside, lang)

    for code in set(statements.codes()) - {"P321", "P413"}:
        printed = statements.text(code, lang, fill)
        assert not RAW_MARK.search(printed), printed
    assert not RAW_MARK.search(fills.medium_text(inside, lang))


@pytest.mark.parametrize(
    ("lang", "words"),
    [
        ("en", "under light mineral oil, argon above"),
        ("de", "unter leichtem Mineralöl, darüber Argon"),
        ("fr", "sous huile minérale légère, argon au-dessus"),
    ],
)
def test_what_surrounds_the_metal_is_said_in_each_language(lang, words):
    assert fills.medium_text(in_liquid("K", "mineral_oil_light"), lang) == words


@pytest.mark.parametrize(
    ("file_name", "key", "kind"),
    [("materials.csv", "symbol", "material"), ("media.csv", "key", "medium")],
)
def test_english_names_are_those_of_the_catalogue(file_name, key, kind):
    path = Path(FOLDER) / file_name
    with path.open(encoding="utf-8", newline="") as rows:
        named = {
            row[key]: row["value"]
            for row in csv.DictReader(rows)
            if row["property"] == "name"
        }

    assert named
    for thing, name in named.items():
        assert names.name(kind, thing, "en") == name
        assert all(names.name(kind, thing, lang) for lang in LANGUAGES)


def test_a_form_that_is_classified_by_itself_is_in_the_product_name():
    assert names.product("Mg", "turnings", "en") == "Magnesium, turnings"
    assert names.product("Mg", "pyrophoric powder", "de") == (
        "Magnesium, pyrophores Pulver"
    )
    assert names.product("Na", "massive", "fr") == "Sodium"


def test_a_name_that_is_missing_is_said_and_not_left_empty():
    with pytest.raises(names.NoName, match="“krypton”"):
        names.under("krypton", "de")


@pytest.mark.parametrize(
    ("lang", "danger", "warning"),
    # CLP Annex I tables in three languages; BAuA and ECHA label pages; from memory.
    [("en", "Danger", "Warning"), ("de", "Gefahr", "Achtung"), ("fr", "Danger", "Attention")],
)  # fmt: skip
def test_signal_words_are_those_of_the_regulation(lang, danger, warning):
    words = WORDS[lang]

    assert (words.signal("Danger"), words.signal("Warning")) == (danger, warning)
    assert words.signal("") == ""


@pytest.mark.parametrize(
    ("lang", "said"),
    [("en", "1 Dec 2026"), ("de", "1. Dez. 2026"), ("fr", "1er déc. 2026")],
)
def test_a_day_has_its_month_in_words(lang, said):
    assert WORDS[lang].day(date(2026, 12, 1)) == said


def test_german_and_french_numbers_have_a_decimal_comma():
    # "17.420 g" would be read as seventeen thousand.
    assert WORDS["de"].number("17.420 g ± 0.012 g") == "17,420 g ± 0,012 g"
    assert WORDS["fr"].number("0.5 mL") == "0,5 mL"
    assert WORDS["en"].number("17.420 g") == "17.420 g"
