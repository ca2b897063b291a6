"""What does not go around the metal, and the sentence that says why."""

from datetime import timedelta

import pytest
from django.utils import timezone

from inventory.models import MediumRule
from inventory.operations import vessels
from inventory.operations.errors import Disagrees
from inventory.operations.taking import Liquid
from tests.domain.exchanged import OIL, exchange, put_oil_in, read
from tests.domain.records import refused
from tests.factories import (
    ROOM,
    G,
    earlier,
    expected_reading,
    make_batch,
    make_place,
    make_tared,
    make_weighed_vessel,
    observe,
    signed,
    take,
)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shipped")]

UNKNOWN = Liquid(is_unknown=True)


def metal(symbol="K", **facts):
    return make_weighed_vessel(make_batch(symbol), gain_ug=5 * G, **facts)


def oiled(oil_ug=8 * G):
    vessel = metal()
    put_oil_in(vessel, oil_ug)
    return read(vessel)


def reads(reading_ug, **facts):
    return observe(reading_ug, gas="argon", **ROOM, **facts)


def reason(symbol, key):
    return MediumRule.objects.get(material__symbol=symbol, medium__key=key).reason


@pytest.mark.parametrize("accept", [False, True])
def test_a_medium_the_metal_must_never_be_in_is_refused_whatever_was_ticked(accept):
    # 1 g of lithium is 1.9 mL.
    vessel = make_weighed_vessel(make_batch("Li"), gain_ug=1 * G)

    with refused(reason("Li", "nitrogen"), "medium"):
        exchange(vessel, "nitrogen", accept_medium=accept)


def test_a_gas_that_must_never_be_above_the_oil_is_refused_as_the_gas():
    vessel = make_weighed_vessel(make_batch("Li"), gain_ug=1 * G)

    with refused(reason("Li", "nitrogen"), "gas"):
        put_oil_in(vessel, 4 * G, gas="nitrogen")


def test_a_medium_to_avoid_needs_a_decision():
    vessel, rule = metal("Rb"), reason("Rb", OIL)

    with refused(
        f"{rule} Tick “go ahead all the same” if you have decided so.", "medium"
    ):
        put_oil_in(vessel, 4 * G)


@pytest.mark.parametrize("liquid", [Liquid(2 * G), UNKNOWN, Liquid(-4 * G)], ids=repr)
def test_one_liquid_does_not_go_on_top_of_another(liquid):
    vessel = oiled()

    with refused(
        "There is light mineral oil inside. Two liquids do not keep a known density: "
        "drain it first, then put in the kerosene.",
        "medium",
    ):
        exchange(vessel, "kerosene", liquid)


def test_a_gas_does_not_replace_oil_that_nobody_drained():
    vessel = oiled()

    with refused("There is light mineral oil inside: say how it was drained.", "way"):
        exchange(vessel, "argon")


def test_oil_around_the_metal_was_put_in_by_somebody():
    vessel = metal()

    with refused("Say how much light mineral oil was put in.", "way"):
        exchange(vessel, OIL)


def test_the_gas_above_is_no_liquid():
    vessel = metal()

    with refused("The gas above cannot be a liquid.", "gas"):
        put_oil_in(vessel, 4 * G, gas="hexane")


def test_more_oil_than_was_inside_is_not_drained():
    vessel = oiled(8 * G)

    with refused(
        f"8.000 g of liquid is inside {vessel} by the record: so much cannot have "
        "come out.",
        "amount",
    ):
        exchange(vessel, OIL, Liquid(-9 * G, 10_000))


def test_a_reading_that_drains_more_oil_than_was_inside_is_refused():
    vessel = oiled(8 * G)
    after = reads(expected_reading(vessel, **ROOM) - 9 * G)

    with refused(
        f"8.000 g of liquid is inside {vessel} by the record: so much cannot have "
        "come out.",
        "after",
    ):
        exchange(vessel, OIL, UNKNOWN, after=after)


def test_a_little_more_than_was_inside_is_drained_within_its_uncertainty():
    vessel = oiled(8 * G)

    exchange(vessel, "argon", Liquid(-8_100_000, 80_000))

    assert read(vessel).medium.key == "argon"


def test_more_oil_than_has_room_is_not_put_in():
    # 5 g of potassium are 5.8 mL; 12 g of oil are 14.3 mL, 14.7 at 40 °C.
    vessel = metal()

    with refused(
        "103 % full at 40 °C: too little room for expansion, the glass may burst.",
        "amount",
    ):
        put_oil_in(vessel, 12 * G)


def test_how_full_it_gets_hangs_on_how_warm_the_place_is():
    # 11.4 g of oil are 13.6 mL: 99 % at 40 °C, 97 % at 20 °C.
    cool = metal(place=make_place(warmest_c=20.0))
    warm = metal()

    put_oil_in(cool, 11_400_000)

    with refused(
        "99 % full at 40 °C: too little room for expansion, the glass may burst.",
        "amount",
    ):
        put_oil_in(warm, 11_400_000)


def test_a_reading_before_that_disagrees_is_a_check_weighing_first():
    vessel = metal()
    before = reads(expected_reading(vessel, **ROOM) - 100_000)

    with pytest.raises(Disagrees) as refusal:
        put_oil_in(vessel, 4 * G, before=before)

    assert str(refusal.value).startswith(
        f"Weighed before the medium was changed, {vessel} reads 100.0 mg less than the "
        "record expects, "
    )
    assert refusal.value.field == "before"
    assert refusal.value.outcome.verdict == "investigate"


def test_a_reading_after_that_disagrees_is_not_passed_over_in_silence():
    vessel = metal()
    after = reads(expected_reading(vessel, **ROOM) + 4 * G - 100_000)

    with pytest.raises(Disagrees) as refusal:
        put_oil_in(vessel, 4 * G, after=after)

    assert refusal.value.field == "after"
    assert str(refusal.value).endswith(
        "Weigh it again, or say that nobody knows how much went in or out."
    )
    assert not vessel.weighings.filter(purpose="after").exists()


@pytest.mark.parametrize("reading", ["before", "after"])
def test_a_reading_in_the_future_is_refused(reading):
    vessel = metal()
    later = timezone.now() + timedelta(hours=1)

    with refused("This lies in the future.", "read_at"):
        put_oil_in(vessel, 4 * G, **{reading: reads(25 * G, read_at=later)})


def test_a_change_in_the_future_is_refused():
    vessel, later = metal(), timezone.now() + timedelta(hours=1)

    with refused("This lies in the future.", "happened_at"):
        put_oil_in(vessel, 4 * G, happened_at=later)


def test_a_change_before_the_filling_is_refused():
    vessel = metal(filled_at=earlier(days=3))
    day = f"{timezone.localtime(earlier(days=3)):%-d %b %Y}"

    with refused(f"This is before {vessel} was filled, on {day}.", "read_at"):
        put_oil_in(vessel, 4 * G, happened_at=earlier(days=4))


def test_an_empty_vessel_has_nothing_to_keep_in_oil():
    vessel = make_tared(make_batch("K"))

    with refused(f"{vessel} holds no metal to keep in anything."):
        put_oil_in(vessel, 4 * G)


def test_a_retired_vessel_has_nothing_to_keep_in_oil():
    vessel = metal()
    take(vessel)
    vessels.retire(vessel, reason="washed", **signed())

    with refused(f"{vessel} holds no metal to keep in anything."):
        put_oil_in(vessel, 4 * G)
