"""What of a share is used, promised and free, worked by hand.

The sums are our own definition (operations/standings.py): common practice, no source.
"""

from datetime import timedelta
from itertools import pairwise

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from inventory.operations import bookings, corrections, shares
from inventory.operations.taking import Drawn
from tests.domain.handed import (
    empty,
    hand_over,
    make_line,
    make_metal,
    pick,
    report,
    take_back,
    weighed_back,
)
from tests.factories import (
    G,
    make_batch,
    make_booking,
    make_partner,
    make_project,
    make_share,
    make_vessel,
    signed,
    take,
)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shipped")]


@pytest.fixture
def partner():
    return make_partner("Thin films")


@pytest.fixture
def project(partner):
    return make_project(partner=partner)


@pytest.fixture
def share(project, partner):
    """Return a share of 20 g of rubidium."""
    return make_share(project, partner, mass_ug=20 * G)


@pytest.fixture
def counted(project, partner):
    """Return a share of three vessels of potassium."""
    return make_share(project, partner, "K", vessel_count=3)


def handed(vessel, share):
    """Hand a vessel over to the partner of a share; return the line."""
    line = pick(make_line(vessel, partner=share.partner, project=share.project))
    return hand_over([line]).lines.get()


def mass(share):
    """Return (used, promised, free) in whole mg."""
    (now,) = [s for s in shares.standing(share.project) if s.share == share]
    return tuple(round(ug / 1000) for ug in (now.used_ug, now.promised_ug, now.free_ug))


def vessels(share):
    (now,) = [s for s in shares.standing(share.project) if s.share == share]
    return now.used_count, now.promised_count, now.free_count


def potassium():
    return make_metal(make_batch("K"))


def test_a_share_that_nobody_touched_is_all_free(share):
    assert mass(share) == (0, 0, 20_000)


def test_what_is_booked_for_the_partner_is_promised(share):
    # 20 - 5 - 2 = 13 g.
    make_line(make_vessel(), partner=share.partner, project=share.project)
    make_line(make_vessel(), 2 * G, partner=share.partner, project=share.project)

    assert mass(share) == (0, 7_000, 13_000)


def test_a_booking_for_the_project_as_a_whole_is_nobodys_share(share):
    make_booking(make_vessel(), project=share.project)

    assert mass(share) == (0, 0, 20_000)


def test_another_metal_and_another_partner_count_for_themselves(project, share):
    other = make_partner("Zeolites")
    project.partners.add(other)
    theirs = make_share(project, other, mass_ug=8 * G)
    make_line(make_vessel(), partner=other, project=project)
    make_line(make_vessel(make_batch("K")), partner=share.partner, project=project)

    assert mass(share) == (0, 0, 20_000)
    assert mass(theirs) == (0, 5_000, 3_000)


def test_the_same_partner_in_another_project_has_a_share_of_its_own(share):
    make_line(make_vessel(), partner=share.partner)

    assert mass(share) == (0, 0, 20_000)


def test_a_booking_that_was_released_or_has_expired_promises_nothing(share):
    line = make_line(make_vessel(), partner=share.partner, project=share.project)
    late = make_line(make_vessel(), 2 * G, partner=share.partner, project=share.project)
    bookings.release(line, reason="not needed", **signed())
    yesterday = timezone.localdate() - timedelta(days=1)
    booking = late.booking
    booking.needed_by = booking.expires_on = yesterday
    booking.save()

    assert mass(share) == (0, 0, 20_000)


def test_what_was_withdrawn_against_a_booking_is_used_and_its_rest_promised(share):
    # NaK would pour; a stated gram out of five is 1 g used, 4 g still promised.
    alloy = make_share(share.project, share.partner, "NaK", mass_ug=10 * G)
    vessel = make_vessel(make_batch("NaK"))
    line = make_line(vessel, partner=share.partner, project=share.project)
    movement = take(vessel, Drawn(1_000, 10, 22.0), line=line, settle=False)

    used_ug = movement.mass_ug

    assert 0.8 * G < used_ug < 0.9 * G  # A millilitre: 0.855 g/mL at 22 °C.
    assert mass(alloy) == (
        round(used_ug / 1000),
        round((5 * G - used_ug) / 1000),
        5_000,
    )


def test_a_corrected_withdrawal_was_no_use(share):
    vessel = make_vessel()
    line = make_line(vessel, partner=share.partner, project=share.project)
    movement = take(vessel, line=line)
    assert mass(share) == (5_000, 0, 15_000)

    corrections.correct(movement, reason="the wrong one", **signed())

    assert mass(share) == (0, 0, 20_000)


def test_a_withdrawal_that_names_the_project_alone_is_nobodys_share(share):
    take(make_vessel(), project=share.project)

    assert mass(share) == (0, 0, 20_000)


def test_a_vessel_that_is_out_counts_with_all_that_was_in_it(share):
    line = handed(make_metal(), share)
    given = round(line.mass_ug / 1000)

    assert mass(share) == (given, 0, 20_000 - given)

    report(line, G)  # Reported or not, it is not back.

    assert mass(share) == (given, 0, 20_000 - given)


def test_a_vessel_that_came_back_counts_with_what_was_used(share):
    line = handed(make_metal(), share)

    take_back(line, weighed_back(line, 2 * G))

    used, promised, free = mass(share)
    assert used == pytest.approx(2_000, abs=2)
    assert (promised, free) == (0, 20_000 - used)


def test_a_vessel_that_came_back_empty_was_all_used(share):
    line = handed(make_metal(), share)
    given = round(line.mass_ug / 1000)

    take_back(line, empty())

    assert mass(share) == (given, 0, 20_000 - given)


def test_what_was_reported_and_then_weighed_counts_once(share):
    line = handed(make_metal(), share)
    report(line, 2 * G)

    take_back(line, weighed_back(line))

    used, _, _ = mass(share)
    assert used == pytest.approx(2_000, abs=2)


def test_what_a_weighing_finds_beyond_the_report_was_not_used(share):
    line = handed(make_metal(), share)
    report(line, 3 * G)

    # By the record 2 g is left, but the reading finds 1 g more.
    take_back(line, weighed_back(line, -G))

    used, _, _ = mass(share)
    assert used == pytest.approx(2_000, abs=2)


def test_vessels_are_promised_then_out_then_used_and_each_counts_once(counted):
    line = pick(
        make_line(potassium(), partner=counted.partner, project=counted.project)
    )
    assert vessels(counted) == (0, 1, 2)

    over = hand_over([line]).lines.get()
    assert vessels(counted) == (1, 0, 2)

    take_back(over, weighed_back(over, G))
    assert vessels(counted) == (1, 0, 2)

    make_line(over.vessel, partner=counted.partner, project=counted.project)
    assert vessels(counted) == (1, 0, 2)


def test_a_vessel_that_came_back_untouched_is_free_again(counted):
    line = handed(potassium(), counted)

    take_back(line, weighed_back(line, 0))

    assert vessels(counted) == (0, 0, 3)


def test_more_than_the_share_leaves_nothing_free_and_says_by_how_much(share):
    make_line(
        make_vessel(holding_ug=23 * G, capacity_ul=40_000),
        partner=share.partner,
        project=share.project,
        beyond_share="the last of the batch",
    )

    (now,) = shares.standing(share.project)

    assert (now.free_ug, now.beyond) == (0, 3 * G)


def test_a_partner_is_told_of_its_own_share_alone(project, share):
    other = make_partner("Zeolites")
    project.partners.add(other)
    make_share(project, other)

    (now,) = shares.standing(project, [share.partner])

    assert now.share == share


def test_how_shares_stand_costs_the_same_for_one_as_for_five(project, partner):
    counts = []
    for symbol in ("Rb", "K", "Na", "Cs", "Li"):
        make_share(project, partner, symbol, mass_ug=50 * G)
        vessel = make_vessel(make_batch(symbol), capacity_ul=40_000)
        make_line(vessel, G, partner=partner, project=project)
        with CaptureQueriesContext(connection) as asked:
            shares.standing(project)
        counts.append(len(asked))

    assert all(one == other for one, other in pairwise(counts))
