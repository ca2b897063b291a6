"""From the pick list to the aliquot: where it is drawn, and what is said before."""

import pytest
from django.utils import timezone

from inventory.operations import ledger
from tests.domain.cared import make_inspection
from tests.domain.handed import hand_over, make_line, make_metal, pick
from tests.factories import (
    G,
    earlier,
    make_batch,
    make_booking,
    make_tared,
    make_vessel,
    take,
)
from tests.web.person import opened, recorded

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shipped")]


@pytest.fixture
def client(client, operator):
    client.force_login(operator)
    return client


def at(booking):
    return f"/bookings/{booking.pk}/pick/"


def codes(page):
    return [row["href"] for row in page.main.all("a", **{"class": "pick-code"})]


def test_an_aliquot_is_to_be_drawn_or_withdrawn(client):
    vessel = make_vessel()
    make_tared(vessel.batch)
    line = make_line(vessel, G)

    page = opened(client, at(line.booking))

    assert "Draw 1.000 g of 5.000 g" in page.main.text
    assert f"/vessels/{vessel.pk}/transfer/?line={line.pk}" in page.links
    assert f"/vessels/{vessel.pk}/withdraw/?line={line.pk}" in page.links


def test_an_aliquot_without_a_tared_vessel_to_go_into_leads_to_taring(client):
    vessel = make_vessel()
    make_tared(make_batch("Cs"))
    line = make_line(vessel, G)

    page = opened(client, at(line.booking))

    assert f"No empty vessel is tared for batch {vessel.batch}." in page.main.text
    assert f"/vessels/tare/?batch={vessel.batch}" in page.links
    assert f"/vessels/{vessel.pk}/transfer/?line={line.pk}" not in page.links
    tare = opened(client, f"/vessels/tare/?batch={vessel.batch}")
    assert tare.typed()["batch"] == [vessel.batch.code]


def test_a_tared_vessel_of_no_batch_yet_receives_an_aliquot_of_any(client):
    vessel = make_vessel()
    make_tared()
    line = make_line(vessel, G)

    page = opened(client, at(line.booking))

    assert f"/vessels/{vessel.pk}/transfer/?line={line.pk}" in page.links


def test_a_drawn_aliquot_leads_back_to_the_list(client):
    source = make_metal(capacity_ul=40_000)
    target = make_tared(source.batch)
    line = make_line(source, 2 * G)

    page = recorded(
        client,
        f"/vessels/{source.pk}/transfer/?line={line.pk}",
        **{"method": "arrived", f"gross_{target.pk}": "22 g"},
    )

    assert codes(page) == [target.get_absolute_url()]
    assert "0 of 1 ticked" in page.main.text
    assert "All of it" in page.main.text


@pytest.mark.parametrize(
    ("seal", "words"), [("leaks", "its seal leaked"), ("doubtful", "was doubtful")]
)
@pytest.mark.parametrize("page", ["withdraw", "transfer"])
def test_who_opens_a_vessel_is_told_what_the_last_look_says_of_its_seal(
    client, seal, words, page
):
    vessel = make_vessel()
    address = f"/vessels/{vessel.pk}/{page}/"
    make_inspection(vessel)
    assert words not in opened(client, address).main.text

    make_inspection(vessel, seal=seal)

    assert words in opened(client, address).main.text


def test_a_served_line_shows_the_day_of_the_hand_over_not_that_of_its_record(client):
    line = pick(make_line(make_metal()))
    handed_at = timezone.localtime(earlier(days=1, hours=1))
    hand_over([line], handed_at=handed_at)

    words = opened(client, line.booking.get_absolute_url()).rows()[0][-1]

    assert words.startswith(f"Handed over {handed_at.day} {handed_at:%b %Y}")


def test_a_served_line_shows_the_day_of_the_withdrawal(client):
    vessel = make_metal()
    booking = make_booking(vessel)
    taken_at = timezone.localtime(earlier(days=1, hours=1))
    take(ledger.read(vessel.pk), line=booking.lines.get(), happened_at=taken_at)

    words = opened(client, booking.get_absolute_url()).rows()[0][-1]

    assert words.startswith(f"Served {taken_at.day} {taken_at:%b %Y}")


def test_no_aliquot_is_drawn_from_a_vessel_that_leaks(client):
    vessel = make_vessel()
    make_tared(vessel.batch)
    line = make_line(vessel, G)
    make_inspection(vessel, seal="leaks")

    page = opened(client, at(line.booking))

    assert "Leave it where it stands" in page.main.text
    assert f"/vessels/{vessel.pk}/transfer/?line={line.pk}" not in page.links
