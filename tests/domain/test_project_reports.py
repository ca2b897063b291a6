"""What a project was given: every sum here is worked by hand beside the test.

That a sum of independent numbers has the root of the sum of squares for its
uncertainty, and one of fully dependent numbers their plain sum: JCGM 100:2008, 5.1.2
and 5.2.2, note 1.
"""

import pytest

from inventory.operations import ledger, reporting
from inventory.operations.given import MEASURED, REPORTED
from tests.domain.handed import (
    empty,
    make_line,
    make_metal,
    report,
    take_back,
    weighed_back,
)
from tests.domain.reported import MG, give, received, stated
from tests.domain.vouched import make_assay
from tests.factories import (
    G,
    earlier,
    make_batch,
    make_partner,
    make_project,
    take,
)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shipped")]


@pytest.fixture
def group(shipped):
    return make_partner("Group A")


@pytest.fixture
def project(group):
    return make_project(partner=group.name)


def the_total(project, **asked):
    (found,) = reporting.of(project, **asked).totals
    return found


def test_vessels_given_are_summed_and_their_uncertainties_as_squares(project, group):
    # 5 g ± 3 mg and 7 g ± 4 mg: 12 g, and √(3² + 4²) mg = 5 mg.
    give(project, group, stated(), stated(holding_ug=7 * G, u_ug=4 * MG))

    total = the_total(project)

    assert (total.partner, total.material.symbol) == (group, "Rb")
    assert (total.vessel_count, total.given_ug) == (2, 12 * G)
    assert total.u_given_ug == pytest.approx(5 * MG)
    assert (total.used_ug, total.u_used_ug, total.back_ug) == (0, 0, 0)


def test_uncertainties_of_what_came_out_of_one_vessel_are_added(project):
    # 1 g ± 3 mg and 2 g ± 4 mg out of one vessel: 3 g ± 7 mg.
    vessel = stated()
    for mass_ug, u_ug in ((G, 3 * MG), (2 * G, 4 * MG)):
        take(ledger.read(vessel.pk), received(mass_ug, u_ug), project=project)

    total = the_total(project)

    assert (total.partner, total.vessel_count) == (None, 1)
    assert (total.given_ug, total.used_ug) == (3 * G, 3 * G)
    assert total.u_given_ug == pytest.approx(7 * MG)
    assert total.u_used_ug == pytest.approx(7 * MG)


def test_a_withdrawal_against_a_booking_went_to_the_partner_it_was_booked_for(
    project, group
):
    line = make_line(stated(), 2 * G, partner=group, project=project)
    take(line.vessel, received(2 * G, MG), line=line)
    take(stated(), received(G, MG), project=project)

    found = reporting.of(project)

    assert [(total.partner, total.given_ug) for total in found.totals] == [
        (group, 2 * G),
        (None, G),
    ]
    assert [row.found for row in found.given] == ["weighed in the receiver"] * 2
    assert {row.source for row in found.given} == {MEASURED}


def test_a_partners_use_of_a_vessel_is_not_given_a_second_time(project, group):
    (line,) = give(project, group, stated())
    report(line, 2 * G, u_ug=100 * MG)

    found = reporting.of(project)
    (back,) = found.returns

    assert [row.mass_ug for row in found.given] == [5 * G]
    assert (back.used_ug, back.u_ug, back.back_ug) == (2 * G, 100 * MG, None)
    assert back.source == REPORTED
    assert (found.totals[0].used_ug, found.totals[0].back_ug) == (2 * G, 0)
    assert found.totals[0].u_used_ug == pytest.approx(100 * MG)


def test_what_came_back_empty_was_all_used_as_surely_as_it_left(project, group):
    # 5 g ± 3 mg left; 2 g ± 100 mg of it were reported before.
    (line,) = give(project, group, stated())
    report(line, 2 * G, u_ug=100 * MG)
    take_back(line, empty())

    total = the_total(project)

    assert (total.given_ug, total.used_ug, total.back_ug) == (5 * G, 5 * G, 0)
    assert total.u_used_ug == pytest.approx(3 * MG)


def test_what_was_weighed_on_its_return_adds_up_with_what_came_back(project, group):
    (line,) = give(project, group, make_metal())
    take_back(line, weighed_back(line, 2 * G))

    total = the_total(project)
    (back,) = reporting.of(project).returns

    assert total.used_ug == pytest.approx(2 * G, abs=300)
    assert total.used_ug + total.back_ug == total.given_ug == line.mass_ug
    assert total.back_ug == ledger.read(line.vessel_id).remaining_ug
    assert back.source == MEASURED
    left_ug = ledger.read(line.vessel_id).u_ug
    squares = line.u_ug**2 + left_ug**2
    assert total.u_used_ug == pytest.approx(squares**0.5)


def test_a_weighing_goes_before_what_was_reported(project, group):
    # Of 5 g, 4 g were reported; the reading finds 3 g still there: 2 g were used.
    (line,) = give(project, group, make_metal())
    report(line, 4 * G, u_ug=G)
    take_back(line, weighed_back(line, -2 * G))

    found = reporting.of(project)
    total = found.totals[0]

    first, second = found.returns
    assert (first.used_ug, first.source) == (4 * G, REPORTED)
    assert second.used_ug == pytest.approx(-2 * G, abs=300)
    assert second.words == "Came back, weighed again: less was used than reported"
    assert total.used_ug == pytest.approx(2 * G, abs=300)
    assert total.back_ug == ledger.read(line.vessel_id).remaining_ug
    assert total.used_ug + total.back_ug == total.given_ug
    assert total.u_used_ug < 10 * MG  # no longer what was only reported


def test_a_vessel_that_came_back_untouched_was_given_and_not_used(project, group):
    (line,) = give(project, group, make_metal())
    take_back(line, weighed_back(line, opened=False))

    total = the_total(project)

    assert total.used_ug == 0
    assert total.back_ug == ledger.read(line.vessel_id).remaining_ug


def test_a_vessel_given_twice_counts_each_time_and_the_report_says_so(project, group):
    (line,) = give(project, group, make_metal(), handed_at=earlier(hours=20))
    assert reporting.of(project).combined == reporting.COMBINED
    back = weighed_back(line, 2 * G, read_at=earlier(hours=10))
    take_back(line, back)
    vessel = ledger.read(line.vessel_id)
    give(project, group, vessel, handed_at=earlier(hours=5))

    found = reporting.of(project)

    assert found.totals[0].given_ug == line.mass_ug + vessel.remaining_ug
    assert found.totals[0].vessel_count == 1
    assert found.combined.endswith(reporting.AGAIN)


def test_batches_are_summed_and_say_how_pure_they_count_as(project, group):
    # 5 g ± 3 mg and 5 g ± 4 mg of one batch: 10 g ± 5 mg.
    claimed = make_batch(purity=0.995)
    tested = make_batch("Cs", purity=0.99)
    make_assay(tested, purity=0.998)
    child = make_batch(kind="repurified", process="distillation", parents=[claimed])
    unknown = make_batch("K")
    vessels = [stated(batch) for batch in (claimed, tested, child, unknown)]
    give(project, group, *vessels, stated(claimed, u_ug=4 * MG))

    found = {row.batch: row for row in reporting.of(project).batches}

    assert found[claimed].given_ug == 10 * G
    assert found[claimed].u_given_ug == pytest.approx(5 * MG)
    assert (found[claimed].fraction, found[claimed].purity_words) == (
        0.995,
        "as claimed",
    )
    assert found[tested].fraction == 0.998
    assert found[tested].purity_words.startswith("measured on ")
    assert found[child].fraction == 0.995
    assert found[child].purity_words == (
        "not re-tested: as stated for what it was made from"
    )
    assert (found[unknown].fraction, found[unknown].purity_words) == (None, "")
