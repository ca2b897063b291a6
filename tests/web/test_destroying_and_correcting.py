"""Destroying a residue and correcting the ledger, through their forms."""

import pytest

from inventory.models import Movement
from tests.factories import G, make_batch, make_booking, make_vessel, take
from tests.web.person import recorded, refused, refused_as_a_whole, sent_twice


@pytest.fixture
def vessel(shipped):
    """Return an argon-filled ampoule of 20 mL that holds 5 g of rubidium."""
    return make_vessel(make_batch("Rb"))


def test_destroying_records_all_that_was_left(as_keeper, vessel):
    page = recorded(
        as_keeper,
        f"/vessels/{vessel.pk}/destroy/",
        how="the written procedure, two trained people",
        supervised="on",
    )

    taken = Movement.objects.get(from_vessel=vessel)
    assert (taken.mass_ug, taken.to_end) == (5 * G, "destroyed")
    assert "Destroyed 5.000 g" in page.messages


def test_destroying_without_a_second_person_is_refused(as_keeper, vessel):
    at = f"/vessels/{vessel.pk}/destroy/"

    refused(as_keeper, at, "supervised", how="alone", supervised=None)

    assert not Movement.objects.filter(from_vessel=vessel).exists()


def test_destroying_what_is_promised_is_refused(as_keeper, vessel):
    make_booking(vessel, 1 * G)

    words = refused_as_a_whole(
        as_keeper, f"/vessels/{vessel.pk}/destroy/", how="so", supervised="on"
    )

    assert "1.000 g is promised" in words


def test_destruction_sent_twice_is_recorded_once_and_says_so(as_keeper, vessel):
    page = sent_twice(
        as_keeper, f"/vessels/{vessel.pk}/destroy/", how="so", supervised="on"
    )

    assert "had been sent already" in page.messages


def test_a_correction_puts_the_metal_back_and_strikes_the_movement_through(
    as_keeper, vessel
):
    wrong = take(vessel)

    page = recorded(
        as_keeper, f"/movements/{wrong.pk}/correct/", reason="the wrong vessel"
    )

    assert "Remaining 5.00" in page.main.text
    assert "Corrected" in page.main.text
    assert page.main.all("s")


def test_a_movement_is_corrected_once_only(as_keeper, vessel):
    wrong = take(vessel)
    recorded(as_keeper, f"/movements/{wrong.pk}/correct/", reason="wrong")

    words = refused_as_a_whole(
        as_keeper, f"/movements/{wrong.pk}/correct/", reason="again"
    )

    assert "corrected already" in words


def test_a_correction_sent_twice_is_recorded_once_and_says_so(as_keeper, vessel):
    wrong = take(vessel)

    page = sent_twice(as_keeper, f"/movements/{wrong.pk}/correct/", reason="wrong")

    assert "had been sent already" in page.messages


def test_a_vessel_that_holds_metal_is_not_retired(as_keeper, vessel):
    words = refused_as_a_whole(
        as_keeper, f"/vessels/{vessel.pk}/retire/", reason="no room"
    )

    assert f"{vessel} still holds 5.000 g" in words
