"""Places, balances, the laboratory and accounts, through their forms."""

import pytest

from inventory.models import (
    Balance,
    Laboratory,
    Place,
    Role,
    User,
)
from tests.factories import G, make_balance, make_laboratory, make_place
from tests.web.pages import Page
from tests.web.person import (
    filled_in,
    opened,
    recorded,
    refused,
    sent_twice,
)

BALANCE = {
    "name": "Balance 2",
    "readability": "0.1 mg",
    "repeatability": "0.2 mg",
    "nonlinearity": "0.3 mg",
    "capacity": "220 g",
}
LABORATORY = {"name": "Laboratory 3", "address": "Street 1", "phone": "+00 1"}
PERSON = {"username": "night-shift", "role": "operator", "password": "blue-glow-of-ar"}

pytestmark = pytest.mark.usefixtures("shipped")


def test_a_place_is_added_and_changed(as_keeper):
    room = make_place(name="Room 1", kind="room")

    recorded(
        as_keeper, "/places/new/", name="Box A", kind="glovebox", within=str(room.pk),
        warmest="303.15 K",
    )  # fmt: skip
    box = Place.objects.get(name="Box A")
    recorded(as_keeper, f"/places/{box.pk}/change/", name="Box B")

    box.refresh_from_db()
    assert (box.name, box.within, box.warmest_c) == ("Box B", room, 30.0)


def test_a_place_inside_itself_is_refused(as_keeper):
    room = make_place(name="Room 1", kind="room")
    box = make_place(name="Box", within=room)

    said = refused(
        as_keeper, f"/places/{room.pk}/change/", "within", within=str(box.pk)
    )

    assert said == "Room 1 cannot stand inside itself."


def test_two_places_of_one_name_are_refused(as_keeper):
    make_place(name="Room 1")

    assert refused(as_keeper, "/places/new/", "name", name="room 1", kind="room") == (
        "This name is taken."
    )


@pytest.mark.parametrize(
    ("at", "typed", "model"),
    [
        ("/places/new/", {"name": "Box", "kind": "glovebox"}, Place),
        ("/balances/new/", BALANCE, Balance),
        ("/laboratory/", LABORATORY, Laboratory),
    ],
)
def test_a_register_form_sent_twice_adds_one_record_and_says_so(
    as_keeper, at, typed, model
):
    page = sent_twice(as_keeper, at, **typed)

    assert model.objects.count() == 1
    assert "had been sent already" in page.messages


def test_a_balance_is_added_and_stands_in_the_list(as_keeper):
    page = recorded(as_keeper, "/balances/new/", **BALANCE)

    balance = Balance.objects.get()
    assert (balance.readability_ug, balance.nonlinearity_ug) == (100, 300)
    assert balance.capacity_ug == 220 * G
    assert "Balance 2" in page.rows()[0]


def test_a_changed_balance_keeps_the_numbers_that_were_not_changed(as_keeper):
    balance = make_balance(name="Balance 1", readability_ug=100, repeatability_ug=150)

    recorded(as_keeper, f"/balances/{balance.pk}/change/", name="Balance 9")

    changed = Balance.objects.get()
    assert (changed.name, changed.readability_ug) == ("Balance 9", 100)
    assert (changed.repeatability_ug, changed.nonlinearity_ug) == (150, 0)


def test_a_balance_out_of_use_is_no_longer_offered(as_keeper):
    make_balance(name="Balance 1")
    old = make_balance(name="Balance 2")

    recorded(as_keeper, f"/balances/{old.pk}/change/", is_in_use=None)

    offered = opened(as_keeper, "/vessels/tare/").all("select", name="balance")[0]
    assert "Balance 1" in offered.text
    assert "Balance 2" not in offered.text


def test_a_balance_that_carries_less_than_its_last_digit_is_refused(as_keeper):
    said = refused(
        as_keeper, "/balances/new/", "capacity", **{**BALANCE, "capacity": "0.1 mg"}
    )

    assert said == "The capacity is far above the last digit."


def test_the_laboratory_is_named_once_and_then_changed(as_keeper):
    recorded(as_keeper, "/laboratory/", **LABORATORY)

    recorded(as_keeper, "/laboratory/", phone="+00 2")

    laboratory = Laboratory.objects.get()
    assert (laboratory.name, laboratory.phone) == ("Laboratory 3", "+00 2")


def test_the_laboratory_is_changed_under_its_own_name(as_keeper):
    make_laboratory()

    recorded(as_keeper, "/laboratory/", address="Street 2")

    assert Laboratory.objects.get().address == "Street 2"


def test_a_person_who_was_added_can_sign_in(as_keeper, client):
    recorded(as_keeper, "/people/new/", **PERSON)

    as_keeper.logout()
    assert client.login(username="night-shift", password="blue-glow-of-ar")
    assert User.objects.get(username="night-shift").role == Role.OPERATOR


@pytest.mark.parametrize("password", ["argon", "password1", "12345678901"])
def test_a_password_that_is_easily_guessed_is_refused(as_keeper, password):
    at = "/people/new/"
    sent = filled_in(as_keeper, at, **{**PERSON, "password": password})

    page = Page(as_keeper.post(at, sent))

    assert page.status == 422
    assert list(page.wrong()) == ["password"]
    assert page.typed()["password"] == [""]
    assert password not in page.text


def test_a_name_that_is_taken_is_refused_whatever_its_case(as_keeper, reader):
    said = refused(
        as_keeper, "/people/new/", "username", **{**PERSON, "username": "THE-READER"}
    )

    assert said == "This name is taken."


def test_a_person_sent_twice_is_added_once_and_says_so(as_keeper):
    page = sent_twice(as_keeper, "/people/new/", **PERSON)

    assert User.objects.filter(username="night-shift").count() == 1
    assert "had been sent already" in page.messages


def test_a_person_s_role_is_changed(as_keeper, reader):
    recorded(as_keeper, f"/people/{reader.pk}/change/", role="operator")

    reader.refresh_from_db()
    assert (reader.role, reader.is_active) == ("operator", True)


def test_the_last_keeper_stays_keeper(as_keeper, keeper):
    said = refused(as_keeper, f"/people/{keeper.pk}/change/", "role", role="reader")

    assert said == "Somebody has to be keeper, and no one else is."
