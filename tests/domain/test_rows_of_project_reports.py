"""Which rows a project's report has, what they say, and who is shown them."""

from datetime import date, timedelta

import pytest
from django.utils import timezone

from inventory.models import MemberRole, Membership
from inventory.operations import corrections, reporting
from inventory.operations.errors import OperationError
from inventory.operations.known import BY_RECORD, MEASURED, STATED
from tests.domain.handed import (
    empty,
    make_metal,
    report,
    take_back,
)
from tests.domain.reported import MG, give, received, stated
from tests.factories import (
    G,
    earlier,
    make_partner,
    make_project,
    signed,
    take,
)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shipped")]


@pytest.fixture
def group(shipped):
    return make_partner("Group A")


@pytest.fixture
def project(group):
    return make_project(partner=group.name)


def test_each_row_says_what_it_was_and_how_it_was_found(project, group):
    weighed, poured = make_metal(), stated()
    give(project, group, weighed, poured)
    taken = stated()
    take(taken, project=project)

    by_code = {row.vessel.code: row for row in reporting.of(project).given}

    day = f"{earlier(days=2):%-d %b %Y}"
    assert by_code[weighed.code].found == f"weighed when filled, {day}"
    assert by_code[weighed.code].source == MEASURED
    assert by_code[weighed.code].mass_ug == weighed.remaining_ug
    assert by_code[weighed.code].u_ug == round(weighed.u_ug)
    assert by_code[poured.code].found == f"as stated when filled, {day}"
    assert by_code[poured.code].source == STATED
    assert by_code[poured.code].purpose == "an experiment"
    whole = by_code[taken.code]
    assert (whole.found, whole.source) == ("the whole contents", BY_RECORD)


def test_only_what_happened_in_a_period_is_in_its_report(project, group):
    (line,) = give(project, group, stated(), handed_at=earlier(hours=30))
    report(line, 2 * G, happened_at=earlier(minutes=1))
    handed_on = timezone.localtime(line.hand_over.handed_at).date()

    before = reporting.of(project, period=reporting.Period(until=handed_on))
    after = reporting.of(
        project, period=reporting.Period(since=handed_on + timedelta(days=1))
    )

    assert (len(before.given), before.returns) == (1, [])
    assert (after.given, len(after.returns)) == ([], 1)
    assert after.totals[0].used_ug == 2 * G
    assert after.totals[0].given_ug == 0


def test_a_period_says_its_days_and_cannot_end_before_it_starts():
    day = date(2026, 3, 20)

    assert reporting.Period(day, day).words == "20 Mar 2026 – 20 Mar 2026"
    assert reporting.Period(since=day).words == "since 20 Mar 2026"
    assert reporting.Period(until=day).words == "until 20 Mar 2026"
    assert reporting.EVER.words == ""
    with pytest.raises(OperationError, match="ends before it starts") as refused:
        reporting.Period(day, day - timedelta(days=1))
    assert refused.value.field == "until"


def test_a_partner_is_shown_the_part_of_their_own_organisation(
    project, group, partner, keeper
):
    others = make_partner("Group B")
    project.partners.add(others)
    Membership.objects.create(
        project=project, user=partner, role=MemberRole.ASKS, partner=group
    )
    give(project, group, stated())
    give(project, others, stated(holding_ug=7 * G))
    take(stated(), project=project)

    own = reporting.own_partners(project, partner)
    found = reporting.of(project, partners=own)

    assert own == [group]
    assert reporting.own_partners(project, keeper) is None
    assert [row.mass_ug for row in found.given] == [5 * G]
    assert [total.partner for total in found.totals] == [group]
    assert len(reporting.of(project).totals) == 3


def test_who_belongs_to_no_organisation_is_shown_nothing(project, group, partner):
    Membership.objects.create(project=project, user=partner)
    give(project, group, stated())

    own = reporting.own_partners(project, partner)

    assert own == []
    assert reporting.of(project, partners=own).given == []


def test_a_project_that_has_begun_with_nothing_has_an_empty_report(project):
    found = reporting.of(project)

    assert (found.given, found.returns, found.totals) == ([], [], [])
    assert (found.batches, found.shares) == ([], [])


def test_metal_of_other_projects_is_not_in_the_report(project, group):
    other = make_project(partner=group.name)
    give(other, group, stated())
    take(stated(), received(G, MG), project=other)

    assert reporting.of(project).given == []
    assert len(reporting.of(other).given) == 2


def test_corrected_withdrawals_and_reports_are_left_out(project, group):
    wrong = take(stated(), received(G, MG), project=project)
    (line,) = give(project, group, stated())
    also_wrong = report(line, 2 * G)
    corrections.correct(wrong, reason="another project", **signed())
    corrections.correct(also_wrong.movement, reason="another vessel", **signed())

    found = reporting.of(project)

    assert [row.vessel.pk for row in found.given] == [line.vessel_id]
    assert found.returns == []
    assert found.totals[0].used_ug == 0


def test_a_vessel_whose_use_was_corrected_is_back_all_the_same(project, group):
    (line,) = give(project, group, stated())
    back = take_back(line, empty())
    corrections.correct(back.movement, reason="not empty", **signed())

    (row,) = reporting.of(project).returns

    assert (row.used_ug, row.back_ug) == (0, 5 * G)
