"""One label for the metal and the liquid it is kept in."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.calc.hazard_classes import CLASSES, UnknownClass
from labels.rules import Profile, Transport, judge, merge
from labels.rules.transport import line
from tests.pdf.situations import ALKALI, CALCIUM, HEXANE, OIL, TODAY, profile, situation

profiles = st.lists(
    st.lists(st.sampled_from(sorted(CLASSES)), unique=True, min_size=1, max_size=5).map(
        lambda names: profile(*names)
    ),
    min_size=1,
    max_size=3,
)


def test_an_alkali_metal_alone_has_flame_and_corrosion():
    # Article 26(1), worked out for Li, Na, K, Rb, Cs and NaK.
    assert merge([ALKALI]).pictograms == ("GHS02", "GHS05")
    assert merge([ALKALI]).h == ("H260", "H314")


def test_one_flame_for_metal_and_solvent():
    found = merge([CALCIUM, HEXANE])

    assert found.pictograms == ("GHS02", "GHS07", "GHS08", "GHS09")
    assert found.signal_word == "Danger"


def test_corrosion_stands_for_skin_irritation_and_drowsiness_keeps_its_pictogram():
    found = merge([ALKALI, HEXANE])

    assert found.pictograms == ("GHS02", "GHS05", "GHS07", "GHS08", "GHS09")
    assert "H315" not in found.h
    assert "H336" in found.h
    only_irritant = profile("Skin Irrit. 2")
    assert merge([ALKALI, only_irritant]).pictograms == ("GHS02", "GHS05")


def test_metal_in_thin_oil_may_be_fatal_if_swallowed():
    found = merge([ALKALI, OIL])

    assert found.h == ("H260", "H314", "H304")
    assert found.pictograms == ("GHS02", "GHS05", "GHS08")


def test_danger_of_the_metal_suppresses_warning_of_the_liquid():
    assert merge([ALKALI, profile("Flam. Liq. 3")]).signal_word == "Danger"
    assert merge([profile("Flam. Liq. 3"), ALKALI]).signal_word == "Danger"
    assert merge([profile("Skin Irrit. 2")]).signal_word == "Warning"


def test_a_metal_that_is_not_classified_takes_the_hazards_of_its_liquid():
    assert merge([Profile(), OIL]).h == ("H304",)
    assert merge([Profile()]) == Profile()


@given(profiles)
def test_the_order_of_the_parts_does_not_matter(given_profiles):
    one, other = merge(given_profiles), merge(given_profiles[::-1])

    assert (one.h, one.p, one.pictograms) == (other.h, other.p, other.pictograms)
    assert set(one.classes) == set(other.classes)


@given(profiles)
def test_merging_again_changes_nothing(given_profiles):
    once = merge(given_profiles)

    assert merge([once]) == once


@given(profiles)
def test_a_label_prints_what_the_verdict_does_not_drop(given_profiles):
    found = merge(given_profiles)
    verdict = judge(situation(*given_profiles, label_mm=(74.0, 52.0)), TODAY)

    printed = {e.code for e in verdict.elements if e.code and e.need == "must"}
    assert printed == {*found.h, *found.p, *found.pictograms}


def test_a_class_that_is_not_known_is_refused_and_not_left_out():
    with pytest.raises(UnknownClass):
        merge([Profile(classes=("Explosive 7",))])


@pytest.mark.parametrize(
    ("entry", "printed"),
    [
        (Transport("1428", "SODIUM", "4.3", "I"), "UN 1428 SODIUM, 4.3, PG I"),
        (
            Transport("1418", "MAGNESIUM POWDER", "4.3 (4.2)", "II"),
            "UN 1418 MAGNESIUM POWDER, 4.3 (4.2), PG II",
        ),
        (Transport(), ""),
    ],
)
def test_transport_line_is_number_name_class_and_group(entry, printed):
    assert line(entry) == printed
