"""How good a plan is, and why it is short, said in words."""

from dataclasses import replace

import pytest

from inventory.calc.planning import (
    Aim,
    Demand,
    Idle,
    Lack,
    Missing,
    Plan,
    PlanningError,
    Why,
)
from inventory.operations import planning
from inventory.web import plan_words
from tests.factories import G, make_request, make_vessel
from tests.web.person import opened
from tests.web.plans import at, plans

PLAN = Plan(
    takes=(),
    missing=(),
    opened=(),
    opened_ug=0,
    left_over_ug=0,
    gap=0.0,
    last_gap=0.0,
    is_proven=True,
    aim=Aim.FEWEST,
    seconds=0.42,
)
DRAWN = Demand(
    1, "Rb", mass_ug=4 * G, smallest_purity=0.999, media=frozenset({"argon"})
)
WHOLE = replace(DRAWN, whole=True)
COUNTED = Demand(1, "Rb", vessels=3, whole=True)


@pytest.mark.parametrize(
    ("gap", "is_proven", "seconds", "said"),
    [
        (0.0, True, 0.42, "Proven to be the best of its kind, in 0.4 s."),
        (0.0, True, 0.04, "Proven to be the best of its kind, in less than 0.1 s."),
        (2e-4, True, 0.42, "Solved to 0.02 % in 0.4 s."),
        (1e-7, True, 0.42, "Solved to 0.001 % in 0.4 s."),
        (
            0.031,
            False,
            10.02,
            "Stopped after 10.0 s, the limit being 10 s: it may be up to 3.1 % from "
            "the best.",
        ),
        (
            float("inf"),
            False,
            10.02,
            "Stopped after 10.0 s, the limit being 10 s: how far it is from the best "
            "is not known.",
        ),
    ],
)
def test_a_plan_says_how_near_the_best_it_is_and_how_long_that_took(
    gap, is_proven, seconds, said
):
    plan = replace(PLAN, gap=gap, is_proven=is_proven, seconds=seconds)

    assert plan_words.solved(plan) == said


def test_a_plan_that_is_only_one_of_the_best_says_so():
    words = plan_words.solved(replace(PLAN, last_gap=0.012))

    assert words == (
        "Proven to be the best of its kind in 0.4 s; chosen among equals to 1.2 %."
    )


@pytest.mark.parametrize(
    ("demand", "reason", "free", "said"),
    [
        (DRAWN, Lack.NO_MATERIAL, (0, 0), "No vessel of rubidium here has anything free."),
        (DRAWN, Lack.NOT_PURE, (0, 0), "No vessel of rubidium is known to be 99.9 % pure."),
        (
            DRAWN,
            Lack.OTHER_MEDIUM,
            (0, 0),
            "No vessel that is pure enough is kept in argon gas.",
        ),
        (DRAWN, Lack.NOTHING_FREE, (0, 0), "The vessels that suit have nothing left to draw."),
        (
            WHOLE,
            Lack.NOTHING_FREE,
            (0, 0),
            "Each vessel that suits was opened, or something of it is promised: none can "
            "go whole. An opened one goes whole only if it is pinned.",
        ),
        (
            DRAWN,
            Lack.REMNANTS,
            (G // 100, 1),
            "What is free lies in remnants below 50.0 mg, too small to draw.",
        ),
        (DRAWN, Lack.NOT_ENOUGH, (G, 1), "The one vessel that suits has 1.000 g to draw."),
        (DRAWN, Lack.NOT_ENOUGH, (G, 4), "The 4 that suit have 1.000 g to draw."),
        (WHOLE, Lack.NOT_ENOUGH, (G, 4), "The 4 that suit have 1.000 g to hand over whole."),
        (COUNTED, Lack.NOT_ENOUGH, (G, 1), "Only 1 vessel can go whole."),
        (
            DRAWN,
            Lack.SHARED,
            (G, 1),
            "There is enough for it alone, but not for the others too.",
        ),
    ],
)  # fmt: skip
def test_what_is_missing_is_explained(demand, reason, free, said):
    missing = Missing(1, G, 0, reason, *free)

    words = plan_words.lack(missing, demand, "rubidium", {"argon": "argon gas"})

    assert words == said


def test_every_reason_of_the_planner_has_words():
    assert set(plan_words.WHY) == set(Why)
    assert set(plan_words.LACK) == set(Lack)
    assert set(plan_words.IDLE) == set(Idle)
    assert set(plan_words.TITLES) == set(Aim)


@pytest.mark.django_db
def test_without_a_plan_in_the_time_given_the_page_says_so(
    as_keeper, shipped, monkeypatch
):
    def too_slow(*_, **__):
        raise PlanningError("No plan was found in 10 s.")

    monkeypatch.setattr(planning.planning, "alternatives", too_slow)
    make_vessel()

    page = opened(as_keeper, at(make_request()))

    assert "No plan was found in 10 s." in page.main.text
    assert plans(page) == []
