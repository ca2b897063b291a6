"""The planner on published problems whose best answers are known.

Where weights and answers come from stands beside each. Read as metal, a subset sum is
one request and the vessels to open for it with nothing left over; a partition is two
requests, each for vessels that go whole.
"""

import pytest

from inventory.calc.planning import Aim, Candidate, Demand, plan

UNIT_UG = 10_000
"""One unit of the problems: so that no vessel is too small to draw from."""

SUBSET_SUMS = [
    # J. Burkardt, library SUBSET_SUM (Florida State University), test program
    # subset_sum_prb, sets 1, 4, 5, 6, 7, 8 and its data directory SUBSET_SUM: the
    # weights, and a target that some of them add up to exactly.
    ((15, 22, 14, 26, 32, 9, 16, 8), 53),
    ((267, 493, 869, 961, 1000, 1153, 1246, 1598, 1766, 1922), 5842),
    (
        (
            *(518533, 1037066, 2074132, 1648264, 796528, 1593056, 686112),
            *(1372224, 244448, 488896, 977792, 1955584, 1411168, 322336),
            *(644672, 1289344, 78688, 157376, 314752, 629504, 1259008),
        ),
        2463098,
    ),
    ((41, 34, 21, 20, 8, 7, 7, 4, 3, 3), 50),
    ((81, 80, 43, 40, 30, 26, 12, 11, 9), 100),
    ((1, 2, 4, 8, 16, 32), 22),
]

PARTITIONS = [
    # J. Burkardt, library PARTITION_PROBLEM, partition_problem_test_output of 12 May
    # 2012 (in the repository johannesgerer/jburkardt-m): each set falls into two of
    # equal sums, "Discrepancy = 0".
    ((19, 17, 13, 9, 6), 32),
    ((484, 114, 205, 288, 506, 503, 201, 127, 410), 1419),
    ((771, 121, 281, 854, 885, 734, 486, 1003, 83, 62), 2640),
    ((2, 10, 3, 8, 5, 7, 9, 5, 3, 2), 27),
    ((3, 4, 3, 1, 3, 2, 3, 2, 1), 11),
]


def vessels(weights, unit_ug):
    return [
        Candidate(
            key,
            drawable_ug=weight * unit_ug,
            whole_ug=weight * unit_ug,
            u_ug=0.0,
            is_sealed=True,
            age_rank=0,
            purity=1.0,
            medium="argon",
            material="Rb",
        )
        for key, weight in enumerate(weights)
    ]


@pytest.mark.parametrize(("weights", "target"), SUBSET_SUMS)
def test_a_subset_sum_leaves_nothing_over(weights, target):
    unit_ug = UNIT_UG if target < 10_000 else 1
    asked = Demand(1, "Rb", mass_ug=target * unit_ug)

    found = plan(vessels(weights, unit_ug), [asked], aim=Aim.LEAST, gap=0.0)

    opened = [weights[key] for key in found.opened]
    assert (sum(opened), found.left_over_ug, found.gap) == (target, 0, 0.0)


@pytest.mark.parametrize(("weights", "target"), SUBSET_SUMS)
def test_one_unit_more_than_a_subset_sum_takes_the_next_one_up(weights, target):
    # The next sum, by the usual table of reachable sums (any text on algorithms),
    # of the weights that are no less than the smallest draw, 5 % of the request.
    unit_ug = UNIT_UG if target < 10_000 else 1
    reachable = {0}
    for weight in [one for one in weights if 20 * one >= target + 1]:
        reachable |= {one + weight for one in reachable}
    expected = min(total for total in reachable if total > target)
    asked = Demand(1, "Rb", mass_ug=(target + 1) * unit_ug)

    found = plan(vessels(weights, unit_ug), [asked], aim=Aim.LEAST, gap=0.0)

    assert found.opened_ug == expected * unit_ug


@pytest.mark.parametrize(("weights", "half"), PARTITIONS)
def test_a_partition_serves_both_requests_with_nothing_over(weights, half):
    asked = [Demand(key, "Rb", mass_ug=half * UNIT_UG, whole=True) for key in (1, 2)]

    found = plan(vessels(weights, UNIT_UG), asked, aim=Aim.LEAST, gap=0.0)

    assert found.is_complete
    assert (found.left_over_ug, len(found.takes)) == (0, len(weights))


@pytest.mark.parametrize(("weights", "half"), PARTITIONS)
def test_one_unit_more_than_a_partition_cannot_be_served(weights, half):
    asked = [
        Demand(1, "Rb", mass_ug=half * UNIT_UG, whole=True),
        Demand(2, "Rb", mass_ug=(half + 1) * UNIT_UG, whole=True),
    ]

    found = plan(vessels(weights, UNIT_UG), asked, gap=0.0)

    [missing] = found.missing
    assert (missing.demand, missing.missing_ug) == (2, UNIT_UG)
