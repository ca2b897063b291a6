"""What a label must say under 29 CFR 1910.1200, and on the laboratory's own vessels."""

import pytest
from hypothesis import given

from labels.rules import judge
from tests.pdf.situations import ALKALI, CALCIUM, FULL_MM, TODAY, situation, situations


def verdict(*profiles, **facts):
    return judge(situation(*profiles, **{"mode": "osha", **facts}), TODAY)


def musts(found):
    return {e.name for e in found.elements if e.need == "must"}


def test_a_shipped_container_carries_the_six_elements():
    # 29 CFR 1910.1200(f)(1): identifier, signal word, hazard statements, pictograms,
    # precautionary statements, responsible party.
    found = verdict(CALCIUM, label_mm=FULL_MM)

    assert {"product", "signal_word", "H261", "GHS02", "P223", "supplier"} <= (
        musts(found)
    )


@pytest.mark.parametrize(
    ("capacity_ml", "short"), [(3.1, True), (100, True), (100.1, False)]
)
def test_a_short_label_is_for_at_most_100_ml_in_a_fully_labelled_package(
    capacity_ml, short
):
    # 29 CFR 1910.1200(f)(12)(ii): identifier, pictograms, signal word, name and
    # telephone, and the statement about the outer package.
    found = verdict(ALKALI, capacity_ml=capacity_ml, outer_full=True)

    least = {"product", "GHS02", "GHS05", "signal_word", "supplier", "outer_statement"}
    assert ("outer_statement" in musts(found)) == short
    assert (found.of("H314").need == "should") == short
    if short:
        assert musts(found) == least | {"languages", "frame"}


def test_there_is_no_short_label_without_the_full_one_outside():
    found = verdict(ALKALI, capacity_ml=50)

    assert found.of("H260").need == "must"
    assert "outer package" in " ".join(found.notes)


def test_three_millilitres_need_the_identifier_and_keep_what_matters():
    # 29 CFR 1910.1200(f)(12)(iii).
    found = verdict(ALKALI, capacity_ml=3, outer_full=True)

    assert musts(found) & set(found.least) == {"product"}
    assert {"GHS05", "signal_word", "H314", "H260"} <= set(found.least)


@given(situations(mode="osha"))
def test_no_supplemental_statement_is_printed(asked):
    found = judge(asked, TODAY)

    assert {e.need for e in found.elements if e.key == "euh"} <= {"dropped"}


def test_english_is_needed():
    assert "English" in verdict(ALKALI).of("languages").reason


def test_an_empty_red_frame_is_not_allowed():
    assert "empty frame" in verdict(ALKALI).of("frame").reason


def test_the_days_of_the_changes_of_2024_are_said():
    assert "20 November 2026" in " ".join(verdict(ALKALI).notes)


def test_a_vessel_at_the_own_workplace_has_its_name_and_pictograms():
    # 29 CFR 1910.1200(f)(6); Directive 92/58/EEC as amended by 2014/27/EU.
    found = verdict(ALKALI, mode="workplace")

    assert musts(found) == {"product", "GHS02", "GHS05"}
    assert found.of("H314").need == "should"
    assert found.of("supplier").need == "may"
    assert found.of("P223").need == "may"
    assert "needs the full label" in " ".join(found.notes)
