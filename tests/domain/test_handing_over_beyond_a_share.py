"""A hand-over keeps to the share of who takes it, also where no booking named them."""

import pytest

from inventory.models import LogEntry, User
from inventory.operations import standings
from inventory.operations.errors import OperationError
from tests.domain.handed import hand_over, make_line, make_metal, pick
from tests.domain.records import refused
from tests.factories import G, make_booking, make_partner, make_project, make_share

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shipped")]


@pytest.fixture
def partner():
    return make_partner("Group A")


@pytest.fixture
def project(partner):
    return make_project(partner=partner, title="Films")


@pytest.fixture
def line(project):
    """Return the ticked line of some 5 g, booked for the project as a whole."""
    return pick(make_booking(make_metal(), project=project).lines.get())


def said(line, share):
    """Return what is against handing the line's vessel over, by hand."""
    shown = f"{line.mass_ug / G:.3f} g"
    return (
        f"Group A has {share} free of its share, {share} of rubidium: 0 g used, 0 g "
        f"promised. This would hand over {shown}."
    )


def test_what_no_booking_put_to_a_share_is_not_handed_over_beyond_it(
    project, partner, line
):
    make_share(project, partner, mass_ug=G)

    with refused(
        said(line, "1.000 g") + " To hand it over all the same, say why.",
        "beyond_share",
    ):
        hand_over([line], partner=partner, project=project)


def test_only_the_keeper_hands_over_beyond_a_share(project, partner, line):
    make_share(project, partner, mass_ug=G)
    operator = User.objects.create_user("operator", role="operator")

    with refused(said(line, "1.000 g") + " Have the keeper hand it over.", "partner"):
        hand_over(
            [line], partner=partner, project=project, by=operator, beyond_share="so"
        )


def test_the_reason_to_hand_over_beyond_a_share_stays(project, partner, line):
    make_share(project, partner, mass_ug=G)

    made = hand_over([line], partner=partner, project=project, beyond_share="as agreed")

    (now,) = standings.standing(project)
    assert now.used_ug == line.mass_ug
    assert now.beyond == line.mass_ug - G
    line.booking.refresh_from_db()
    assert line.booking.beyond_share == "as agreed"
    assert made.entry.summary.endswith(", beyond the share: as agreed")


def test_within_the_share_no_reason_is_asked_for_or_kept(project, partner, line):
    make_share(project, partner, mass_ug=6 * G)

    hand_over([line], partner=partner, project=project, beyond_share="not needed")

    line.booking.refresh_from_db()
    assert line.booking.beyond_share == ""
    assert not LogEntry.objects.filter(summary__contains="beyond").exists()


def test_what_is_promised_to_the_partner_leaves_so_much_less_for_the_rest(
    project, partner, line
):
    make_share(project, partner, mass_ug=9 * G)
    theirs = pick(make_line(make_metal(), partner=partner, project=project))

    # Some 5 g are promised: of the 9 g, 4 g are left for another 5 g.
    with pytest.raises(OperationError, match="This would hand over") as refusal:
        hand_over([theirs, line], partner=partner, project=project)
    assert refusal.value.field == "beyond_share"


def test_what_was_promised_to_the_partner_itself_is_handed_over_as_promised(
    project, partner
):
    make_share(project, partner, mass_ug=G)
    theirs = make_line(
        make_metal(), partner=partner, project=project, beyond_share="by letter"
    )

    assert hand_over([pick(theirs)]).lines.count() == 1
