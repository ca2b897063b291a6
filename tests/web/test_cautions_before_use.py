"""What is said before somebody touches a vessel: doubt, age, and a chance not sure."""

from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from inventory.models import Vessel
from inventory.operations import taking
from tests.factories import (
    G,
    make_batch,
    make_check,
    make_vessel,
    take,
)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shipped")]


def opened_long_ago():
    """Return a vessel of NaK that was opened and drawn from 70 days ago."""
    then = timezone.now() - timedelta(days=70)
    vessel = make_vessel(
        make_batch("NaK"), kind="bulb", holding_ug=10 * G, filled_at=then
    )
    take(vessel, taking.Drawn(100, 1, 22.0), happened_at=then + timedelta(hours=1))
    return Vessel.objects.get(pk=vessel.pk)


def drawn(vessel, client, **more):
    page = client.get(reverse("vessel-withdraw", args=[vessel.pk]))
    sent = {
        "method": "volume",
        "volume": "0.5 mL",
        "temperature": "22 °C",
        "purpose": "a run",
        "read_at": timezone.localtime().strftime("%Y-%m-%dT%H:%M"),
        "request_id": page.context["form"]["request_id"].value(),
        **more,
    }
    return client.post(page.request["PATH_INFO"], sent)


@pytest.mark.parametrize("to", ["vessel-withdraw", "vessel-medium", "vessel-transfer"])
def test_old_opened_metal_is_warned_of_wherever_it_is_handled(client, operator, to):
    vessel = opened_long_ago()
    client.force_login(operator)

    page = client.get(reverse(to, args=[vessel.pk]))

    if to != "vessel-transfer":  # its form waits for a tared vessel
        assert "crust that can explode" in page.text
        assert "looked" in page.context["form"].fields


def test_old_opened_metal_is_not_drawn_before_somebody_looked(client, operator):
    vessel = opened_long_ago()
    client.force_login(operator)

    refused = drawn(vessel, client)
    recorded = drawn(vessel, client, looked="on")

    assert refused.status_code == 422
    assert "Look first." in refused.text
    assert recorded.status_code == 302


def test_fresh_metal_is_drawn_without_that_question(client, operator):
    vessel = make_vessel(make_batch("NaK"), kind="bulb", holding_ug=10 * G)
    client.force_login(operator)

    assert drawn(vessel, client).status_code == 302


def test_a_reading_nobody_can_explain_stays_in_sight(client, operator):
    vessel = make_vessel()
    make_check(vessel, 40_000, cause="unknown", reason="no idea")
    client.force_login(operator)

    page = client.get(vessel.get_absolute_url())
    home = client.get(reverse("home"))

    assert "nobody knows why" in page.text
    assert [str(v) for v in home.context["attention"]["doubted"]["few"]] == [
        str(vessel)
    ]


def test_a_later_check_that_agrees_settles_the_doubt(client, operator):
    vessel = make_vessel()
    make_check(
        vessel,
        40_000,
        cause="unknown",
        reason="no idea",
        read_at=timezone.now() - timedelta(minutes=30),
    )
    make_check(vessel, read_at=timezone.now())
    client.force_login(operator)

    assert "nobody knows why" not in client.get(vessel.get_absolute_url()).text
    assert not client.get(reverse("home")).context["attention"]["doubted"]["few"]


@pytest.mark.parametrize(
    ("need", "verdict"), [("4.9 g", "yes"), ("5 g", "perhaps"), ("6 g", "no")]
)
def test_home_says_yes_only_where_the_chance_is_good(client, reader, need, verdict):
    make_vessel(holding_ug=5 * G, u_ug=20_000)
    client.force_login(reader)

    page = client.get(reverse("home"), {"material": "Rb", "need": need})

    assert page.context["answer"]["verdict"] == verdict


@pytest.mark.parametrize(
    ("field", "typed"),
    [("air_temperature", "250 °C"), ("air_pressure", "98.5 hPa")],
)
def test_air_that_nobody_weighs_in_is_refused_at_its_field(
    client, operator, field, typed
):
    vessel = make_vessel()
    client.force_login(operator)

    page = client.post(
        reverse("vessel-check", args=[vessel.pk]), {"reading": "25 g", field: typed}
    )

    assert page.status_code == 422
    assert page.context["form"].errors[field]


def test_metal_below_its_melting_point_is_not_drawn_and_nothing_breaks(
    client, operator
):
    vessel = make_vessel(make_batch("NaK"), kind="bulb", holding_ug=10 * G)
    client.force_login(operator)

    page = drawn(vessel, client, temperature="-20 °C")

    assert page.status_code == 422
    assert "solid below" in page.text
