"""Statement texts against other transcriptions, and against their own gaps."""

import re

import pytest

from labels import statements
from labels.wording import RAW_MARK, Translation, UnfinishedStatement
from tests.pdf.samples import PROFILES, make_label
from tests.pdf.transcriptions import HARMONISED, PUBLIC

FILLED = {
    "medium": "argon",
    "extinguisher": "Class D powder",
    "treatment": "section 4",
    "bulk_kg": "10",
    "bulk_c": "30",
}
EVERY = [(code, lang) for code in statements.codes() for lang in statements.LANGUAGES]

# Regulation (EC) 1272/2008 by way of the European Commission's SAMANCTA pages
# (customs sampling guide, "H/P-statements", English), as read in December 2021.
COMMISSION_EN = {
    "H228": "Flammable solid.",
    "H250": "Catches fire spontaneously if exposed to air.",
    "H251": "Self-heating: may catch fire.",
}
# 29 CFR 1910.1200, Appendix C, tables C.4.4 and C.4.12: from memory.
OSHA_EN = {
    "H260": (
        "In contact with water releases flammable gases which may ignite spontaneously"
    ),
    "H314": "Causes severe skin burns and eye damage",
    "H302": "Harmful if swallowed",
}
# A public English table of the UN GHS Annex 3 codes, made about Revision 7.
UN_EN = {
    "P222": "Do not allow contact with air.",
    "P223": "Do not allow contact with water.",
    "P232": "Protect from moisture.",
    "P233": "Keep container tightly closed.",
    "P270": "Do not eat, drink or smoke when using this product.",
    "P301+P330+P331": "IF SWALLOWED: Rinse mouth. Do NOT induce vomiting.",
    "P304+P340": (
        "IF INHALED: Remove person to fresh air and keep comfortable for breathing."
    ),
    "P335": "Brush off loose particles from skin.",
    "P362+P364": "Take off contaminated clothing and wash it before reuse.",
    "P370+P378": "In case of fire: Use ... to extinguish.",
    "P402+P404": "Store in a dry place. Store in a closed container.",
    "P405": "Store locked up.",
    "P420": "Store separately.",
    "P501": "Dispose of contents/container to ...",
}
# A public German transcription of Annex IV, after the 8th adaptation (2016/918).
ANNEX_IV_DE = {
    "P222": "Keinen Kontakt mit Luft zulassen.",
    "P223": "Keinen Kontakt mit Wasser zulassen.",
    "P231+P232": (
        "Inhalt unter inertem Gas/… handhaben und aufbewahren. "
        "Vor Feuchtigkeit schützen."
    ),
    "P280": (
        "Schutzhandschuhe/Schutzkleidung/Augenschutz/Gesichtsschutz/Gehörschutz/… "
        "tragen."
    ),
    "P302+P335+P334": (
        "BEI BERÜHRUNG MIT DER HAUT: Lose Partikel von der Haut abbürsten. "
        "In kaltes Wasser tauchen [oder nassen Verband anlegen]."
    ),
    "P305+P351+P338": (
        "BEI KONTAKT MIT DEN AUGEN: Einige Minuten lang behutsam mit Wasser spülen. "
        "Eventuell vorhandene Kontaktlinsen nach Möglichkeit entfernen. "
        "Weiter spülen."
    ),
    "P370+P378": "Bei Brand: ... zum Löschen verwenden.",
    "P402+P404": (
        "An einem trockenen Ort aufbewahren. "
        "In einem geschlossenen Behälter aufbewahren."
    ),
    "P420": "Getrennt aufbewahren.",
    "P501": "Inhalt/Behälter ... zuführen.",
}
# Public French transcriptions of Annex IV, after the 8th adaptation.
ANNEX_IV_FR = {
    "P330": "Rincer la bouche.",
    "P334": "Rincer à l'eau fraîche [ou poser une compresse humide].",
    "P335": "Enlever avec précaution les particules déposées sur la peau.",
}
# What takes the place of a "/"; the second French noun wants its article again.
JOINING = {"and", "or", "und", "oder", "et", "ou", "le"}


def normalised(text):
    """Drop what is not significant: final stop, kind of apostrophe and of dots."""
    return text.replace("...", "…").replace("’", "'").rstrip(".")


def others():
    tables = [
        ("en", COMMISSION_EN),
        ("en", OSHA_EN),
        ("en", UN_EN),
        ("de", ANNEX_IV_DE),
        ("fr", ANNEX_IV_FR),
        *HARMONISED.items(),
        *PUBLIC.items(),
    ]
    return sorted(
        {(lang, code, text) for lang, table in tables for code, text in table.items()}
    )


@pytest.mark.parametrize(("lang", "code", "text"), others())
def test_official_texts_agree_with_other_transcriptions(lang, code, text):
    assert normalised(statements.official(code, lang)) == normalised(text)


@pytest.mark.parametrize(("code", "lang"), EVERY)
def test_no_statement_is_printed_with_a_gap_a_choice_or_a_bracket(code, lang):
    printed = statements.text(code, lang, FILLED)

    assert printed
    assert not RAW_MARK.search(printed)
    assert printed.endswith(".")


@pytest.mark.parametrize(("code", "lang"), EVERY)
def test_printed_words_are_those_of_the_official_text_in_their_order(code, lang):
    gap = dict.fromkeys(statements.gaps(code, lang), "GAP")
    official = iter(re.split(r"[\s/,.;:…\[\]<>]+", statements.official(code, lang)))

    printed = statements.text(code, lang, gap)

    for word in re.split(r"[\s,.;:]+", printed):
        if word and word != "GAP" and word not in JOINING:
            assert word in official, f"{word!r} is not in the official text"


@pytest.mark.parametrize(
    "code", sorted({c for p in PROFILES.values() for part in p[2:5] for c in part})
)
def test_every_code_of_the_recommended_profiles_has_words(code):
    for lang in statements.LANGUAGES:
        assert statements.text(code, lang, FILLED)


def test_every_hazard_statement_is_held_against_another_transcription():
    held = {(code, lang) for lang, code, _ in others()}
    hazards = [code for code in statements.codes() if code[0] in "HE"]

    # French as it was worded anew, and what holds choices, is in two lists each: H314
    # and H318 by the source column, H372 and H373 by their parts.
    missing = {(c, lang) for c in hazards for lang in ("de", "fr")} - held
    assert missing == {
        *(("H314", "fr"), ("H318", "fr")),
        *(("H372", "de"), ("H373", "de"), ("H373", "fr")),
    }


def test_fillings_stand_in_their_gaps():
    fill = {"medium": "argon", "extinguisher": "dry graphite"}

    assert statements.text("P231+P232", "en", fill) == (
        "Handle and store contents under argon. Protect from moisture."
    )
    assert statements.text("P370+P378", "en", fill) == (
        "In case of fire: Use dry graphite to extinguish."
    )


@pytest.mark.parametrize(("code", "name"), [("P231", "medium"), ("P378", None)])
def test_a_missing_filling_or_code_is_named(code, name):
    wrong = statements.MissingFill if name else statements.UnknownStatement
    with pytest.raises(wrong, match=name or code):
        statements.text(code, "en", {})


def test_neither_the_medium_nor_the_extinguisher_is_ever_guessed():
    for lang in statements.LANGUAGES:
        assert "medium" not in statements.DEFAULTS[lang]
        assert "extinguisher" not in statements.DEFAULTS[lang]
    with pytest.raises(statements.MissingFill, match="extinguisher"):
        statements.text("P370+P378", "en", {"medium": "argon", "extinguisher": " "})


@pytest.mark.parametrize("bad", ["dry sand/graphite", "…", "powder [class D]"])
def test_a_filling_with_a_mark_of_its_own_is_refused(bad):
    with pytest.raises(UnfinishedStatement):
        statements.text("P370+P378", "en", {"extinguisher": bad})


def test_an_unknown_language_is_refused():
    with pytest.raises(statements.UnknownStatement, match="xx"):
        statements.text("H260", "xx", {})


def test_explosive_peroxides_are_not_on_offer():
    # EUH019 is not assigned to potassium or its alloy in Annex VI of the regulation.
    assert "EUH019" not in statements.codes()


def test_a_label_names_its_texts_that_want_checking():
    codes = ("H314", "P280", "P402+P404")
    label = make_label(
        h_texts=("Causes severe skin burns.",),
        euh_texts=(),
        p_texts=("Wear gloves.", "Store dry."),
        statement_codes=codes,
        more=tuple(
            Translation(lang, "Rubidium", p_texts=("1", "2", "3"))
            for lang in ("de", "fr")
        ),
    )

    assert statements.weak_texts(label) == (
        statements.Weak("P402+P404", "de", "3"),
        statements.Weak("P280", "fr", "2"),
    )
    assert statements.weak_texts(make_label()) == ()


def test_american_labels_say_gas_and_european_ones_gases():
    # 29 CFR 1910.1200, Appendix C; Annex III: “gases” confirmed in Table 2.12.2.
    assert statements.text("H261", "en", {}).endswith("flammable gases.")
    assert statements.text("H261", "en", {}, us_wording=True).endswith("flammable gas.")
    assert statements.text("H260", "en", {}, us_wording=True).endswith("spontaneously.")


def test_texts_that_rest_on_one_copy_are_marked():
    weak = {(c, lang) for c, lang in EVERY if statements.is_weak(c, lang)}

    assert ("P302+P334", "de") in weak
    assert ("P280", "fr") in weak
    assert not any(lang == "en" for _, lang in weak)
