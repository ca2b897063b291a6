"""What a plan may give whole, and at how many vessels it looks."""

import pytest

from inventory.calc.planning import Lack
from inventory.operations import planning
from tests.domain.planned import chosen, given, proposed, reserve, some
from tests.factories import G, make_batch, make_request, make_vessel

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shipped")]


@pytest.fixture
def batch(shipped):
    return make_batch(purity=0.998)


def test_an_opened_vessel_is_no_whole_vessel_unless_the_keeper_pins_it(batch):
    opened, closed = make_vessel(batch, holding_ug=3 * G), make_vessel(batch)
    some(opened, G)
    request = make_request(need=None, vessel_count=1)

    (plan,) = proposed(request).plans
    (pinned,) = proposed(request, pinned={opened.pk}).plans

    assert proposed(request).candidates[opened.pk].whole_ug == 0
    assert given(plan.takes) == {closed.pk: 5 * G}
    assert given(pinned.takes) == {opened.pk: 2 * G}


def test_a_plan_with_an_opened_vessel_pinned_as_a_whole_one_can_be_reserved(batch):
    opened = make_vessel(batch, holding_ug=3 * G)
    some(opened, G)
    request = make_request(need=None, vessel_count=1)

    (booking,) = reserve(*chosen(request, pinned={opened.pk}))

    assert [line.vessel_id for line in booking.lines.all()] == [opened.pk]


def test_of_very_many_vessels_so_many_are_looked_at_and_it_is_said(batch, monkeypatch):
    monkeypatch.setattr(planning, "MOST_LOOKED_AT", 3)
    fits = [make_vessel(batch, holding_ug=mass * G) for mass in (2, 3, 7, 9, 5)]

    proposal = proposed(make_request(need="5 g"), pinned={fits[0].pk})

    assert proposal.left_aside == (("Rb", 3, 5),)
    assert {fits[0].pk, fits[4].pk} < set(proposal.candidates)
    assert proposal.candidates.keys() == proposal.vessels.keys()


def test_what_was_left_out_is_not_counted_as_not_looked_at(batch):
    one, two = make_vessel(batch), make_vessel(batch)

    proposal = proposed(make_request(), excluded={one.pk, two.pk})

    assert proposal.left_aside == ()
    assert proposal.plans[0].missing[0].reason is Lack.LEFT_OUT
