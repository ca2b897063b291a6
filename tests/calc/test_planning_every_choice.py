"""The planner's optimum is that of trying every choice, in a thousand small cases."""

import random

import pytest

from inventory.calc.planning import Aim
from tests.calc.small_cases import case, compare_with_every_choice

CASES, BATCHES = 255, 4


@pytest.mark.parametrize("batch", range(BATCHES))
def test_no_choice_is_better_than_the_plan(batch):
    draw = random.Random(batch)
    for turn in range(CASES):
        vessels, demands = case(draw)
        compare_with_every_choice(vessels, demands, list(Aim)[turn % 3])
