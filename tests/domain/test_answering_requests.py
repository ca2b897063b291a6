"""The answers to a request, step by step: what is kept, and what is refused."""

from datetime import timedelta

import pytest
from django.utils import timezone

from inventory.calc.units import parse_need
from inventory.models import MetalRequest, Project
from inventory.operations import asking, bookings
from tests.domain.records import refused
from tests.factories import (
    G,
    make_batch,
    make_booking,
    make_project,
    make_vessel,
    signed,
    take,
)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shipped")]


def steps_of(metal_request):
    return [(step.kind, step.reason) for step in metal_request.steps.all()]


def change_to(metal_request, need="2 g", reason="less is free", **facts):
    facts = {"needed_by": metal_request.needed_by, **facts}
    wanted = asking.terms(metal_request.material, need=parse_need(need), **facts)
    return asking.change(metal_request, terms=wanted, reason=reason, **signed())


def test_each_answer_is_a_step_with_its_reason(ask):
    metal_request = asking.grant(ask(), reason="with pleasure", **signed())
    change_to(metal_request, "2 g")
    asking.take_back(metal_request, reason="too little", **signed())

    metal_request.refresh_from_db()
    assert metal_request.state == "withdrawn"
    assert metal_request.mass_ug == 2 * G
    assert steps_of(metal_request) == [
        ("asked", ""),
        ("granted", "with pleasure"),
        ("changed", "less is free"),
        ("withdrawn", "too little"),
    ]
    assert [step.mass_ug for step in metal_request.steps.all()] == [
        3 * G, 3 * G, 2 * G, 2 * G
    ]  # fmt: skip


def test_a_step_is_in_the_log_with_its_project_and_request(ask, films):
    metal_request = ask()
    asking.decline(metal_request, reason="none is left", **signed())

    entry = metal_request.steps.last().entry
    assert entry.summary == f"Declined request {metal_request.pk}: none is left"
    assert (entry.project, entry.subject_id) == (films, metal_request.pk)


@pytest.mark.parametrize("end", ["decline", "take_back"])
@pytest.mark.parametrize("then", ["grant", "decline", "take_back"])
def test_what_was_ended_takes_no_further_step(ask, end, then):
    metal_request = ask()
    getattr(asking, end)(metal_request, reason="enough", **signed())
    was = {"decline": "declined", "take_back": "taken back"}[end]

    with refused(f"This request was {was} already."):
        getattr(asking, then)(metal_request, reason="again", **signed())
    with refused(f"This request was {was} already."):
        change_to(metal_request)


def test_a_granted_request_is_not_granted_again(ask):
    metal_request = asking.grant(ask(), **signed())

    with refused("This request is granted already."):
        asking.grant(metal_request, **signed())


def test_a_change_that_changes_nothing_is_refused(ask):
    metal_request = ask()

    with refused("Nothing is changed. Grant it as asked instead."):
        change_to(metal_request, "3 g")


def test_a_change_is_held_to_what_can_be(ask):
    metal_request, yesterday = ask(), timezone.localdate() - timedelta(days=1)

    with refused("This date has passed.", "needed_by"):
        change_to(metal_request, needed_by=yesterday)


def test_the_keeper_may_grant_more_than_the_share_with_a_reason(ask):
    assert change_to(ask(), "12 g", reason="agreed by telephone").mass_ug == 12 * G


def test_only_who_asked_or_the_keeper_takes_a_request_back(ask, partner, operator):
    metal_request = ask()

    with refused("Only who asked, or the keeper, may take a request back."):
        asking.take_back(metal_request, **signed(by=operator))

    asking.take_back(metal_request, **signed(by=partner))
    assert not MetalRequest.objects.pending().exists()


@pytest.fixture
def booked(ask, films, group):
    """Return a request with 2 of its 3 g booked."""
    metal_request = ask()
    make_booking(
        make_vessel(), 2 * G, project=films, partner=group, request=metal_request
    )
    return metal_request


@pytest.mark.parametrize("end", ["decline", "take_back"])
def test_a_request_that_metal_is_booked_for_is_not_ended(booked, end):
    with refused("Metal is booked for this request. Have the booking released first."):
        getattr(asking, end)(booked, reason="enough", **signed())

    for line in booked.bookings.get().lines.all():
        bookings.release(line, reason="enough", **signed())
    getattr(asking, end)(booked, reason="enough", **signed())


@pytest.mark.parametrize("end", ["decline", "take_back"])
def test_a_request_that_metal_went_out_for_is_not_ended(booked, end):
    line = booked.bookings.get().lines.get()
    take(line.vessel, line=line, settle=True)

    with refused(
        "Metal went out for this request already. It can only be granted with "
        "changes, to what went out."
    ):
        getattr(asking, end)(booked, reason="enough", **signed())


def test_booking_for_a_request_grants_it(booked):
    booked.refresh_from_db()

    assert booked.state == "granted"
    assert steps_of(booked) == [("asked", ""), ("granted", "")]
    assert booked.steps.last().entry == booked.bookings.get().entry


def test_nothing_is_booked_for_a_request_that_was_ended(ask, films, group):
    metal_request = ask()
    vessel = make_vessel()
    asking.decline(metal_request, reason="enough", **signed())

    with refused("This request was declined already."):
        make_booking(vessel, G, project=films, partner=group, request=metal_request)


def test_a_request_is_served_in_its_own_metal_project_and_partner(ask, films, group):
    metal_request = ask()
    rubidium, potassium = make_vessel(), make_vessel(make_batch("K"))
    elsewhere, about = make_project(), {"request": metal_request}

    with refused(f"{metal_request} is of another project or partner."):
        make_booking(rubidium, G, project=films, **about)
    with refused(f"{metal_request} is of another project or partner."):
        make_booking(rubidium, G, project=elsewhere, **about)
    with refused(f"{metal_request} is for rubidium."):
        make_booking(potassium, G, project=films, partner=group, **about)


def test_in_a_closed_project_a_request_can_only_be_ended(ask, films):
    metal_request = ask()
    # As projects were closed before open requests kept them from it.
    Project.objects.update(closed_on=timezone.localdate())

    with refused("This project is closed."):
        asking.grant(metal_request, **signed())
    with refused("This project is closed."):
        change_to(metal_request)
    asking.decline(metal_request, reason="it is over", **signed())
