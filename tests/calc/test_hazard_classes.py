"""Label elements of hazard classes, against Annex I and the precedence of Article 26."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.calc import hazard_classes, precautions
from inventory.calc.hazard_classes import (
    CLASSES,
    UnknownClass,
    by_gravity,
    gives_way,
    pictograms_for,
    replaced_by,
    signal_word_for,
)
from labels import statements

ALKALI = ("Water-react. 1", "Skin Corr. 1B")

# Regulation (EC) 1272/2008, Annex I, consolidation of 2025-09-01: Tables 2.12.2 (three
# rows) and 2.11.2 (two), 3.1.3 (oral category 4).
ANNEX_I = {
    "Water-react. 1": ("H260", "GHS02", "Danger"),
    "Water-react. 2": ("H261", "GHS02", "Danger"),
    "Water-react. 3": ("H261", "GHS02", "Warning"),
    "Self-heat. 1": ("H251", "GHS02", "Danger"),
    "Self-heat. 2": ("H252", "GHS02", "Warning"),
    "Acute Tox. 4 (oral)": ("H302", "GHS07", "Warning"),
}
# A public English table of the UN GHS Rev. 10 codes (code, pictogram, signal word) for
# classes that are the same in the EU.
UN_REV_10 = {
    "H225": ("GHS02", "Danger"),
    "H226": ("GHS02", "Warning"),
    "H250": ("GHS02", "Danger"),
    "H301": ("GHS06", "Danger"),
    "H304": ("GHS08", "Danger"),
    "H314": ("GHS05", "Danger"),
    "H315": ("GHS07", "Warning"),
    "H318": ("GHS05", "Danger"),
    "H319": ("GHS07", "Warning"),
    "H335": ("GHS07", "Warning"),
    "H336": ("GHS07", "Warning"),
    "H372": ("GHS08", "Danger"),
    "H373": ("GHS08", "Warning"),
    "H400": ("GHS09", "Warning"),
    "H410": ("GHS09", "Warning"),
    "H411": ("GHS09", ""),
    "H412": ("", ""),
}

some_classes = st.lists(st.sampled_from(sorted(CLASSES)), unique=True, max_size=8)


@pytest.mark.parametrize("name", ANNEX_I)
def test_classes_call_for_what_the_tables_of_annex_i_say(name):
    found = CLASSES[name]

    assert (found.h, found.pictogram, found.signal_word) == ANNEX_I[name]


@pytest.mark.parametrize("code", UN_REV_10)
def test_classes_call_for_the_same_as_in_the_table_of_the_united_nations(code):
    behind = [found for found in CLASSES.values() if found.h == code]

    assert behind
    for found in behind:
        assert (found.pictogram, found.signal_word) == UN_REV_10[code]


@pytest.mark.parametrize(
    ("classes", "expected"),
    [
        # Worked out beside the precedence table of Article 26(1): alkali metals; barium
        # as suppliers classify it, with H302 and H314, and with H315 and H319.
        (ALKALI, ("GHS02", "GHS05")),
        (
            ("Water-react. 2", "Acute Tox. 4 (oral)", "Skin Corr. 1B"),
            ("GHS02", "GHS05", "GHS07"),
        ),
        (("Water-react. 2", "Skin Irrit. 2", "Eye Irrit. 2"), ("GHS02", "GHS07")),
        # One flame, however many classes ask for it (magnesium turnings).
        (("Flam. Sol. 1", "Self-heat. 1", "Water-react. 2"), ("GHS02",)),
        # The skull stands for the exclamation mark whatever that is about.
        (("Acute Tox. 3 (oral)", "STOT SE 3 (drowsiness)"), ("GHS06",)),
        # Corrosion stands for skin and eye irritation, and for nothing else.
        (("Skin Corr. 1B", "Skin Irrit. 2"), ("GHS05",)),
        (("Skin Corr. 1B", "STOT SE 3 (irritation)"), ("GHS05", "GHS07")),
        (("Eye Dam. 1", "Skin Irrit. 2"), ("GHS05",)),
        (("Aquatic Chronic 3",), ()),
        ((), ()),
    ],
)
def test_pictograms_give_way_as_article_26_says(classes, expected):
    assert pictograms_for(classes) == expected


@given(some_classes)
def test_no_exclamation_mark_beside_a_skull_and_every_other_pictogram_stays(classes):
    called_for = {CLASSES[name].pictogram for name in classes} - {""}

    shown = set(pictograms_for(classes))

    assert not {"GHS06", "GHS07"} <= shown
    assert called_for - shown <= {"GHS07"}
    assert all(gives_way(code, classes) for code in called_for - shown)


@given(some_classes)
def test_danger_suppresses_warning(classes):
    words = {CLASSES[name].signal_word for name in classes} - {""}

    found = signal_word_for(classes)

    assert found == ("Danger" if "Danger" in words else "Warning" if words else "")


def test_the_gravest_hazard_is_said_first():
    assert by_gravity(["H315", "H314", "H225", "H260"]) == (
        *("H260", "H225", "H314", "H315"),
    )


def test_a_statement_that_another_makes_redundant_is_named_with_it():
    assert replaced_by("H318", ["H314", "H318"]) == "H314"
    assert replaced_by("H315", ["H260", "H314"]) == "H314"
    assert replaced_by("H314", hazard_classes.H_CODES) == ""
    assert replaced_by("H260", hazard_classes.H_CODES) == ""


def test_an_unknown_class_is_refused_with_those_that_are_spelled_alike():
    with pytest.raises(UnknownClass, match=r"Is it Water-react\. 1"):
        pictograms_for(["Water React 1"])
    with pytest.raises(UnknownClass, match="“Explosive” is not a hazard class known"):
        pictograms_for(["Explosive"])


def test_every_code_that_can_be_recorded_has_words_in_every_language():
    printable = {*hazard_classes.H_CODES, *hazard_classes.EUH_CODES}
    printable |= set(precautions.P_CODES)

    assert printable <= set(statements.codes())
    assert set(statements.codes()) - printable == set(precautions.CANNOT_BE_COMPLETED)


def test_explosive_peroxides_cannot_be_recorded():
    # EUH019 is not assigned to potassium or its alloy in Annex VI of the regulation.
    assert "EUH019" not in hazard_classes.EUH_CODES
