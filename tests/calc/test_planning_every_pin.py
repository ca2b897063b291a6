"""With pinned vessels too no choice is better, in a thousand small cases more."""

import random

import pytest

from inventory.calc.planning import Aim
from tests.calc.small_cases import case, compare_with_every_choice

CASES, BATCHES = 255, 4


@pytest.mark.parametrize("batch", range(BATCHES))
def test_no_choice_that_uses_the_pins_is_better_than_the_plan(batch):
    draw = random.Random(100 + batch)
    for turn in range(CASES):
        vessels, demands = case(draw)
        pinned = frozenset(draw.choice(((0,), (1,), (1, 2), (0, 1, 2))))
        compare_with_every_choice(vessels, demands, list(Aim)[turn % 3], pinned)
