"""Which vessels are looked at when there are too many: by hand, and within the time."""

from inventory.calc import planning
from inventory.calc.planning import Lack, looked_at, matrix, plan, search, shortlist
from tests.calc.shelves import MG, G, drawn, vessel, whole


def many(count, **facts):
    """Return vessels of 1 g and a little more each, the first the oldest."""
    return [vessel(i, G + i * MG, age_rank=i, **facts) for i in range(count)]


def keys(candidates):
    return {each.key for each in candidates}


def test_all_are_looked_at_when_they_are_few():
    shelf = many(20)

    assert shortlist(shelf, [drawn(1, G)], most=20) == shelf
    assert looked_at(shelf, shelf) == []


def test_of_more_the_pinned_the_tightest_the_largest_and_the_oldest_are_looked_at():
    shelf = many(100)

    found = shortlist(shelf, [drawn(1, G + 50 * MG)], pinned={77}, most=10)

    # 77 is pinned; nine places are left, three for each: from 1.050 g upwards, from
    # 1.099 g downwards, from the oldest on.
    assert keys(found) == {77, 50, 51, 52, 99, 98, 97, 0, 1, 2}
    assert looked_at(shelf, found) == [("Rb", 10, 100)]


def test_open_vessels_are_looked_at_whatever_they_hold():
    shelf = [*many(100), *(vessel(i, 60 * MG, is_sealed=False) for i in (200, 201))]

    assert {200, 201} <= keys(shortlist(shelf, [drawn(1, G)], most=10))


def test_every_pinned_vessel_is_looked_at_however_many_they_are():
    pinned = set(range(30, 60))

    found = shortlist(many(100), [drawn(1, G)], pinned=pinned, most=10)

    assert keys(found) == pinned


def test_what_no_request_suits_takes_no_place_of_what_does():
    shelf = [*many(50, purity=0.9), *(vessel(i, G, age_rank=90) for i in (70, 71))]
    asked = drawn(1, G, smallest_purity=0.99)

    assert {70, 71} <= keys(shortlist(shelf, [asked], most=10))


def test_each_request_has_its_tightest_fit_among_those_looked_at():
    asked = [drawn(1, G + 20 * MG), whole(2, G + 70 * MG), whole(3, vessels=2)]

    assert {20, 70, 0} <= keys(shortlist(many(100), asked, most=10))


def test_the_choice_does_not_depend_on_the_order_in_which_vessels_come():
    shelf, asked = many(100), [drawn(1, G), whole(2, 3 * G)]

    assert shortlist(shelf, asked, most=10) == shortlist(shelf[::-1], asked, most=10)


def test_each_metal_has_its_own_places():
    caesium = [vessel(i, G, material="Cs") for i in range(200, 205)]

    found = shortlist([*many(100), *caesium], [drawn(1, G)], most=10)

    assert keys(caesium) <= keys(found)
    assert len(found) == 15


def test_when_only_what_was_left_out_could_serve_a_request_the_plan_says_so():
    shelf = [vessel(1, 5 * G), vessel(2, 5 * G, purity=0.9)]

    alone = plan(shelf[:1], [drawn(7, G)], excluded={1})
    impure = plan(shelf, [drawn(7, G, smallest_purity=0.99)], excluded={1})
    useless = plan(shelf, [drawn(7, G, smallest_purity=0.9999)], excluded={1})

    assert alone.missing[0].reason is Lack.LEFT_OUT
    assert impure.missing[0].reason is Lack.LEFT_OUT
    assert useless.missing[0].reason is Lack.NOT_PURE


def test_when_the_time_is_over_no_further_stage_and_no_further_aim_is_begun(
    monkeypatch,
):
    """HiGHS looks at its clock now and then only: each question here takes 4 s of it."""
    now, asked_at, ask = [0.0], [], matrix.Matrix.minimise

    def slow(self, costs, **limits):
        asked_at.append(now[0])
        now[0] += 4.0
        return ask(self, costs, **limits)

    monkeypatch.setattr(matrix.Matrix, "minimise", slow)
    for module in (search, planning):
        monkeypatch.setattr(module, "perf_counter", lambda: now[0])

    found = planning.alternatives(many(30), [drawn(1, 3 * G)], time_limit_s=10.0)

    assert [each.is_complete for each in found] == [True]
    assert not found[0].is_proven
    # One of the two that share out what is drawn may begin late: without it no plan.
    assert len([at for at in asked_at if at >= 10.0]) <= 2
    assert len(asked_at) <= 5
