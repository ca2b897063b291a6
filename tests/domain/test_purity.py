"""How pure a batch counts as, and on whose word."""

from datetime import timedelta

import pytest

from inventory.operations import evidence
from inventory.operations.evidence import purity_of
from tests.domain.vouched import ASSAYED_ON, make_assay
from tests.factories import make_batch, signed

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shipped")]

DAY = f"{ASSAYED_ON:%-d %b %Y}"


def bought(symbol="Rb", **facts):
    return make_batch(symbol, kind="bought", **facts)


def repurified(*parents, **facts):
    return make_batch(parents[0].material.symbol, kind="repurified", parents=parents,
                      **facts)  # fmt: skip


def said(batch):
    found = purity_of(batch)
    return found.fraction, found.words


def test_a_batch_nobody_vouches_for_has_no_known_purity():
    assert said(make_batch()) == (None, "not known")


def test_the_claim_typed_with_the_batch_counts_where_nothing_was_measured():
    found = purity_of(make_batch(purity=0.998))

    assert (found.fraction, found.words) == (0.998, "as claimed")
    assert found.claimed
    assert found.assay is found.inherited_from is None


def test_an_assay_counts_before_the_claim():
    batch = make_batch(purity=0.999)
    assay = make_assay(batch, purity=0.9951)

    found = purity_of(batch)

    assert (found.fraction, found.words) == (0.9951, f"measured on {DAY}")
    assert found.assay == assay
    assert not found.claimed


def test_the_assay_measured_last_counts_whenever_it_was_recorded():
    batch = bought()
    newest = make_assay(batch, purity=0.991, measured_on=ASSAYED_ON)
    make_assay(batch, purity=0.999, measured_on=ASSAYED_ON - timedelta(days=30))

    assert purity_of(batch).assay == newest


def test_of_two_assays_of_one_day_the_one_recorded_last_counts():
    batch = make_batch()
    make_assay(batch, purity=0.999)
    second = make_assay(batch, purity=0.991)

    assert purity_of(batch).assay == second


def test_an_assay_of_impurities_alone_leaves_the_claim_standing():
    batch = make_batch(purity=0.998)
    make_assay(batch, purity=None, impurities={"Fe": "12 mg/kg"})

    assert purity_of(batch).claimed


def test_an_assay_that_was_struck_out_counts_no_more():
    batch = make_batch(purity=0.998)
    assay = make_assay(batch, purity=0.5)

    evidence.withdraw_assay(assay, reason="the wrong sample", **signed())

    assert said(batch) == (0.998, "as claimed")


def test_the_assay_before_counts_again_when_the_newest_is_struck_out():
    batch = make_batch()
    first = make_assay(batch, purity=0.999)
    evidence.withdraw_assay(make_assay(batch, purity=0.5), reason="x", **signed())

    assert purity_of(batch).assay == first


def test_a_child_inherits_a_claim_as_not_tested_again():
    parent = bought(purity=0.995)

    found = purity_of(repurified(parent))

    assert found.fraction == 0.995
    assert found.words == f"not re-tested: as claimed for {parent}"
    assert found.inherited_from == parent
    assert not found.claimed
    assert found.assay is None


def test_a_child_inherits_what_was_measured_as_not_tested_again():
    parent = bought(purity=0.9)
    make_assay(parent, purity=0.9951)

    child = repurified(parent)

    assert said(child) == (
        0.9951,
        f"not re-tested: as measured for {parent} on {DAY}",
    )


def test_a_claim_of_its_own_goes_before_what_is_inherited():
    child = repurified(bought(purity=0.995), purity=0.9999)

    assert said(child) == (0.9999, "as claimed")


def test_of_several_parents_the_lowest_counts_and_is_named():
    low, high = bought("Na", purity=0.99), bought("K", purity=0.999)

    alloy = make_batch("NaK", kind="combined", parents=[high, low])

    assert said(alloy) == (
        0.99,
        f"not re-tested: the lowest of its origins, as claimed for {low}",
    )
    assert purity_of(alloy).inherited_from == low


def test_a_parent_nothing_is_known_of_is_named():
    known, silent = bought("Na", purity=0.99), bought("K")

    alloy = make_batch("NaK", kind="combined", parents=[known, silent])

    assert said(alloy) == (
        0.99,
        f"not re-tested: as claimed for {known}; nothing is stated for {silent}",
    )


def test_a_purity_comes_down_through_generations():
    first = bought(purity=0.98)
    second = repurified(first)
    third = repurified(second)

    assert purity_of(third).inherited_from == first
    assert purity_of(third).fraction == 0.98


def test_for_who_may_not_look_further_no_origin_is_named():
    first, silent = bought(purity=0.98), bought()
    claimed = repurified(first)
    mixed = repurified(first, silent)
    measured = repurified(repurified(assayed := bought()))
    make_assay(assayed, certificate=None)

    def told(batch):
        found = purity_of(batch, naming=False)
        assert found.fraction == purity_of(batch).fraction
        assert found.inherited_from is None
        return found.words

    made_from = "a batch it was made from"
    assert told(claimed) == f"not re-tested: as claimed for {made_from}"
    assert told(mixed) == (
        f"not re-tested: as claimed for {made_from}; nothing is stated for another"
    )
    assert told(measured) == f"not re-tested: as measured for {made_from} on {DAY}"


def test_what_is_stated_nearer_hides_what_is_stated_farther_up():
    first = bought(purity=0.98)
    second = repurified(first, purity=0.999)

    assert purity_of(repurified(second)).inherited_from == second


def test_two_ways_up_to_one_batch_count_it_once():
    first = bought(purity=0.98)
    left, right = repurified(first), repurified(first)
    joined = make_batch("Rb", kind="combined", parents=[left, right])

    assert said(joined) == (0.98, f"not re-tested: as claimed for {first}")


def test_children_of_the_unknown_are_unknown():
    assert said(repurified(repurified(bought()))) == (None, "not known")


def test_a_loop_that_got_past_the_operations_ends_all_the_same():
    first = bought()
    second = repurified(first)
    first.parents.add(second)
    first.parents.add(first)

    assert said(first) == said(second) == (None, "not known")


def test_a_wide_family_costs_no_more_questions_than_a_narrow_one(
    django_assert_num_queries,
):
    child = repurified(bought())
    wide = make_batch("Rb", kind="combined", parents=[bought() for _ in range(12)])

    # Its own assay; its parents and their assays; the parents of those.
    for batch in (child, wide):
        with django_assert_num_queries(4):
            purity_of(batch)
