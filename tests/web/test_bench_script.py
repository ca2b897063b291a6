"""What the bench's script is answered, for each way that a row can go."""

import uuid
from datetime import timedelta

import pytest
from django.test import Client
from django.utils import timezone

from inventory.models import LogEntry, Movement, Role, User, Vessel
from inventory.operations import vessels
from tests.factories import (
    ML,
    G,
    fill,
    make_balance,
    make_batch,
    make_tared,
    make_weighed_vessel,
    signed,
)
from tests.web.benched import GROSS

pytestmark = pytest.mark.django_db


@pytest.fixture
def balance(shipped):
    return make_balance(name="Balance 1", capacity_ug=220 * G)


@pytest.fixture
def batch(balance):
    return make_batch("Rb")


@pytest.fixture
def tared(batch):
    """Return a vessel of 20 mL, tared at 20 g under argon."""
    return make_tared(batch)


@pytest.fixture
def send(client, operator, batch, balance):
    """Return a function that sends one row as the script does, and gives the answer."""
    client.force_login(operator)

    def send_row(vessel=None, *, head=(), user=None, request_id=None, age=0, **typed):
        prefix = f"v{vessel.pk}" if vessel else "n0"
        own = {"request_id": request_id or uuid.uuid4(), "age": age, **typed}
        data = {
            "user": (user or operator).pk,
            "save": prefix,
            "balance": balance.pk,
            "tare_gas": "argon",
            **dict(head),
            **{f"{prefix}-{name}": value for name, value in own.items()},
        }
        return client.post(address(batch), data)

    return send_row


def address(batch):
    return f"/batches/{batch}/bench/row/"


def new(**more):
    return {"kind": "ampoule", "capacity": "20 mL", "closure": "stopcock", **more}


def test_a_recorded_row_is_answered_with_its_net_mass_and_the_sum(send, batch, tared):
    answer = send(tared, **GROSS).json()

    assert answer["vessel"] == tared.pk
    assert (answer["code"], answer["at"]) == (str(tared), tared.get_absolute_url())
    assert (answer["tare"], answer["gross"]) == ("20.0000 g", "25.0000 g")
    assert answer["net"] == "5.00468 g ± 0.00066 g (k = 2)"
    assert answer["room"].startswith("17 % full")
    assert answer["cautions"] == []
    assert answer["sums"]["filled"] == "5.00468 g ± 0.00066 g (k = 2) in 1 vessel"


def test_a_tare_alone_is_answered_with_the_new_vessel_s_code(send, batch):
    answer = send(**new(tare="12.8731", glass_mark="A 7")).json()

    vessel = Vessel.objects.get()
    assert (answer["vessel"], answer["code"]) == (vessel.pk, f"{batch}-01")
    assert (answer["tare"], answer["gross"], answer["net"]) == ("12.8731 g", "", "")


def test_a_row_sent_again_is_answered_the_same_and_recorded_once(send):
    once = {"request_id": uuid.uuid4(), **new(tare="20"), **GROSS}
    first = send(**once)
    lines = LogEntry.objects.count()

    second = send(**once)

    assert second.status_code == 200
    assert second.json() == first.json()
    assert LogEntry.objects.count() == lines
    assert Vessel.objects.count() == Movement.objects.count() == 1


def test_a_row_sent_again_is_told_even_when_its_receiver_is_spent_since(send, batch):
    receiver = make_weighed_vessel(batch)
    head = {"source": str(receiver)}
    once = {"request_id": uuid.uuid4(), **new(tare="20"), **GROSS, "head": head}
    first = send(**once)
    assert Vessel.objects.get(pk=receiver.pk).spent_on

    second = send(**once)

    assert (first.status_code, second.status_code) == (200, 200)
    assert second.json() == first.json()


def test_a_refused_row_is_answered_with_one_sentence_for_each_field(send, tared):
    answer = send(tared, **{**GROSS, "gross": "25,5 g", "medium": ""})

    assert answer.status_code == 422
    assert answer.json() == {
        "head": {},
        "row": {"gross": "Write a point for the decimals: 25.5 g"},
        "problem": "",
    }
    assert not Movement.objects.exists()


def test_what_is_wrong_in_the_head_is_answered_by_its_name(send, tared):
    head = {"air_temperature": "70 °C", "balance": ""}

    answer = send(tared, head=head, **GROSS).json()

    assert answer["head"]["air_temperature"].startswith(
        "Nobody weighs in air like that"
    )
    assert set(answer["head"]) == {"air_temperature", "balance"}
    assert answer["row"] == {}


def test_a_vessel_filled_meanwhile_is_refused_as_a_whole(send, tared):
    fill(tared, stated_ug=G)

    answer = send(tared, **GROSS)

    assert answer.status_code == 422
    assert answer.json()["problem"].startswith(f"{tared} was filled meanwhile, on ")


def test_a_tare_typed_while_somebody_else_tared_is_refused_at_the_tare(send, batch):
    (vessel,) = vessels.lay_out(batch, "ampoule", 20 * ML, 1, **signed())
    assert send(vessel, tare="20", closure="stopcock").status_code == 200

    answer = send(vessel, tare="20.5", closure="stopcock")

    assert answer.json()["row"] == {
        "tare": f"{vessel} is tared already, with 20 g; 20.5 g is not recorded. Its "
        "own page takes a new tare."
    }


def test_a_glass_mark_in_use_is_refused_at_the_mark(send, batch):
    make_tared(batch, glass_mark="A 7")

    answer = send(**new(tare="20", glass_mark="A 7"))

    assert list(answer.json()["row"]) == ["glass_mark"]


def test_cautions_come_with_the_row(send, batch):
    vessel = make_tared(batch, capacity_ul=3_600)

    cautions = send(vessel, **GROSS).json()["cautions"]

    assert cautions == [
        "94 % full at 40 °C with the metal molten: little headspace; keep it from "
        "getting any warmer."
    ]


@pytest.mark.parametrize(
    ("age", "minutes"), [("0", 0), ("600", 10), ("", 0), ("-5", 0), ("soon", 0)]
)
def test_a_row_that_waited_in_the_browser_was_weighed_when_it_was_typed(
    send, batch, age, minutes
):
    typed_at = timezone.now() - timedelta(minutes=minutes)

    send(**new(tare="20"), age=age)

    read_at = Vessel.objects.get().weighings.get().read_at
    assert read_at.second == 0
    assert abs(read_at - typed_at).total_seconds() <= 60


def test_somebody_else_s_row_is_not_recorded_under_this_name(send, reader, tared):
    answer = send(tared, user=reader, **GROSS)

    assert answer.status_code == 409
    assert answer.json()["problem"] == (
        "Here the-operator is logged in, who did not type this."
    )
    assert not Movement.objects.exists()


def test_a_row_that_is_no_row_is_refused(send, batch):
    stranger = make_tared(make_batch("Na"))

    answer = send(stranger, **GROSS)

    assert answer.status_code == 422
    assert answer.json()["problem"] == "Say which row is to be saved."


def test_without_a_session_the_row_is_led_to_the_log_in_page(batch):
    answer = Client().post(address(batch), {"save": "n0"})

    assert answer.status_code == 302
    assert answer["Location"].startswith("/log-in/")


@pytest.mark.parametrize("role", [Role.READER, Role.PARTNER])
def test_only_who_handles_vessels_may_send_a_row(batch, role):
    client = Client()
    client.force_login(User.objects.create_user("somebody-else", role=role))

    assert client.post(address(batch), {"save": "n0"}).status_code == 403


def test_a_row_needs_the_token_against_forged_requests(batch, operator):
    client = Client(enforce_csrf_checks=True)
    client.force_login(operator)

    assert client.post(address(batch), {"save": "n0"}).status_code == 403
