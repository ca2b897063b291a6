"""What a label must say under CLP, by capacity, label size, languages and mode."""

from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given

from labels.rules import judge
from labels.rules.clauses import CLAUSES, FORMAT_APPLIES
from tests.pdf.situations import (
    ALKALI,
    CALCIUM,
    FULL_MM,
    HEXANE,
    OIL,
    PYROPHORIC,
    TODAY,
    TURNINGS,
    situation,
    situations,
)


def needs(asked, on_day=TODAY):
    """Return {name of element: need}."""
    return {found.name: found.need for found in judge(asked, on_day).elements}


def sure(asked):
    """Return the names of what has to stay on the vessel, whatever our own choice."""
    verdict = judge(asked, TODAY)
    return {
        found.name
        for found in verdict.elements
        if found.name in verdict.least and found.need == "must"
    }


def test_a_label_large_enough_carries_everything():
    verdict = judge(situation(ALKALI, label_mm=FULL_MM), TODAY)

    assert {verdict.of(name).need for name in ("product", "supplier")} == {"must"}
    for name in ("GHS02", "GHS05", "signal_word", "H260", "H314", "EUH014", "P223"):
        assert verdict.of(name).need == "must"
        assert name in verdict.least


# Annex I 1.5.2.1 at 125 mL or less: the table worked out beside the list of classes.
# What must stay on the vessel itself; what may go is kept, but only by our choice.
@pytest.mark.parametrize(
    ("profile", "stays", "may_go"),
    [
        (
            ALKALI,
            {"GHS02", "GHS05", "signal_word", "H314", "EUH014"},
            {"H260"},
        ),
        (CALCIUM, {"GHS02", "signal_word"}, {"H261"}),
        (TURNINGS, {"GHS02", "signal_word", "H251"}, {"H228", "H261"}),
        (PYROPHORIC, {"GHS02", "signal_word", "H250"}, {"H260"}),
    ],
)
def test_least_that_stays_at_125_ml_is_the_table_of_annex_i(profile, stays, may_go):
    verdict = judge(situation(profile, capacity_ml=125), TODAY)

    assert sure(situation(profile, capacity_ml=125)) == {"product", "supplier", *stays}
    for name in may_go:
        assert verdict.of(name).need in ("should", "may")
        assert "125 mL" in verdict.of(name).reason


def test_precautions_of_a_class_that_is_not_on_the_list_have_to_be_printed_at_125_ml():
    found = needs(situation(ALKALI, capacity_ml=125))

    assert found["P305+P351+P338"] == "must"  # of Skin Corr. 1B
    assert found["P280"] == "must"  # of both
    assert found["P302+P335+P334"] == "may"  # of Water-react. 1 alone
    assert found["P223"] == "should"  # the same, kept by our choice


@pytest.mark.parametrize(("capacity_ml", "need"), [(125, "should"), (125.1, "must")])
def test_the_relief_ends_above_125_ml(capacity_ml, need):
    assert needs(situation(ALKALI, capacity_ml=capacity_ml))["H260"] == need


def test_what_burns_in_water_is_kept_by_our_choice_where_the_law_would_let_it_go():
    verdict = judge(situation(ALKALI, capacity_ml=20), TODAY)

    assert verdict.of("H260").need == "should"
    assert "our choice" in verdict.of("H260").reason
    assert "H260" in verdict.least


@given(situations())
def test_h314_is_never_dropped_for_size(asked):
    verdict = judge(asked, TODAY)

    if "H314" in asked.h:
        assert verdict.of("H314").need in ("must", "should")
        assert "H314" in verdict.least


@given(situations())
def test_every_part_and_every_code_gets_one_verdict_with_a_clause_and_a_reason(asked):
    verdict = judge(asked, TODAY)

    names = [found.name for found in verdict.elements]
    assert len(names) == len(set(names))
    codes = {*asked.h, *asked.euh, *asked.p, *asked.pictograms}
    assert codes == {found.code for found in verdict.elements} - {""}
    for found in verdict.elements:
        assert found.clause
        assert found.reason.endswith(".")
        assert found.what


@given(situations())
def test_pictograms_are_dropped_by_precedence_alone(asked):
    verdict = judge(asked, TODAY)

    dropped = {
        e.code for e in verdict.elements if e.key == "pictogram" and e.need == "dropped"
    }
    assert dropped <= {"GHS07"}


@given(situations(mode="eu", capacity_ml=4_000))
def test_nothing_is_spared_on_a_large_package(asked):
    found = judge(asked, TODAY)

    assert not [e for e in found.elements if e.key in ("h", "euh") and e.need == "may"]


@pytest.mark.parametrize(("mode", "need"), [("eu", "must"), ("gb", "must")])
def test_reacts_violently_with_water_is_said_in_the_eu_and_great_britain(mode, need):
    assert needs(situation(ALKALI, mode=mode))["EUH014"] == need


@pytest.mark.parametrize("mode", ["osha", "workplace"])
def test_supplemental_statements_are_not_printed_elsewhere(mode):
    assert needs(situation(ALKALI, mode=mode))["EUH014"] == "dropped"


RESEARCH = {"research": True, "outer_full": True}


def test_ten_millilitres_for_research_need_the_name_and_the_corrosion_pictogram():
    # Annex I 1.5.2.4 (from memory): identifier, and GHS01, GHS05, GHS06, GHS08.
    asked = situation(ALKALI, capacity_ml=10, **RESEARCH)

    assert sure(asked) == {"product", "GHS05"}
    assert {"GHS02", "H314", "H260", "signal_word"} <= set(judge(asked, TODAY).least)


@pytest.mark.parametrize(
    "facts",
    [
        {"capacity_ml": 10.1, **RESEARCH},
        {"capacity_ml": 10, "research": True},
        {"capacity_ml": 10, "outer_full": True},
    ],
)
def test_the_relief_for_research_needs_ten_millilitres_and_a_full_outer_label(facts):
    assert "signal_word" in sure(situation(ALKALI, **facts))


def test_redundant_statements_of_metal_and_solvent_are_dropped_with_the_reason():
    verdict = judge(situation(ALKALI, HEXANE, label_mm=FULL_MM), TODAY)

    assert verdict.of("H315").need == "dropped"
    assert verdict.of("H315").reason.startswith("H314 ")
    assert "Art. 27" in verdict.of("H315").clause
    assert verdict.of("P303+P361+P353").need == "dropped"
    assert verdict.of("P501").need == "may"
    assert "28(3)" in verdict.of("P501").clause


def test_a_liquid_that_adds_hazards_is_named():
    verdict = judge(situation(ALKALI, OIL, medium="light mineral oil"), TODAY)

    assert verdict.of("medium").need == "must"
    assert "medium" in verdict.least


# Table 1.3: at least 74 × 52 mm, if possible, up to 3 L; 105 × 74 mm up to 50 L; 148 ×
# 105 mm up to 500 L; 210 × 148 mm above.
@pytest.mark.parametrize(
    ("capacity_ml", "wanted", "need"),
    [
        (3_000, "74 × 52 mm", "should"),
        (3_001, "105 × 74 mm", "must"),
        (50_000, "105 × 74 mm", "must"),
        (50_001, "148 × 105 mm", "must"),
        (500_001, "210 × 148 mm", "must"),
    ],
)
def test_the_size_of_the_label_goes_by_the_capacity(capacity_ml, wanted, need):
    found = judge(situation(CALCIUM, capacity_ml=capacity_ml), TODAY).of("label_size")

    assert (found.need, wanted in found.reason) == (need, True)
    assert "63 × 38 mm: smaller" in found.reason


def test_a_label_may_stand_upright():
    asked = situation(CALCIUM, label_mm=(52.0, 74.0))

    assert judge(asked, TODAY).of("label_size").reason.endswith("enough.")
    assert judge(asked, TODAY).of("H261").need == "must"


# Regulation (EU) 2024/2865: x-heights by capacity, binding from 2028-01-01 by
# Regulation (EU) 2025/2439; as trade notices have it.
@pytest.mark.parametrize(
    ("capacity_ml", "height"),
    [(500, "1.2"), (501, "1.4"), (3_000, "1.4"), (3_001, "1.8"), (50_001, "2")],
)
def test_the_size_of_the_letters_goes_by_the_capacity(capacity_ml, height):
    found = judge(situation(CALCIUM, capacity_ml=capacity_ml), TODAY).of("letters")

    assert f"at least {height} mm" in found.reason


@pytest.mark.parametrize(
    ("mode", "on_day", "need", "since"),
    [
        ("eu", date(2027, 12, 31), "should", FORMAT_APPLIES),
        ("eu", date(2028, 1, 1), "must", FORMAT_APPLIES),
        ("gb", date(2028, 1, 1), "should", None),
    ],
)
def test_format_rules_bind_from_their_day_in_the_eu_and_never_in_great_britain(
    mode, on_day, need, since
):
    verdict = judge(situation(CALCIUM, mode=mode), on_day)

    assert date(2028, 1, 1) == FORMAT_APPLIES
    for key in ("letters", "line_spacing", "typeface", "colours"):
        assert (verdict.of(key).need, verdict.of(key).since) == (need, since)


def test_what_is_only_proposed_is_said_to_be_so():
    notes = " ".join(judge(situation(CALCIUM), TODAY).notes)

    assert "provisional agreement" in notes
    assert "2030" in notes
    assert "Official Journal" in notes
    assert "2030" not in " ".join(judge(situation(CALCIUM, mode="gb"), TODAY).notes)


def test_clauses_that_rest_on_memory_say_so():
    for clause in CLAUSES.values():
        assert ("from memory" in clause.words) == (clause.seen == "from memory")

    found = judge(situation(ALKALI, capacity_ml=10, **RESEARCH), TODAY).of("GHS05")
    assert "1.5.2.4 (from memory; check the official text)" in found.clause


def test_great_britain_goes_by_its_retained_text_since_2021():
    found = judge(situation(ALKALI, mode="gb"), TODAY).of("product")

    assert found.clause.startswith("GB CLP Art. 17")
    assert found.since == date(2021, 1, 1)


@given(situations(mode="eu"))
def test_a_smaller_label_never_asks_for_more(asked):
    large = judge(replace(asked, label_mm=(210.0, 148.0)), TODAY)
    small = judge(replace(asked, label_mm=(20.0, 10.0)), TODAY)

    assert set(small.least) <= set(large.least)
