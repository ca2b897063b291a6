"""What contradicts itself in a classification is said in a sentence at its field."""

from dataclasses import replace

import pytest

from inventory.calc.hazard_checks import Problem, problems
from inventory.calc.hazards import Profile, Transport, split_codes
from inventory.operations.catalogue import rows

ALKALI = Profile(
    classes=("Water-react. 1", "Skin Corr. 1B"),
    h=("H260", "H314"),
    euh=("EUH014",),
    p=("P223", "P231+P232"),
    pictograms=("GHS02", "GHS05"),
    signal_word="Danger",
)
EARTH = Profile(
    classes=("Water-react. 2",),
    h=("H261",),
    pictograms=("GHS02",),
    signal_word="Danger",
)
SODIUM = Transport("1428", "SODIUM", "4.3", "I")
CALCIUM = Transport("1401", "CALCIUM", "4.3", "II")


def said(profile, transport=SODIUM):
    return [(found.field, found.sentence) for found in problems(profile, transport)]


def test_what_fits_together_passes():
    assert said(ALKALI) == []
    assert said(EARTH, CALCIUM) == []
    assert said(Profile(), Transport()) == []


@pytest.mark.parametrize(
    ("changes", "field", "sentence"),
    [
        ({"pictograms": ("GHS02",)}, "pictograms", "H314 calls for GHS05."),
        ({"pictograms": ("GHS05",)}, "pictograms", "H260 calls for GHS02."),
        (
            {"pictograms": ("GHS02", "GHS05", "GHS06")},
            "pictograms",
            "GHS06 is one too many: none of the classes calls for it.",
        ),
        (
            {"signal_word": "Warning"},
            "signal_word",
            "The gravest of these classes calls for “Danger”.",
        ),
        (
            {"signal_word": ""},
            "signal_word",
            "The gravest of these classes calls for “Danger”.",
        ),
        ({"h": ("H314",)}, "h", "Water-react. 1 calls for H260."),
        (
            {"h": ("H260", "H314", "H302")},
            "hazard_classes",
            "H302 belongs to Acute Tox. 4 (oral), which is not among the classes.",
        ),
        (
            {"p": ("P302+P335+P334", "P303+P361+P353")},
            "p",
            "P303+P361+P353 beside P302+P335+P334: print the second alone.",
        ),
    ],
)
def test_a_contradiction_is_said_at_its_field(changes, field, sentence):
    assert said(replace(ALKALI, **changes)) == [(field, sentence)]


@pytest.mark.parametrize(
    ("changes", "field", "sentence"),
    [
        ({"h": ("H999",)}, "h", "H999 cannot be printed here."),
        ({"euh": ("EUH019",)}, "euh", "EUH019 cannot be printed here."),
        ({"p": ("P999",)}, "p", "P999 cannot be printed here."),
        ({"pictograms": ("GHS10",)}, "pictograms", "GHS10 cannot be printed here."),
        (
            {"p": ("P321",)},
            "p",
            "P321 cannot be printed here: it points to a treatment elsewhere on the "
            "label, and there is none.",
        ),
        (
            {"classes": ("Water-react 1",)},
            "hazard_classes",
            "“Water-react 1” is not a hazard class known here. Is it Water-react. 1?",
        ),
    ],
)
def test_an_unknown_code_is_refused_before_anything_else(changes, field, sentence):
    assert said(replace(ALKALI, **changes)) == [(field, sentence)]


def test_h318_may_stand_beside_h314_or_be_left_out():
    both = replace(ALKALI, classes=(*ALKALI.classes, "Eye Dam. 1"))

    assert said(both) == []
    assert said(replace(both, h=("H260", "H314", "H318"))) == []


@pytest.mark.parametrize("code", ["H251", "H252"])
def test_magnesium_turnings_may_carry_the_code_that_annex_vi_prints_by_mistake(code):
    # Entry 012-002-00-9 has class Self-heat. 1 beside H252; by Table 2.11.2 it is H251.
    turnings = Profile(
        classes=("Flam. Sol. 1", "Self-heat. 1", "Water-react. 2"),
        h=("H228", code, "H261"),
        pictograms=("GHS02",),
        signal_word="Danger",
    )

    assert said(turnings, Transport("1869", "MAGNESIUM", "4.1", "III")) == []


@pytest.mark.parametrize(
    ("transport", "field", "sentence"),
    [
        # The criteria of Water-react. 1, 2, 3 are those of packing groups I, II, III.
        (
            replace(SODIUM, packing_group="II", un_number="3208", name="METALLIC "
            "SUBSTANCE, WATER-REACTIVE, N.O.S. (sodium)"),
            "packing_group",
            "Water-react. 1 in class 4.3 is of packing group I.",
        ),
        (replace(SODIUM, packing_group="II"), "packing_group",
         "UN 1428 is of packing group I."),
        (replace(SODIUM, name="POTASSIUM"), "proper_shipping_name",
         "UN 1428 is SODIUM."),
        (replace(SODIUM, hazard_class="4.1"), "transport_class",
         "UN 1428 is of class 4.3."),
        (Transport("UN1428", "SODIUM", "4.3", "I"), "un_number",
         "A UN number has four digits, as in 1428."),
        (Transport("1428", "", "4.3", "I"), "proper_shipping_name",
         "The transport entry needs this too."),
        (Transport("9999", "SOMETHING", "8", "I"), "transport_class",
         "Water-react. 1 goes in class 4.3."),
    ],
)  # fmt: skip
def test_a_transport_entry_that_does_not_fit_is_refused(transport, field, sentence):
    assert Problem(field, sentence) in problems(ALKALI, transport)


@pytest.mark.parametrize(
    ("name", "signal_word", "group"),
    [
        ("Water-react. 1", "Danger", "I"),
        ("Water-react. 2", "Danger", "II"),
        ("Water-react. 3", "Warning", "III"),
    ],
)
def test_h260_is_packing_group_i_and_h261_follows_its_signal_word(
    name, signal_word, group
):
    h = "H260" if name.endswith("1") else "H261"
    profile = Profile((name,), (h,), (), (), ("GHS02",), signal_word)
    long_name = "METALLIC SUBSTANCE, WATER-REACTIVE, N.O.S. (strontium)"

    fits = {
        entry
        for entry in ("I", "II", "III")
        if not said(profile, Transport("3208", long_name, "4.3", entry))
    }

    assert fits == {group}


def test_class_4_3_without_a_water_reactive_class_is_refused():
    corrosive = Profile(("Skin Corr. 1B",), ("H314",), (), (), ("GHS05",), "Danger")

    (found,) = said(corrosive)

    assert found[0] == "hazard_classes"
    assert "Water-react. is not among the classes" in found[1]


@pytest.mark.parametrize("file_name", ["hazards.csv", "medium_hazards.csv"])
def test_every_shipped_classification_fits_together(file_name):
    wrong = {}
    for row in rows(file_name):
        names = ("hazard_classes", "h", "euh", "p", "pictograms")
        profile = Profile(
            *(split_codes(row[name]) for name in names), row["signal_word"]
        )
        entry = Transport(
            row["un_number"],
            row["proper_shipping_name"],
            row["transport_class"],
            row["packing_group"],
        )
        if found := problems(profile, entry):
            wrong[row.get("material") or row["medium"], row.get("form")] = found

    assert wrong == {}


@pytest.mark.parametrize(
    ("text", "codes"),
    [
        ("P223; P231 + P232", ("P223", "P231+P232")),
        ("H260\nH314\n", ("H260", "H314")),
        (" Water-react.  1 ;Skin Corr. 1B;;", ("Water-react. 1", "Skin Corr. 1B")),
        ("H260; H260", ("H260",)),
        ("", ()),
    ],
)
def test_codes_are_read_however_they_are_parted(text, codes):
    assert split_codes(text) == codes
