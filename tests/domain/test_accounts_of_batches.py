"""The account of a batch: what went in, what came of it, where it is, what is missing.

The sums are worked by hand beside each check. The test of what is missing (quiet within
2 σ, check to 3 σ, investigate beyond) is held in tests/calc against its source.
"""

from math import hypot, sqrt

import pytest

from inventory.operations import batches, corrections, ledger, taking
from tests.domain.closed import (
    MG,
    account,
    close,
    make_decanted,
    make_filled,
    make_weighed,
    reopen,
    stated,
    weighed_as,
)
from tests.domain.taken import weighed_out
from tests.domain.transferred import arrival, make_target, transfer
from tests.factories import G, earlier, make_check, signed, take

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shipped")]


def charge(batch, formula, role, mass_ug, **facts):
    facts = {"u_ug": 2 * MG, "purity": 1.0, "u_purity": 0.0, **facts}
    batches.charge(
        batch, formula=formula, role=role, mass_ug=mass_ug, **facts, **signed()
    )


def test_a_batch_nothing_was_done_with_has_an_empty_account():
    found = account(make_filled())

    assert (found.collected_ug, found.filled_ug, found.unaccounted_ug) == (0, 0, 0)
    assert found.yield_fraction is None
    assert found.balance is None


def test_an_open_batch_collected_what_was_filled_and_nothing_tests_it():
    found = account(make_filled(5 * G, 7 * G, u_ug=3 * MG))

    assert found.collected_ug == found.filled_ug == found.held_ug == 12 * G
    assert found.u_collected_ug == pytest.approx(hypot(3 * MG, 3 * MG))
    assert found.collected_words == "as filled"
    assert (found.unaccounted_ug, found.balance) == (0, None)


def test_what_was_bought_was_received():
    found = account(make_filled(5 * G, kind="bought"))

    assert found.collected_words == "as received"


def test_the_yield_is_what_was_collected_over_all_the_metal_in_the_sources():
    # 60 g of RbCl (120.92 g/mol; Rb 85.4678, Cl 35.45, CIAAW) hold 42.41 g of Rb, of
    # which 30 g are 70.7 %.
    batch = make_filled(20 * G)
    charge(batch, "RbCl", "source", 60 * G)

    found = account(batch)

    theoretical_g = 60 * 85.4678 / (85.4678 + 35.45)
    assert found.theoretical_ug / G == pytest.approx(theoretical_g, rel=1e-4)
    assert found.theoretical_mol == pytest.approx(60 / 120.918, rel=1e-4)
    assert found.yield_fraction == pytest.approx(20 / theoretical_g, rel=1e-4)
    assert found.u_yield == pytest.approx(
        found.yield_fraction * hypot(0.001 / 20, 0.002 / 60), rel=1e-3
    )


def test_what_limits_and_what_is_left_over_stand_beside_it():
    # 60 g RbCl is 0.4962 mol; 8 g Ca (40.078 g/mol) gives 0.3992 mol of electrons:
    # 0.8045 equivalents, so 0.3992 mol = 34.12 g of Rb at most, and 0.1996 mol of
    # CaCl2 (110.98 g/mol) = 22.15 g stay behind.
    batch = make_filled(20 * G)
    charge(batch, "RbCl", "source", 60 * G)
    charge(batch, "Ca", "reductant", 8 * G)

    found = account(batch)

    assert found.limiting == "the reductant"
    assert found.excess == pytest.approx(0.8045, rel=1e-3)
    assert found.limited_ug / G == pytest.approx(34.12, rel=1e-3)
    assert found.byproduct_ug / G == pytest.approx(22.15, rel=1e-3)
    assert found.byproduct_formula == "CaCl2"


def test_a_charge_that_is_struck_out_is_shown_and_counts_no_more():
    batch = make_filled(20 * G)
    charge(batch, "RbCl", "source", 60 * G)
    batches.withdraw_charge(batch.charges.get(), reason="typed twice", **signed())

    found = account(batch)

    assert [line.struck for line in found.charges] == [True]
    assert found.theoretical_ug == 0
    assert found.yield_fraction is None


def test_a_reductant_nothing_is_known_of_is_said_so_and_the_rest_stands():
    batch = make_filled(20 * G)
    charge(batch, "RbCl", "source", 60 * G)
    charge(batch, "C", "reductant", 8 * G)

    found = account(batch)

    assert found.excess_problem.startswith("C is no metal")
    assert (found.excess, found.byproduct_ug) == (None, None)
    assert found.theoretical_ug > 0


def test_what_is_missing_is_collected_less_filled_less_lost_with_the_doubt_of_all():
    # 12.000 g ± 10 mg weighed, 5 + 6.9 g in vessels ± 1 mg each, 50 ± 20 mg lost:
    # 50 mg missing, σ² = 10² + 1² + 1² + 20² = 502 mg², 2.23 σ.
    batch = make_filled(5 * G, 6_900 * MG)
    close(
        batch,
        weighed_as(
            12 * G, 10 * MG, lost_ug=50 * MG, u_lost_ug=20 * MG, lost_where="still"
        ),
    )

    found = account(batch)

    assert found.unaccounted_ug == pytest.approx(50 * MG)
    assert found.u_unaccounted_ug == pytest.approx(sqrt(502) * MG)
    assert found.balance.ratio == pytest.approx(50 / sqrt(502))
    assert found.balance.verdict == "check"
    assert (found.lost_ug, found.u_lost_ug) == (50 * MG, 20 * MG)
    assert (found.collected_ug, found.collected_words) == (12 * G, "weighed")
    assert found.filled_ug == found.held_ug == 11_900 * MG


def test_of_the_fillings_alone_nothing_can_be_missing():
    batch = make_filled(5 * G, 7 * G)
    close(batch, stated(lost_ug=100 * MG, u_lost_ug=50 * MG, lost_where="the still"))

    found = account(batch)

    assert found.collected_ug == 12_100 * MG
    assert found.u_collected_ug == pytest.approx(sqrt(2 + 50**2) * MG)
    assert (found.unaccounted_ug, found.balance) == (0, None)


def test_metal_that_went_through_a_receiver_counts_once():
    source = make_decanted(12 * G, 13 * G)

    found = account(source.batch)

    into = [vessel.movements_in.get().mass_ug for vessel in targets(source)]
    assert found.collected_ug == source.movements_in.get().mass_ug
    assert found.collected_words == f"weighed in {source}"
    assert found.filled_ug == pytest.approx(sum(into) + held(source), abs=1)
    assert found.filled_ug == pytest.approx(found.collected_ug, abs=2)


def test_a_receiver_that_was_not_weighed_since_tells_of_nothing_missing():
    source = make_decanted(12 * G)

    found = account(source.batch)

    assert found.unaccounted_ug == pytest.approx(0, abs=2)
    assert found.balance is None
    assert found.unchecked == [str(source)]


def test_a_receiver_weighed_before_and_after_is_tested_without_its_tares_doubt():
    # 2.1 g left by its own readings, some 2.004 g arrived: 97 mg are missing. Tare
    # and gross, before and after are each good to some 0.2 mg (the balance's s): of
    # the two fillings and the two readings of the receiver, no more than 1 mg.
    source = make_decanted(12 * G, how=lambda s, _: weighed_out(s, 2_100 * MG))
    (target,) = targets(source)

    found = account(source.batch)

    gap = 2_100 * MG - target.movements_in.get().mass_ug
    assert found.unaccounted_ug == pytest.approx(gap, abs=MG / 2)
    assert found.u_unaccounted_ug < 1 * MG
    assert found.balance.verdict == "investigate"
    assert found.unchecked == []


def test_a_tare_that_is_common_to_both_readings_of_a_receiver_cancels():
    source = make_decanted(12 * G, how=lambda s, _: weighed_out(s, 2_100 * MG))
    u_filled = source.movements_in.get().u_ug
    (target,) = targets(source)

    found = account(source.batch)

    apart = hypot(u_filled, ledger.read(source.pk).u_ug, target.movements_in.get().u_ug)
    assert 0 < found.u_unaccounted_ug < 0.95 * apart


def test_a_loss_decided_on_in_a_transfer_is_lost_and_not_missing():
    source = make_decanted(
        12 * G,
        how=lambda s, _: weighed_out(s, 2_100 * MG),
        loss_reason="wetted the funnel",
    )

    found = account(source.batch)

    assert found.lost_ug == pytest.approx(97 * MG, abs=3 * MG)
    assert found.unaccounted_ug == pytest.approx(0, abs=MG)
    assert found.balance.verdict == "quiet"


def test_what_was_taken_straight_from_a_receiver_was_filled_and_used():
    source = make_decanted(12 * G)
    take(source, weighed_out(source, 1 * G), happened_at=earlier(seconds=5))

    found = account(source.batch)

    assert found.used_ug == pytest.approx(1 * G, abs=MG)
    assert found.filled_ug == pytest.approx(found.collected_ug, abs=2 * MG)


def test_what_was_filled_is_held_used_destroyed_lost_or_found_missing():
    batch = make_weighed(5 * G, 6 * G, 7 * G, 8 * G)
    first, second, third, fourth = batch.vessels.order_by("number")
    take(first, taking.Whole())
    ledger.destroy(second, how="quenched", happened_at=earlier(), **signed())
    make_check(third, -200 * MG, cause="metal", reason="a piece went astray")
    target = make_target(batch)
    transfer(
        fourth,
        [arrival(fourth, target)],
        weighed_out(fourth, 2_100 * MG),
        loss_reason="wetted the funnel",
    )

    found = account(batch)

    whole = (
        found.held_ug
        + found.used_ug
        + found.destroyed_ug
        + found.lost_since_ug
        + found.missing_since_ug
    )
    assert whole == pytest.approx(found.filled_ug, abs=2)
    assert found.used_ug == first.movements_in.get().mass_ug
    assert found.destroyed_ug == second.movements_in.get().mass_ug
    assert found.missing_since_ug == pytest.approx(200 * MG, abs=MG)


def test_the_account_of_a_closed_batch_does_not_change_with_its_vessels_life():
    batch = make_weighed(6 * G, 7 * G)
    close(batch, weighed_as(13_100 * MG, 40 * MG))
    before = account(batch)

    source = batch.vessels.order_by("number").first()
    target = make_target(batch)
    transfer(source, [arrival(source, target)], weighed_out(source, 2_100 * MG))
    make_check(source, -200 * MG, cause="metal", reason="a piece went astray")
    take(target, taking.Whole(), happened_at=earlier(seconds=5))
    after = account(batch)

    for name in ("collected_ug", "filled_ug", "lost_ug", "unaccounted_ug"):
        assert getattr(after, name) == pytest.approx(getattr(before, name)), name
    assert after.u_unaccounted_ug == pytest.approx(before.u_unaccounted_ug)
    assert after.used_ug > 0
    assert after.missing_since_ug > 0


def test_a_corrected_filling_counts_in_nothing():
    batch = make_filled(5 * G, 7 * G)
    wrong = batch.movements_out.first()
    corrections.correct(wrong, reason="the wrong ampoule", **signed())

    found = account(batch)

    assert found.collected_ug == found.filled_ug == found.held_ug == 7 * G


def test_after_reopening_the_account_is_that_of_an_open_batch_again():
    batch = make_filled(5 * G)
    before = account(batch)
    close(batch, weighed_as(6 * G, 10 * MG))
    reopen(batch)

    assert account(batch) == before


def targets(source):
    return list(source.batch.vessels.exclude(pk=source.pk).order_by("number"))


def held(vessel):
    return ledger.read(vessel.pk).remaining_ug
