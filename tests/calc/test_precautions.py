"""Which precautionary statements go on a label, out of all that are prescribed."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.calc import precautions
from inventory.calc.hazard_classes import CLASSES, H_CODES
from inventory.calc.precautions import ANSWERS, MOST, PRESCRIBED, choose, said_by

# Regulation (EC) 1272/2008, Annex I, consolidation of 2025-09-01: Tables 2.12.2,
# 2.11.2 and 3.1.3.
ANNEX_I = {
    "Water-react. 1": (
        *("P223", "P231+P232", "P280", "P302+P335+P334", "P370+P378"),
        *("P402+P404", "P501"),
    ),
    "Water-react. 2": (
        *("P223", "P231+P232", "P280", "P302+P335+P334", "P370+P378"),
        *("P402+P404", "P501"),
    ),
    "Water-react. 3": ("P231+P232", "P280", "P370+P378", "P402+P404", "P501"),
    "Self-heat. 1": ("P235", "P280", "P407", "P413", "P420"),
    "Acute Tox. 4 (oral)": ("P264", "P270", "P301+P312", "P330", "P501"),
}
ALKALI = ("Water-react. 1", "Skin Corr. 1B")

codes = st.lists(st.sampled_from(precautions.P_CODES), unique=True, max_size=15)
hazards = st.lists(st.sampled_from(H_CODES), unique=True, max_size=6)


@pytest.mark.parametrize("name", ANNEX_I)
def test_prescribed_statements_are_those_of_the_tables_of_annex_i(name):
    assert set(PRESCRIBED[name]) == set(ANNEX_I[name])


def test_every_class_has_its_prescribed_statements():
    assert set(PRESCRIBED) == set(CLASSES)


def test_of_all_that_is_prescribed_for_an_alkali_metal_six_are_printed():
    offered = [p for name in ALKALI for p in PRESCRIBED[name]]

    chosen = choose(offered, ["H260", "H314"])

    assert chosen == (
        *("P223", "P231+P232", "P280", "P302+P335+P334", "P305+P351+P338"),
        "P370+P378",
    )


@given(codes, hazards)
def test_more_than_six_only_so_that_a_grave_hazard_has_an_answer(offered, h):
    chosen = choose(offered, h)

    grave = [code for code in h if code in ANSWERS]
    answered = [code for code in grave if set(ANSWERS[code]) & set(chosen)]
    possible = [
        code
        for code in grave
        if {p for p in ANSWERS[code] if p in offered and not said_by(p, offered)}
    ]
    assert len(chosen) <= MOST + len(grave)
    assert set(possible) <= set(answered)
    assert set(chosen) <= set(offered)


@given(codes, hazards)
def test_what_another_statement_says_already_is_not_printed(offered, h):
    chosen = choose(offered, h)

    assert not [code for code in chosen if said_by(code, offered)]


@given(codes)
def test_nobody_is_told_to_rinse_before_brushing_off(offered):
    # Rinsing skin with metal on it makes it burn: Table 2.12.2 says brush off first.
    chosen = choose([*offered, "P302+P335+P334"], ["H260"])

    assert not {"P303+P361+P353", "P302+P352"} & set(chosen)


@given(codes)
def test_keeping_water_away_and_what_puts_it_out_are_never_crowded_out(offered):
    chosen = choose([*offered, "P223", "P370+P378"], ["H260", "H314"])

    assert {"P223", "P370+P378"} <= set(chosen)


def test_statements_stand_in_the_order_of_their_codes():
    chosen = choose(["P501", "P402+P404", "P223", "P210"], [])

    assert chosen == ("P210", "P223", "P402+P404", "P501")
