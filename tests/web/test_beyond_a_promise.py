"""More or less metal than a booking promised, as the pages answer it."""

import pytest

from inventory.models import BookingLine, HandOver
from inventory.operations import ledger
from tests.domain.handed import make_line, make_metal, pick
from tests.factories import (
    G,
    earlier,
    make_balance,
    make_batch,
    make_booking,
    make_partner,
    make_project,
    make_share,
    make_tared,
    make_vessel,
)
from tests.web.person import (
    answered,
    filled_in,
    opened,
    recorded,
    refused,
    refused_as_a_whole,
)
from tests.web.test_transferring import transfer, typed

pytestmark = pytest.mark.usefixtures("shipped")


@pytest.fixture
def group():
    return make_partner("Group A")


@pytest.fixture
def project(group):
    return make_project(partner=group, title="Films")


@pytest.fixture
def source():
    make_balance(name="Balance 1")
    return make_vessel(make_batch("Rb"), filled_at=earlier(days=2))


@pytest.fixture
def as_operator(client, operator):
    client.force_login(operator)
    return client


def promised(vessel):
    return ledger.read(vessel.pk).promised_ug


def drawn_for(line, source, target, **more):
    return typed(target, out="1 g", into="1 g", line=str(line.pk), **more)


def test_a_drawing_settles_its_booking_unless_the_tick_is_taken_away(
    as_operator, source
):
    line, target = make_line(source, 3 * G), make_tared(source.batch)

    recorded(as_operator, transfer(source), **drawn_for(line, source, target))

    assert promised(source) == 0


def test_without_the_tick_what_was_not_drawn_stays_promised(as_operator, source):
    line, target = make_line(source, 3 * G), make_tared(source.batch)

    recorded(
        as_operator,
        transfer(source),
        **drawn_for(line, source, target, settle=None),
    )

    assert promised(source) == 3 * G - ledger.read(target.pk).remaining_ug


def test_without_a_booking_there_is_nothing_to_settle(as_operator, source):
    make_tared(source.batch)

    assert "settle" not in opened(as_operator, transfer(source)).typed()


@pytest.mark.parametrize("button", [{}, {"work-out": "1"}])
def test_drawing_beyond_the_share_is_refused_also_when_it_is_worked_out_first(
    as_operator, source, group, project, button
):
    make_share(project, group, mass_ug=G // 2)
    line = make_line(source, G // 2, partner=group, project=project)
    sent = drawn_for(line, source, make_tared(source.batch))

    words = refused_as_a_whole(as_operator, transfer(source), **sent, **button)

    assert "Have the keeper book more first." in words


def test_more_than_was_promised_is_shown_before_it_is_recorded(as_operator, source):
    line, target = make_line(source, G // 2), make_tared(source.batch)
    sent = drawn_for(line, source, target)

    page = answered(as_operator, transfer(source), **sent, **{"work-out": "1"})
    # A gram of reading is 1.000935 g of rubidium, see `typed`.
    assert "500.9 mg more than the booking holds arrived." in page.main.text

    page = recorded(as_operator, transfer(source), **sent)
    assert f"500.9 mg more than {line.booking} held" in page.messages


@pytest.mark.parametrize("button", [{}, {"work-out": "1"}])
def test_taking_all_for_a_small_promise_beyond_the_share_is_refused(
    as_operator, source, group, project, button
):
    make_share(project, group, mass_ug=G)
    line = make_line(source, G, partner=group, project=project)

    words = refused_as_a_whole(
        as_operator,
        f"/vessels/{source.pk}/withdraw/",
        method="whole",
        purpose="series 4",
        line=str(line.pk),
        **button,
    )

    assert "this is 4.000 g more" in words
    assert "Have the keeper book more first." in words


@pytest.fixture
def at(project):
    """Return the page to hand over 5 g that no booking put to a share of 1 g."""
    make_share(project, make_partner("Group A"), mass_ug=G)
    pick(make_booking(make_metal(), project=project).lines.get())
    return f"/projects/{project.pk}/hand-over/"


def test_the_keeper_is_asked_why_a_hand_over_goes_beyond_the_share(
    as_keeper, at, project
):
    assert "beyond_share" not in opened(as_keeper, at).typed()
    sent = filled_in(as_keeper, at)

    page = answered(as_keeper, at)
    assert list(page.wrong()) == ["beyond_share"]
    assert "To hand it over all the same, say why." in page.wrong()["beyond_share"]

    as_keeper.post(at, {**sent, "beyond_share": "as agreed"})
    assert HandOver.objects.get().entry.summary.endswith("the share: as agreed")
    assert not BookingLine.objects.open().exists()


def test_an_operator_is_told_that_the_keeper_hands_over_beyond_the_share(
    as_operator, at
):
    said = refused(as_operator, at, "partner")

    assert said.endswith("Have the keeper hand it over.")
