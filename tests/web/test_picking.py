"""The pick list: every vessel ticked by its code, typed, by a scanner, by a camera."""

from datetime import timedelta

import pytest
from django.utils import timezone

from inventory.models import BookingLine
from inventory.operations import bookings, vessels
from inventory.web import pick_list
from tests.domain.cared import make_inspection
from tests.domain.handed import lapse, make_line, make_metal, pick
from tests.factories import (
    make_batch,
    make_partner,
    make_place,
    make_project,
    signed,
)
from tests.web.person import filled_in, opened, recorded, refused, sent_twice

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shipped")]


@pytest.fixture
def client(client, operator):
    client.force_login(operator)
    return client


@pytest.fixture
def listed():
    """Return a booking of three vessels, two of them on one shelf."""
    batch = make_batch()
    first, second, third = (make_metal(batch) for _ in range(3))
    cabinet = make_place(name="Cabinet", kind="cabinet")
    upper, lower = (make_place(name=f"shelf {n}", within=cabinet) for n in (1, 2))
    for vessel, place in ((first, lower), (second, upper), (third, lower)):
        vessels.move(vessel, place, **signed())
    partner = make_partner("Group A")
    return bookings.book(
        make_project(partner="Group A", title="Films"),
        wishes=[(vessel, None) for vessel in (first, second, third)],
        partner=partner,
        purpose="a run",
        needed_by=timezone.localdate(),
        **signed(),
    )


def at(booking, code=""):
    return f"/bookings/{booking.pk}/pick/" + (f"?code={code}" if code else "")


def codes(page):
    return [row["href"] for row in page.main.all("a", **{"class": "pick-code"})]


def of(booking, *numbers):
    return [
        f"/vessels/{booking.lines.get(vessel__number=n).vessel_id}/" for n in numbers
    ]


def test_the_list_goes_by_place_and_names_what_comes_next(client, listed):
    page = opened(client, at(listed))

    assert [head.text for head in page.main.all("h2")] == [
        "Cabinet, shelf 1",
        "Cabinet, shelf 2",
    ]
    assert codes(page) == of(listed, 2, 1, 3)
    assert "0 of 3 ticked" in page.main.text
    assert "Next: RB26A-02 Cabinet, shelf 1" in page.main.text


def test_a_typed_code_is_ticked_and_the_next_is_named(client, listed):
    page = recorded(client, at(listed), code="rb26a02")

    assert page.messages == "RB26A-02 is ticked."
    assert "1 of 3 ticked" in page.main.text
    assert "Next: RB26A-01" in page.main.text
    assert listed.lines.get(vessel__number=2).picked_by


@pytest.mark.parametrize("host", ["METALS.EXAMPLE.ORG", "TESTSERVER"])
def test_a_scanner_may_type_the_whole_link_of_a_label(client, listed, host, settings):
    settings.PUBLIC_URL = "https://metals.example.org"

    page = recorded(client, at(listed), code=f"HTTPS://{host}/B/RB26A/03")

    assert page.messages == "RB26A-03 is ticked."


def test_a_wrong_vessel_is_refused_with_what_was_expected(client, listed):
    wrong = make_metal(listed.lines.first().vessel.batch)

    sentence = refused(client, at(listed), "code", code=wrong.code)

    assert sentence == f"This is {wrong}. RB26A-02 was expected (Cabinet, shelf 1)."


@pytest.mark.parametrize("code", ["", "hello", "RB26A-02-Z", "9" * 201])
def test_what_is_no_code_is_refused_in_a_sentence(client, listed, code):
    assert refused(client, at(listed), "code", code=code).endswith((".", "7."))


@pytest.mark.parametrize("public", ["", "https://metals.example.org"])
def test_a_label_of_another_laboratory_is_not_ticked(client, listed, public, settings):
    settings.PUBLIC_URL = public

    sentence = refused(
        client, at(listed), "code", code="HTTPS://ELSEWHERE.EXAMPLE/B/RB26A/03"
    )

    assert sentence == "This code is of another laboratory."


def test_a_vessel_that_leaks_is_marked_refused_and_never_the_next(client, listed):
    leaking = listed.lines.get(vessel__number=2).vessel
    look = make_inspection(leaking, seal="leaks")

    page = opened(client, at(listed))

    assert "Next: RB26A-01" in page.main.text
    assert "Leaks" in [tag.text for tag in page.main.all("span")]
    sentence = refused(client, at(listed), "code", code="RB26A-02")
    assert f"leaks: so it was seen on {look.looked_on:%-d %b %Y}" in sentence
    page = opened(client, client.get("/B/RB26A/02")["Location"])
    assert "RB26A-02 leaks" in page.main.text
    assert "Tick RB26A-02" not in [button.text for button in page.main.all("button")]


def test_once_only_leaking_vessels_are_left_the_others_can_be_handed_over(
    client, listed
):
    make_inspection(listed.lines.get(vessel__number=2).vessel, seal="leaks")
    for number in (1, 3):
        pick(listed.lines.get(vessel__number=number))

    page = opened(client, at(listed))

    assert "What is not ticked leaks, and stays where it stands." in page.main.text
    assert f"/projects/{listed.project_id}/hand-over/?booking={listed.pk}" in page.links


def test_a_doubtful_seal_is_said_on_the_list_and_can_be_ticked(client, listed):
    make_inspection(listed.lines.get(vessel__number=2).vessel, seal="doubtful")

    assert "Its seal was doubtful" in opened(client, at(listed)).main.text
    assert recorded(client, at(listed), code="RB26A-02").messages


def test_a_tick_sent_twice_counts_once(client, listed):
    page = sent_twice(client, at(listed), code="RB26A-02")

    assert "had been sent already" in page.messages
    assert "1 of 3 ticked" in page.main.text


def test_a_tick_is_taken_back(client, listed):
    line = pick(listed.lines.get(vessel__number=2))

    page = recorded(client, at(listed), code="", **{"put-back": line.pk})

    assert page.messages == "RB26A-02 is not ticked any more."
    assert "0 of 3 ticked" in page.main.text


def test_taking_back_a_tick_that_is_none_is_refused(client, listed):
    line = listed.lines.get(vessel__number=2)
    sent = filled_in(client, at(listed), **{"put-back": line.pk, "code": ""})

    answer = client.post(at(listed), sent)

    assert answer.status_code == 422
    assert "RB26A-02 is not ticked." in answer.text


def test_a_phone_s_camera_leads_to_the_list_that_is_under_way(client, listed):
    opened(client, at(listed))

    answer = client.get("/B/RB26A/02")

    assert answer.status_code == 302
    assert answer["Location"] == at(listed, "RB26A-02")
    page = opened(client, answer["Location"])
    assert "Tick RB26A-02" in [button.text for button in page.main.all("button")]
    assert BookingLine.objects.filter(picked_by__isnull=False).count() == 0
    page = recorded(client, answer["Location"])
    assert page.messages == "RB26A-02 is ticked."


def test_a_scanned_vessel_that_is_not_on_the_list_is_named(client, listed):
    other = make_metal(make_batch("Cs"))
    opened(client, at(listed))

    page = opened(client, client.get("/B/CS26A/01")["Location"])

    assert f"{other} is not on this list. Next is RB26A-02" in page.main.text
    assert other.get_absolute_url() in page.links


@pytest.mark.parametrize("ends", ["stop", "done", "late"])
def test_when_picking_is_over_a_scanned_code_opens_the_record(
    client, listed, ends, monkeypatch
):
    opened(client, at(listed))
    if ends == "stop":
        sent = filled_in(client, at(listed), stop="1")
        assert client.post(at(listed), sent)["Location"] == listed.get_absolute_url()
    elif ends == "done":
        for line in listed.lines.all():
            pick(line)
    else:
        monkeypatch.setattr(pick_list, "FORGOTTEN_AFTER_S", -1)

    assert client.get("/B/RB26A/02")["Location"].startswith("/batches/RB26A/")


def test_a_reader_s_camera_opens_the_record(client, listed, reader):
    opened(client, at(listed))
    client.force_login(reader)

    assert client.get("/B/RB26A/02")["Location"].startswith("/batches/RB26A/")


def test_once_all_are_ticked_the_way_leads_to_the_hand_over(client, listed):
    for line in listed.lines.all():
        pick(line)

    page = opened(client, at(listed))

    assert "3 of 3 ticked" in page.main.text
    assert f"/projects/{listed.project_id}/hand-over/?booking={listed.pk}" in page.links


def test_an_ended_booking_is_not_picked(client):
    line = make_line(make_metal())
    lapse(line)

    page = opened(client, at(line.booking))

    assert "This booking has ended" in page.main.text
    assert page.own_forms() == []


def test_a_booking_that_was_served_has_nothing_to_pick(client):
    line = make_line(make_metal())
    bookings.release(line, reason="not needed", **signed())

    assert "Nothing is left to pick" in opened(client, at(line.booking)).main.text


def test_a_session_may_name_a_booking_that_is_gone(client, listed):
    session = client.session
    session["picking"] = [0, int((timezone.now() + timedelta(days=1)).timestamp())]
    session.save()

    assert client.get("/B/RB26A/02")["Location"].startswith("/batches/RB26A/")
