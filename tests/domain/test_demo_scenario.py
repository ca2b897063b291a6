"""The invented laboratory plays, and plays twice without change."""

import pytest
from django.db.models import Q, Sum

from inventory.management import acts, scenario
from inventory.models import (
    Batch,
    BookingLine,
    Closing,
    Inspection,
    Material,
    MetalRequest,
    Movement,
    Return,
    Share,
    User,
    Vessel,
)
from tests.domain.records import on_record

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shipped")]


def test_the_scenario_plays_and_its_ledger_closes():
    acts.play()

    out = Movement.objects.aggregate(
        left=Sum("mass_ug", filter=~Q(from_batch=None)),
        back=Sum("mass_ug", filter=~Q(to_batch=None), default=0),
        ended=Sum("mass_ug", filter=~Q(to_end="")),
        found=Sum("mass_ug", filter=~Q(from_end=""), default=0),
    )
    held = sum(vessel.remaining_ug for vessel in Vessel.objects.with_remaining())
    assert held > 0
    assert out["ended"] > 0
    assert out["left"] - out["back"] + out["found"] == held + out["ended"]


def test_the_scenario_shows_the_whole_main_job():
    acts.play()

    held = Movement.objects.held()
    assert len([mass for mass in held.values() if mass]) >= 6
    assert set(Movement.objects.values_list("method", flat=True)) == {
        "weighed",
        "volume",
        "whole",
        "stated",
        "reported",
    }
    assert BookingLine.objects.filter(closed_by=None).exists()
    assert BookingLine.objects.exclude(closed_by=None).exists()


def test_the_scenario_shows_how_metal_is_shared():
    acts.play()

    assert set(MetalRequest.objects.values_list("state", flat=True)) == {
        "asked",
        "granted",
        "declined",
    }
    returns = Return.objects.values_list("kind", "line__vessel__batch__material")
    symbols = dict(Material.objects.values_list("pk", "symbol"))
    assert {kind: symbols[pk] for kind, pk in returns} == {
        "reported": "Cs",
        "empty": "Ba",
    }
    assert Vessel.objects.exclude(custodian=None).count() == 2
    assert Inspection.objects.exclude(next_on=None).exists()
    assert Share.objects.count() == 3


def test_the_scenario_has_batches_to_compare_and_a_family_to_see():
    acts.play()

    closed = Closing.objects.values_list("batch__code", flat=True)
    alike = Batch.objects.filter(material__symbol="Rb", process="reduction")
    assert alike.filter(code__in=closed).count() == 3
    assert alike.exclude(code__in=closed).exists()
    assert Batch.objects.filter(kind="repurified", parents__in=alike).exists()


@pytest.mark.parametrize(
    "moment", ["2031-01-10 10:00:00+00:00", "2031-07-10 10:00:00+00:00"]
)
def test_the_batches_of_the_year_before_leave_the_main_one_its_code(clock, moment):
    clock(moment)

    acts.play()

    main = Batch.objects.get(note__startswith="Condenser at 60")
    assert main.run == 0
    assert BookingLine.objects.filter(vessel__batch=main).exists()


def test_the_scenario_plays_twice_without_change():
    acts.play()
    before = on_record()

    acts.play()

    assert on_record() == before


def test_the_scenario_played_on_a_later_day_changes_nothing(clock):
    clock("2031-05-04 10:00:00+00:00")
    acts.play()
    before = on_record()

    clock("2032-01-02 07:00:00+00:00")
    acts.play()

    assert on_record() == before


@pytest.mark.parametrize(
    "moment", ["2031-01-01 00:05:00+00:00", "2032-02-29 23:55:00+00:00"]
)
def test_the_scenario_plays_on_any_day_and_hour(clock, moment):
    clock(moment)

    acts.play()

    assert Vessel.objects.in_stock().exists()


def test_the_scenarios_people_are_roles_who_can_sign_in():
    acts.play()

    for role in scenario.PEOPLE:
        user = User.objects.get(username=role)
        assert user.role == role
        assert user.check_password(scenario.PASSWORD)
