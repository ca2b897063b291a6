"""What may lie in what, and what a label must say, against the regulations."""

import re

import pytest

from inventory.calc.density import density_at
from inventory.calc.filling import floats
from tests.calc.shipped import LIQUIDS, MEDIA, SYMBOLS, facts, number, rows

ALKALI = {"Li", "Na", "K", "Rb", "Cs", "NaK"}


def statements(text):
    return [part for part in text.split("; ") if part]


@pytest.mark.parametrize("symbol", SYMBOLS)
@pytest.mark.parametrize("medium", MEDIA)
def test_every_metal_has_a_rule_in_every_medium(symbol, medium):
    found = [
        row
        for row in rows("medium_rules.csv")
        if (row["material"], row["medium"]) == (symbol, medium)
    ]

    assert len(found) == 1
    assert found[0]["verdict"] in {"fine", "condition", "avoid", "never"}
    assert found[0]["reason"].endswith(".")
    assert len(found[0]["reason"]) > 20
    assert found[0]["source"]


def rule(symbol, medium):
    return next(
        row["verdict"]
        for row in rows("medium_rules.csv")
        if (row["material"], row["medium"]) == (symbol, medium)
    )


def test_the_rules_that_keep_people_safe_are_there():
    # Lithium nitride: Bailey et al., Management of time-sensitive chemicals. Argon
    # for all; caesium and rubidium never in air or oil: general practice.
    assert rule("Li", "nitrogen") == "never"
    assert all(rule(symbol, "argon") == "fine" for symbol in SYMBOLS)
    assert all(rule(symbol, "air") != "fine" for symbol in SYMBOLS)
    for symbol in ("Rb", "Cs", "NaK", "K"):
        assert rule(symbol, "air") == "never"
    for symbol in ("Rb", "Cs"):
        for liquid in LIQUIDS:
            assert rule(symbol, liquid) == "avoid"


@pytest.mark.parametrize("liquid", LIQUIDS)
@pytest.mark.parametrize("symbol", SYMBOLS)
def test_a_metal_that_floats_on_a_liquid_is_never_simply_fine(symbol, liquid):
    metal = density_at(facts(symbol), 20)
    medium = number(liquid, "density", file="media.csv", key="key")

    if floats(metal, medium):
        assert rule(symbol, liquid) != "fine"


def hazards():
    return rows("hazards.csv")


def test_every_material_has_a_classification_and_its_default_form_comes_first():
    default = {}
    for row in hazards():
        default.setdefault(row["material"], row["form"])

    assert set(default) == set(SYMBOLS)
    assert default["Mg"] == "massive"
    assert default["NaK"] == "liquid"
    assert len({(row["material"], row["form"]) for row in hazards()}) == len(hazards())


def test_water_reactive_statements_follow_the_packing_group():
    # UN Manual of Tests and Criteria 33 (from memory): H260 is packing group I, H261 with Danger is II, and
    # III is a Warning. Exception: turnings, UN 1869, class 4.1.
    for row in hazards():
        h = statements(row["h"])
        if row["transport_class"].startswith("4.3"):
            assert ("H260" in h) == (row["packing_group"] == "I"), row
            assert ("H261" in h) == (row["packing_group"] == "II"), row
        assert not {"H260", "H261"} <= set(h)


def test_statements_and_pictograms_follow_from_the_hazard_classes():
    # CLP Annex I and III: one H statement and pictogram per class.
    of_class = {
        "Water-react. 1": ("H260", "GHS02"),
        "Water-react. 2": ("H261", "GHS02"),
        "Skin Corr. 1B": ("H314", "GHS05"),
        "Flam. Sol. 1": ("H228", "GHS02"),
        "Self-heat. 1": ("H251", "GHS02"),
        "Pyr. Sol. 1": ("H250", "GHS02"),
    }
    for row in hazards():
        expected = [of_class[name] for name in statements(row["hazard_classes"])]
        assert statements(row["h"]) == [h for h, _ in expected]
        assert set(statements(row["pictograms"])) == {sign for _, sign in expected}
        assert row["signal_word"] == ("Danger" if expected else "")


def test_only_alkali_metals_carry_the_violent_water_statement():
    # CLP Annex II 1.1.1, EUH014.
    for row in hazards():
        assert (row["euh"] == "EUH014") == (row["material"] in ALKALI)


def test_a_label_carries_six_precautionary_statements_at_most():
    # CLP Article 28(3).
    for row in hazards():
        p = statements(row["p"])
        assert len(p) <= 6
        assert len(p) == len(set(p))
        assert all(re.fullmatch(r"P\d{3}(\+P\d{3})*", code) for code in p)
        assert bool(p) == bool(row["h"])
        if "H314" in row["h"]:
            assert "P305+P351+P338" in p


def test_massive_magnesium_is_not_labelled_as_powder():
    forms = {row["form"]: row for row in hazards() if row["material"] == "Mg"}

    assert forms["massive"]["h"] == ""
    assert forms["massive"]["un_number"] == ""
    assert forms["powder"]["h"] == forms["turnings"]["h"] == "H228; H251; H261"
    assert forms["pyrophoric powder"]["h"] == "H250; H260"


def test_un_numbers_have_four_digits_and_a_proper_shipping_name():
    for row in hazards():
        if row["un_number"]:
            assert re.fullmatch(r"\d{4}", row["un_number"])
            assert row["proper_shipping_name"]
            assert row["packing_group"] in {"I", "II", "III"}
        assert row["status"] in {"harmonised", "self-classified", "not classified"}
        assert row["source"]
