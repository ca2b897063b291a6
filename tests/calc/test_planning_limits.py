"""What a plan cannot serve, may not use, and never breaks. Masses worked by hand."""

from contextlib import suppress
from dataclasses import replace

import pytest

from inventory.calc.planning import (
    Aim,
    Demand,
    Idle,
    Lack,
    PlanningError,
    Why,
    check,
    plan,
)
from tests.calc.shelves import MG, G, drawn, given, vessel, whole


def test_remnants_too_small_to_draw_are_named_as_such():
    found = plan([vessel(1, 40 * MG)], [drawn(7, 2 * G)])

    assert found.missing[0].reason is Lack.REMNANTS


@pytest.mark.parametrize(
    ("facts", "asked", "reason"),
    [
        ({"material": "Cs"}, {}, Lack.NO_MATERIAL),
        ({}, {"smallest_purity": 0.9999}, Lack.NOT_PURE),
        ({}, {"media": frozenset({"vacuum"})}, Lack.OTHER_MEDIUM),
        ({"drawable_ug": 0}, {}, Lack.NOTHING_FREE),
    ],
)
def test_what_cannot_be_served_says_why(facts, asked, reason):
    found = plan([vessel(1, 5 * G, **facts)], [drawn(7, G, **asked)])

    [missing] = found.missing
    assert (missing.reason, missing.missing_ug, missing.free_ug) == (reason, G, 0)


def test_too_much_asked_gets_the_largest_part():
    shelf = [vessel(1, 3 * G), vessel(2, 200 * MG)]

    found = plan(shelf, [drawn(7, 5 * G)])

    [missing] = found.missing
    assert given(found) == {(1, 7): 3 * G, (2, 7): 200 * MG}
    assert missing.missing_ug == 1_800 * MG
    assert (missing.reason, missing.free_ug) == (Lack.NOT_ENOUGH, 3_200 * MG)


def test_every_request_counts_the_same_when_something_is_missing():
    # 4 g for requests of 4 g and 16 g: serving the small one in full leaves 1.0
    # missing, any gram given to the large one instead leaves more.
    found = plan([vessel(1, 4 * G)], [drawn(7, 16 * G), drawn(8, 4 * G)])

    assert given(found) == {(1, 8): 4 * G}
    assert [(m.demand, m.reason) for m in found.missing] == [(7, Lack.NOT_ENOUGH)]


def test_sure_counts_only_on_what_is_there_at_97_5_percent():
    # 1 g ± 0.1 g (k = 1) holds more than 1 − 1.96 · 0.1 = 0.804 g in 97.5 % of cases:
    # the 2.5 % quantile of the normal distribution, any table.
    shelf = [vessel(1, G, u_ug=100 * MG)]

    assert plan(shelf, [drawn(7, G)]).is_complete
    assert plan(shelf, [drawn(7, G)], sure=True).missing[0].missing_ug == 196 * MG
    assert plan(shelf, [whole(7, 804 * MG)], sure=True).is_complete
    assert not plan(shelf, [whole(7, 805 * MG)], sure=True).is_complete


def test_pinned_vessels_are_used_and_excluded_ones_are_not():
    shelf = [vessel(1, 5 * G), vessel(2, 9 * G, age_rank=5), vessel(3, 2 * G)]

    found = plan(shelf, [drawn(7, 2 * G)], pinned={2}, excluded={3})

    used = {take.candidate for take in found.takes}
    assert used == {2}
    assert found.takes[0].why[0] is Why.PINNED


@pytest.mark.parametrize(
    ("key", "reason"),
    [
        (1, Idle.UNKNOWN),
        (2, Idle.EXCLUDED),
        (3, Idle.NO_REQUEST),
        (4, Idle.NOT_PURE),
        (5, Idle.OTHER_MEDIUM),
        (6, Idle.NOTHING_FREE),
    ],
)
def test_a_pin_that_cannot_be_used_says_why_and_the_plan_goes_on(key, reason):
    shelf = [
        vessel(2, 5 * G),
        vessel(3, 5 * G, material="Cs"),
        vessel(4, 5 * G, purity=0.9),
        vessel(5, 5 * G, medium="kerosene"),
        vessel(6, 0),
        vessel(9, 5 * G),
    ]
    asked = drawn(7, G, smallest_purity=0.99, media=frozenset({"argon"}))

    found = plan(shelf, [asked], pinned={key}, excluded={2})

    assert [(pin.candidate, pin.reason) for pin in found.unused_pins] == [(key, reason)]
    assert given(found) == {(9, 7): G}


def test_more_pins_than_can_be_used_are_used_as_far_as_they_can():
    shelf = [vessel(key, 5 * G) for key in (1, 2, 3)]

    found = plan(shelf, [whole(7, vessels=2)], pinned={1, 2, 3})

    assert len(found.takes) == 2
    assert [pin.reason for pin in found.unused_pins] == [Idle.NOT_NEEDED]


def test_a_milligram_is_drawn_beside_a_kilogram():
    shelf = [vessel(1, 1_000 * G), vessel(2, 900), vessel(3, 400, age_rank=1)]

    fewest = plan(shelf, [drawn(7, MG), whole(8, 999 * G)], gap=0.0)
    least = plan([*shelf[1:], vessel(4, 1_000 * G)], [drawn(7, MG)], aim=Aim.LEAST)

    assert sum(given(fewest)[key] for key in given(fewest) if key[1] == 7) == MG
    assert given(fewest)[1, 8] == 1_000 * G
    assert least.opened == (2, 3)
    assert least.left_over_ug == 300


def test_the_order_of_the_question_does_not_change_the_answer():
    shelf = [vessel(key, (key * 7 % 11 + 1) * G, age_rank=key % 3) for key in range(12)]
    asked = [drawn(1, 6 * G), whole(2, 4 * G), drawn(3, 2 * G)]

    forwards = plan(shelf, asked)

    assert plan(shelf[::-1], asked[::-1]) == forwards


@pytest.mark.parametrize(
    "asked",
    [
        Demand(7, "Rb"),
        Demand(7, "Rb", mass_ug=-G),
        Demand(7, "Rb", vessels=2),
        Demand(7, "Rb", mass_ug=G, vessels=1, whole=True),
    ],
)
def test_a_request_for_nothing_in_particular_is_refused(asked):
    with pytest.raises(ValueError, match="a request is for"):
        plan([vessel(1, G)], [asked])


def test_two_vessels_of_one_key_are_refused():
    with pytest.raises(ValueError, match="a key of its own"):
        plan([vessel(1, G), vessel(1, G)], [drawn(7, G)])


def test_too_short_a_time_gives_an_honest_plan_or_none():
    shelf = [vessel(key, (key % 17 + 1) * G + key) for key in range(200)]
    asked = [whole(key, 20 * G) for key in range(10)]

    with suppress(PlanningError):
        found = plan(shelf, asked, time_limit_s=0.02)
        check(found, shelf, asked)
        assert found.is_proven or found.gap > 0


def broken(found, **changes):
    return replace(found, takes=(replace(found.takes[0], **changes),))


def test_a_plan_that_breaks_a_rule_is_caught():
    shelf = [vessel(1, 5 * G, drawable_ug=4 * G), vessel(2, 5 * G, purity=0.9)]
    asked = [drawn(7, 2 * G, smallest_purity=0.99)]
    found = plan(shelf, asked)

    check(found, shelf, asked)
    for wrong, words in (
        (broken(found, mass_ug=2 * G - 1), "gets and lacks"),
        (broken(found, mass_ug=4 * G + 1), "more than may be drawn"),
        (broken(found, candidate=2), "does not suit"),
        (broken(found, is_whole=True), "go whole"),
        (replace(found, opened=()), "opens other vessels"),
        (replace(found, left_over_ug=0), "left over"),
        (replace(found, takes=found.takes * 2), "listed twice"),
    ):
        with pytest.raises(PlanningError, match=words):
            check(wrong, shelf, asked)
    with pytest.raises(PlanningError, match="left out"):
        check(found, shelf, asked, excluded={1})
    with pytest.raises(PlanningError, match="neither used nor named"):
        check(found, shelf, asked, pinned={2})
