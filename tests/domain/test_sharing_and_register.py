"""Projects, people, places, balances and the laboratory."""

import pytest
from django.contrib.auth import authenticate
from django.db import IntegrityError
from django.utils import timezone

from inventory.models import Balance, Laboratory, Place, Project, Role, User
from inventory.operations import asking, bookings, people, projects, register
from tests.domain.records import on_record, refused
from tests.factories import (
    G,
    make_balance,
    make_booking,
    make_laboratory,
    make_place,
    make_project,
    make_request,
    make_vessel,
    signed,
    somebody,
    take,
)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shipped")]


def add_person(username, role=Role.READER, **facts):
    facts = {"password": "sealed under argon", **facts}
    return people.add(username=username, role=role, **facts, **signed())


def change_person(user, **facts):
    facts = {"role": user.role, "is_active": user.is_active, **facts}
    return people.change(user, **facts, **signed())


def test_a_project_has_exactly_the_members_it_was_given(partner, reader):
    project = make_project(partner)

    projects.change(
        project,
        facts={"title": "Getters"},
        members=[projects.Member(reader)],
        **signed(),
    )

    project.refresh_from_db()
    assert project.title == "Getters"
    assert [m.user for m in project.memberships.all()] == [reader]


def test_a_partner_sees_own_projects_alone(partner, reader):
    mine, _ = make_project(partner), make_project()

    assert list(Project.objects.visible_to(partner)) == [mine]
    assert Project.objects.visible_to(reader).count() == 2


def test_a_project_closes_today():
    project = projects.close(make_project(), **signed())

    assert project.closed_on == timezone.localdate()
    assert not Project.objects.open().exists()


def test_a_project_that_is_still_promised_metal_does_not_close():
    project = make_project()
    make_booking(make_vessel(), G, project=project)
    make_booking(make_vessel(), G, project=project)

    with refused(
        "2 vessels are still promised to this project. Serve or release those "
        "bookings first."
    ):
        projects.close(project, **signed())


def test_a_single_vessel_still_promised_is_named_as_one():
    project = make_project()
    make_booking(make_vessel(), G, project=project)

    with refused(
        "1 vessel is still promised to this project. Serve or release those "
        "bookings first."
    ):
        projects.close(project, **signed())


def test_a_project_closes_once_its_promises_are_released():
    project = make_project()
    line = make_booking(make_vessel(), G, project=project).lines.get()
    bookings.release(line, reason="not needed", **signed())

    assert projects.close(project, **signed()).closed_on


def test_a_project_that_still_waits_for_metal_does_not_close():
    project = make_project()
    first, second = make_request(project), make_request(project)
    asking.grant(second, **signed())
    words = "2 requests are still open: answer them first."

    with refused(words):
        projects.close(project, **signed())
    asking.decline(first, reason="no metal", **signed())
    with refused("1 request is still open: answer it first."):
        projects.close(project, **signed())
    asking.take_back(second, **signed())

    assert projects.close(project, **signed()).closed_on


def test_a_project_whose_requests_were_served_closes():
    project, vessel = make_project(), make_vessel()
    wish = make_request(project, need="5 g")
    booking = make_booking(vessel, project=project, request=wish)
    take(vessel, line=booking.lines.get())

    assert projects.close(project, **signed()).closed_on


def test_a_project_keeps_the_day_on_which_it_closed(clock):
    project = make_project()
    clock("2031-05-04 12:00:00+00:00")
    projects.close(project, **signed())
    clock("2031-06-01 12:00:00+00:00")

    with refused("This project is closed already."):
        projects.close(project, **signed())


def test_a_new_person_can_sign_in_in_their_role():
    add_person("ada", Role.OPERATOR)

    assert (
        authenticate(username="ada", password="sealed under argon").role == "operator"
    )


@pytest.mark.parametrize("again", ["ada", "Ada"])
def test_a_sign_in_name_that_is_taken_is_refused(again):
    add_person("ada")

    with refused("This name is taken.", "username"):
        add_person(again)


def test_a_person_who_may_not_sign_in_cannot():
    user = add_person("ada")

    change_person(user, is_active=False)

    assert authenticate(username="ada", password="sealed under argon") is None


def test_a_password_changes_only_when_a_new_one_is_given():
    user = add_person("ada")

    change_person(user, role=Role.OPERATOR)
    assert authenticate(username="ada", password="sealed under argon")

    change_person(user, password="sealed under vacuum")
    assert authenticate(username="ada", password="sealed under vacuum")


@pytest.mark.parametrize(
    "loss", [{"role": Role.OPERATOR}, {"is_active": False}], ids=["role", "sign-in"]
)
def test_the_last_keeper_stays_keeper(loss):
    keeper = somebody()

    with refused("Somebody has to be keeper, and no one else is.", "role"):
        change_person(keeper, **loss)


def test_a_keeper_who_cannot_sign_in_is_no_keeper_to_rely_on():
    keeper, other = somebody(), add_person("ada", Role.KEEPER)
    change_person(other, is_active=False)

    with refused("Somebody has to be keeper, and no one else is.", "role"):
        change_person(keeper, role=Role.READER)


def test_a_keeper_may_go_when_another_stays():
    keeper = somebody()
    add_person("ada", Role.KEEPER)

    assert change_person(keeper, role=Role.READER).role == Role.READER
    assert User.objects.filter(role=Role.KEEPER).count() == 1


def test_places_and_balances_are_added_and_changed():
    shelf, balance = make_place(), make_balance()

    register.change(shelf, {"name": "Shelf 3"}, **signed())
    register.change(balance, {"is_in_use": False}, **signed())

    assert Place.objects.get().name == "Shelf 3"
    assert not Balance.objects.get().is_in_use


def test_a_place_does_not_stand_inside_itself():
    room = make_place(name="Room", kind="room")

    with refused("Room cannot stand inside itself.", "within"):
        register.change(room, {"within": room}, **signed())


def test_a_place_does_not_stand_inside_its_own_parts():
    room = make_place(name="Room", kind="room")
    cabinet = make_place(within=room)
    shelf = make_place(within=cabinet)

    with refused("Room cannot stand inside itself.", "within"):
        register.change(room, {"within": shelf}, **signed())


def test_there_is_one_laboratory():
    laboratory = make_laboratory()
    before = on_record()

    with pytest.raises(IntegrityError):
        make_laboratory()

    assert on_record() == before
    assert Laboratory.objects.get() == laboratory


def test_the_laboratory_can_be_named_after_an_attempt_that_failed():
    with pytest.raises(IntegrityError):
        register.add(Laboratory, {"name": None}, **signed())

    assert make_laboratory().pk == 1
