"""What the planner is asked: which vessels, how much of each, for which requests."""

from datetime import timedelta

import pytest
from django.utils import timezone

from inventory.calc.planning import Idle, Lack
from inventory.models import Vessel
from inventory.operations import asking, evidence, heels, inspections, purities
from tests.domain.planned import asked, chosen, given, proposed, reserve, some
from tests.domain.vouched import make_assay
from tests.factories import (
    G,
    make_batch,
    make_booking,
    make_partner,
    make_project,
    make_request,
    make_share,
    make_vessel,
    medium,
    signed,
    take,
)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shipped")]

TODAY = timezone.localdate()


@pytest.fixture
def batch(shipped):
    return make_batch(purity=0.998)


@pytest.fixture
def shared(shipped):
    """Return (project, partner) that may have 100 g of rubidium."""
    partner = make_partner()
    project = make_project(partner=partner.name)
    make_share(project, partner)
    return project, partner


def candidate(vessel, request=None):
    found = proposed(request or make_request()).candidates
    return found.get(vessel.pk)


def leaks(vessel):
    inspections.record(vessel, looked_on=TODAY, seal="leaks", **signed())


def lend(vessel):
    Vessel.objects.filter(pk=vessel.pk).update(custodian=make_partner())


@pytest.mark.parametrize("away", [take, make_booking, leaks, lend])
def test_what_is_spent_promised_leaking_or_lent_is_not_offered(batch, away):
    gone, stays = make_vessel(batch), make_vessel(batch)
    away(gone)

    assert set(proposed(make_request()).candidates) == {stays.pk}


def test_what_is_promised_and_the_heel_cannot_be_drawn(batch):
    vessel = make_vessel(batch, holding_ug=5 * G)
    make_booking(vessel, 2 * G)
    heels.note(vessel, G // 2, **signed())

    found = candidate(vessel)

    assert found.drawable_ug == 2.5 * G
    assert found.whole_ug == 0


def test_a_vessel_of_which_nothing_is_promised_can_go_whole_with_its_heel(batch):
    vessel = make_vessel(batch, holding_ug=5 * G)
    heels.note(vessel, G // 2, **signed())

    found = candidate(vessel)

    assert (found.drawable_ug, found.whole_ug) == (4.5 * G, 5 * G)


def test_a_promise_that_ended_leaves_the_metal_free(batch):
    vessel = make_vessel(batch)
    booking = make_booking(vessel)
    type(booking).objects.update(
        needed_by=TODAY - timedelta(days=2), expires_on=TODAY - timedelta(days=1)
    )

    assert candidate(vessel).whole_ug == 5 * G


def test_the_longest_open_is_to_be_used_first_then_the_oldest_batch(shipped):
    old = make_batch(made_on=TODAY - timedelta(days=90))
    closed_new, closed_old, opened = make_vessel(), make_vessel(old), make_vessel(old)
    twin = make_vessel(old)
    some(opened, G)

    found = proposed(make_request()).candidates
    ranks = {key: each.age_rank for key, each in found.items()}

    assert ranks[opened.pk] < ranks[closed_old.pk] < ranks[closed_new.pk]
    assert ranks[twin.pk] == ranks[closed_old.pk]
    assert not found[opened.pk].is_sealed
    assert found[closed_new.pk].is_sealed


def test_a_purity_that_nobody_states_counts_as_none(shipped):
    assert candidate(make_vessel()).purity == 0.0


def test_the_assay_of_a_batch_says_how_pure_its_vessels_are(batch):
    vessel = make_vessel(batch)
    make_assay(batch, purity=0.9995)

    assert candidate(vessel).purity == 0.9995


def test_many_batches_are_as_pure_as_each_is_by_itself(shipped):
    tested, claimed, silent = make_batch(), make_batch(purity=0.99), make_batch()
    make_assay(tested, purity=0.995)
    made = {"kind": "repurified", "process": "distillation"}
    of_both = make_batch(parents=[tested, claimed], **made)
    of_some = make_batch(parents=[tested, silent], **made)
    of_none = make_batch(parents=[silent], **made)
    grandchild = make_batch(parents=[of_both, of_some], **made)
    told = make_batch(parents=[silent], purity=0.9, **made)
    family = [tested, claimed, silent, of_both, of_some, of_none, grandchild, told]

    found = purities.fractions_of({batch.pk for batch in family})

    assert found == {b.pk: evidence.purity_of(b).fraction for b in family}
    assert found[grandchild.pk] == 0.99


def test_the_purity_of_a_hundred_batches_costs_as_many_questions_as_of_one(
    shipped, django_assert_num_queries
):
    many = {make_batch().pk for _ in range(20)}

    with django_assert_num_queries(3):
        purities.fractions_of(many)


def test_a_request_falls_under_the_share_of_its_partner(shared):
    project, partner = shared
    argon = medium("argon")
    make_share(project, partner, media=[argon], smallest_purity=0.99)
    loose = make_request(project, partner=partner)
    strict = make_request(project, partner=partner, smallest_purity=0.999)

    found = proposed(loose, strict).demands

    assert found[loose.pk].smallest_purity == 0.99
    assert found[strict.pk].smallest_purity == 0.999
    assert {each.media for each in found.values()} == {frozenset({"argon"})}


def test_a_plan_keeps_to_the_purity_and_the_media_of_the_share(shared):
    project, partner = shared
    make_share(project, partner, media=[medium("argon")], smallest_purity=0.99)
    good = make_vessel(make_batch(purity=0.995))
    make_vessel(make_batch(purity=0.9), holding_ug=20 * G)
    make_vessel(make_batch(purity=0.995), holding_ug=20 * G, kept_in="vacuum")

    (plan,) = proposed(make_request(project, partner=partner)).plans

    assert given(plan.takes) == {good.pk: 3 * G}


def test_metal_for_a_request_without_a_partner_is_bound_by_no_share(shared, batch):
    request = make_request()

    found = proposed(request).demands[request.pk]

    assert (found.smallest_purity, found.media) == (0.0, frozenset())


def test_what_is_booked_and_what_was_taken_is_not_looked_for_again(batch):
    request = make_request(need="3 g")
    reserve(*chosen_for(request, make_vessel(batch, holding_ug=G)))
    make_vessel(batch)

    (now,) = asked(request)

    assert proposed(request).demands[request.pk].mass_ug == 2 * G
    assert now.booked_ug == G


def chosen_for(request, *vessels):
    """Return a plan out of these vessels alone."""
    others = Vessel.objects.exclude(pk__in=[vessel.pk for vessel in vessels])
    return chosen(request, excluded=others.values_list("pk", flat=True))


def test_what_is_served_declined_or_taken_back_is_not_looked_for(batch):
    make_vessel(batch, holding_ug=20 * G)
    served, declined, gone = make_request(), make_request(), make_request()
    reserve(*chosen(served))
    asking.decline(declined, reason="too late", **signed())
    asking.take_back(gone, **signed())

    found = proposed(served, declined, gone)

    assert found.demands == {}
    assert found.plans == ()


def test_a_counted_request_gets_so_many_whole_vessels(batch):
    one, two = make_vessel(batch), make_vessel(batch)
    make_booking(make_vessel(batch), G)

    request = make_request(need=None, vessel_count=2)
    (plan,) = proposed(request).plans

    assert given(plan.takes) == {one.pk: 5 * G, two.pk: 5 * G}
    assert {each.is_whole for each in plan.takes} == {True}
    assert plan.opened == ()


def test_an_opened_vessel_goes_before_one_that_would_be_opened(batch):
    make_vessel(batch, holding_ug=3 * G)
    opened = make_vessel(batch, holding_ug=9 * G)
    some(opened, G)

    plan = proposed(make_request()).plans[0]

    assert given(plan.takes) == {opened.pk: 3 * G}
    assert plan.opened == ()


def test_a_pinned_vessel_is_used_and_one_left_out_is_not(batch):
    fits, large, other = (
        make_vessel(batch, holding_ug=mass) for mass in (3 * G, 9 * G, 4 * G)
    )
    request = make_request()

    pinned = proposed(request, pinned={large.pk}).plans
    without = proposed(request, excluded={fits.pk, large.pk}).plans

    assert all(large.pk in given(plan.takes) for plan in pinned)
    assert all(given(plan.takes) == {other.pk: 3 * G} for plan in without)


def test_a_pinned_vessel_of_which_nothing_is_free_is_named(batch):
    make_vessel(batch)
    gone = make_vessel(batch)
    make_booking(gone)

    (plan,) = proposed(make_request(), pinned={gone.pk}).plans

    assert [(p.candidate, p.reason) for p in plan.unused_pins] == [
        (gone.pk, Idle.UNKNOWN)
    ]


def test_metal_that_is_only_expected_is_left_alone_where_it_has_to_be_sure(batch):
    vessel = make_vessel(batch, holding_ug=3 * G, u_ug=G // 10)
    request = make_request()

    (expected,) = proposed(request).plans
    (sure,) = proposed(request, sure=True).plans

    assert given(expected.takes) == {vessel.pk: 3 * G}
    # One-sided 97.5 % of a normal distribution: 1.96 u less (handbook tables).
    assert given(sure.takes)[vessel.pk] == pytest.approx(3 * G - 0.196 * G, rel=1e-3)
    assert sure.missing[0].missing_ug == pytest.approx(0.196 * G, rel=1e-2)


def test_what_cannot_all_be_served_gets_the_largest_part_and_the_reason(batch):
    make_vessel(batch, holding_ug=2 * G)
    plenty = make_request(need="1 g")
    short = make_request(need="30 g")

    plan = proposed(plenty, short).plans[0]

    lacking = {each.demand: (each.missing_ug, each.reason) for each in plan.missing}
    assert sum(given(plan.takes).values()) == 2 * G
    assert lacking == {short.pk: (29 * G, Lack.NOT_ENOUGH)}


def test_without_any_vessel_of_the_metal_the_plan_says_so(shipped):
    (plan,) = proposed(make_request()).plans

    assert plan.takes == ()
    assert [each.reason for each in plan.missing] == [Lack.NO_MATERIAL]


def test_requests_for_several_metals_are_planned_at_once(batch):
    rubidium = make_vessel(batch)
    potassium = make_vessel(make_batch("K"))

    (plan,) = proposed(make_request(), make_request(symbol="K")).plans

    assert given(plan.takes) == {rubidium.pk: 3 * G, potassium.pk: 3 * G}
