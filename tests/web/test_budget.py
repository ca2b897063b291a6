"""A budget adds up as the GUM says, and is drawn as long as it is."""

import re

import pytest
from django.template import Context, Template

from inventory.calc.weighing import BudgetLine
from inventory.web import budget

END_GAUGE = [
    # JCGM 100:2008, Annex H.1, table H.1: nm there, µg here; the sum does not mind.
    BudgetLine("calibration of the standard", 25.0, 625 / 1002),
    BudgetLine("temperature of the gauges", 16.6, 276 / 1002),
    BudgetLine("measured difference", 9.7, 94 / 1002),
    BudgetLine("difference in expansion", 2.9, 8 / 1002),
]


def test_the_parts_of_a_budget_add_as_squares():
    # u_c = 32 nm. Source: JCGM 100:2008, H.1.4.
    assert budget.drawn(END_GAUGE).combined_ug == pytest.approx(32, abs=0.5)


def test_a_budget_has_one_unit_and_says_what_is_below_its_last_digit():
    drawn = budget.drawn(
        [
            BudgetLine("syringe", 120_400, 0.99999),
            BudgetLine("density", 8_600, 0.005),
            BudgetLine("readability", 41, 0.0000001),
        ]
    )

    assert [row.u for row in drawn.rows] == ["120 mg", "9 mg", "< 1 mg"]
    assert [row.share for row in drawn.rows] == ["100.0 %", "0.5 %", "< 0.1 %"]
    assert drawn.combined == "121 mg"


@pytest.mark.parametrize(
    ("u_ug", "shown"),
    [(3.2, "3.20 µg"), (41, "0.0410 mg"), (4_123, "4.12 mg"), (2.5e6, "2.50 g")],
)
def test_the_unit_of_a_budget_suits_its_size(u_ug, shown):
    assert budget.drawn([BudgetLine("readability", u_ug, 1.0)]).combined == shown


def test_the_bars_of_a_budget_are_as_long_as_its_shares():
    page = Template("{% budget lines %}").render(Context({"lines": END_GAUGE}))

    bars = re.findall(r'class="budget-part" width="([\d.]+)%"', page)
    assert [float(width) for width in bars] == [62.38, 27.54, 9.38, 0.8]
    assert "Calibration of the standard" in page
    assert " style=" not in page


def test_a_budget_without_sources_says_so():
    page = Template("{% budget lines %}").render(Context({"lines": []}))

    assert "No source of uncertainty is on record." in page
