"""What is not filled, and the sentence that says why."""

from datetime import timedelta

import pytest
from django.utils import timezone

from inventory.models import MediumRule
from inventory.operations import corrections, ledger, vessels
from tests.domain.filled import receive
from tests.domain.records import refused
from tests.factories import (
    ML,
    G,
    fill,
    make_batch,
    make_place,
    make_tared,
    make_vessel,
    observe,
    signed,
    take,
)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shipped")]


def reason(symbol, key):
    return MediumRule.objects.get(material__symbol=symbol, medium__key=key).reason


def test_a_vessel_is_filled_once():
    vessel = make_vessel()

    with refused(
        f"{vessel} was filled on {vessel.filled_on:%-d %b %Y}. Glass that is used "
        "again becomes a new vessel: tare it anew."
    ):
        fill(vessel, stated_ug=G)


def test_a_retired_vessel_is_not_filled():
    vessel = make_tared(make_batch())
    vessels.retire(vessel, reason="cracked", **signed())

    with refused(f"{vessel} is retired."):
        fill(vessel, stated_ug=G)


def test_a_vessel_is_not_filled_from_another_batch_than_its_code_says():
    vessel, other = make_tared(make_batch()), make_batch()

    with refused(f"{vessel} was tared for another batch.", "batch"):
        fill(vessel, batch=other, stated_ug=G)


def test_a_filling_in_the_future_is_refused():
    vessel = make_tared(make_batch())

    with refused("This lies in the future.", "read_at"):
        fill(vessel, stated_ug=G, happened_at=timezone.now() + timedelta(hours=1))


def test_a_gross_read_in_the_future_is_refused():
    vessel = make_tared(make_batch())
    later = observe(25 * G, gas="argon", read_at=timezone.now() + timedelta(hours=1))

    with refused("This lies in the future.", "read_at"):
        fill(vessel, gross=later)


def test_a_gross_lighter_than_the_tare_is_refused_with_both_numbers():
    vessel = make_tared(make_batch(), tare_ug=20 * G)

    with refused(
        "The gross 19.5 g is lighter than the tare 20 g; check both readings.", "gross"
    ):
        fill(vessel, gross=observe(19_500_000, gas="argon"))


def test_a_gain_that_the_gas_explains_is_no_metal():
    # Argon in an evacuated vessel of 20 mL weighs 33 mg; only 20 mg were gained.
    vessel = make_tared(make_batch(), tare_ug=20 * G, gas="vacuum")

    with refused(
        "With the gas and the liquid medium taken into account, no metal is left in "
        "this reading.",
        "gross",
    ):
        fill(vessel, gross=observe(20 * G + 20_000, gas="argon"))


def test_a_gross_read_before_the_tare_is_refused():
    vessel = make_tared(make_batch())
    tare = vessel.weighings.get()
    before = observe(25 * G, gas="argon", read_at=tare.read_at - timedelta(minutes=1))

    with refused(
        f"The tare was read on {tare.read_at:%-d %b %Y at %H:%M} UTC, after this.",
        "read_at",
    ):
        fill(vessel, gross=before)


def test_without_a_tare_the_weight_says_nothing():
    (vessel,) = receive(make_batch(), count=1)
    corrections.correct(vessel.movements_in.get(), reason="wrong mass", **signed())
    vessel.refresh_from_db()
    gross = observe(25 * G, gas="argon")

    with refused(
        f"{vessel} was never tared, so its weight says nothing about the metal. State "
        "the mass instead.",
        "gross",
    ):
        fill(vessel, gross=gross)


# Barium: solid density 3620 kg/m³ (CRC Handbook), so 1 mL is full at 3.62 g.
@pytest.mark.parametrize(("by", "field"), [("weight", "gross"), ("stated", "stated")])
def test_a_vessel_that_the_warm_metal_would_burst_is_not_filled(by, field):
    vessel = make_tared(make_batch("Ba"), capacity_ul=ML)
    how = (
        {"gross": observe(23_600_000, gas="argon")}
        if by == "weight"
        else {"stated_ug": 3_600_000}
    )

    with refused(
        "100 % full at 40 °C: too little room for expansion, the glass may burst.",
        field,
    ):
        fill(vessel, **how)


def test_metal_that_melts_on_a_warm_shelf_has_to_fit_as_a_liquid():
    # Rubidium melts at 39.3 °C (CRC Handbook): 1.46 g is 0.953 mL solid, 0.990 mL not.
    vessel = make_tared(make_batch("Rb"), capacity_ul=ML)

    with refused(
        "99 % full at 40 °C with the metal molten: too little room for expansion, "
        "the glass may burst.",
        "stated",
    ):
        fill(vessel, stated_ug=1_460_000)

    cool = make_place(warmest_c=30.0)
    assert fill(vessel, stated_ug=1_460_000, place=cool).mass_ug == 1_460_000


@pytest.mark.parametrize(("at_tare_ug", "added_ug"), [(0, 12 * G), (12 * G, 0)])
def test_oil_that_is_in_with_a_stated_mass_has_to_fit_too(at_tare_ug, added_ug):
    # 5 g of potassium are 5.8 mL; 12 g of oil are 14.3 mL, 14.7 at 40 °C.
    vessel = make_tared(make_batch("K"), liquid_ug=at_tare_ug)

    with refused(
        "103 % full at 40 °C: too little room for expansion, the glass may burst.",
        "stated",
    ):
        fill(
            vessel,
            kept_in="mineral_oil_light",
            gas="argon",
            stated_ug=5 * G,
            liquid_ug=added_ug,
        )


def test_the_gas_above_cannot_be_a_liquid():
    vessel = make_tared(make_batch("Na"))

    with refused("The gas above cannot be a liquid.", "gas"):
        fill(vessel, kept_in="mineral_oil_light", gas="hexane", stated_ug=G)


def test_lithium_never_goes_under_nitrogen():
    vessel = make_tared(make_batch("Li"))

    with refused(reason("Li", "nitrogen"), "medium"):
        fill(vessel, kept_in="nitrogen", stated_ug=G, accept_medium=True)


def test_a_gas_that_must_never_be_above_the_liquid_is_refused_as_the_gas():
    vessel = make_tared(make_batch("Li"))

    with refused(reason("Li", "nitrogen"), "gas"):
        fill(vessel, kept_in="mineral_oil_light", gas="nitrogen", stated_ug=G)


def test_a_medium_to_avoid_needs_a_decision():
    vessel = make_tared(make_batch("Rb"))
    rule = reason("Rb", "mineral_oil_light")

    with refused(
        f"{rule} Tick “go ahead all the same” if you have decided so.", "medium"
    ):
        fill(vessel, kept_in="mineral_oil_light", gas="argon", stated_ug=G)

    fill(
        vessel,
        kept_in="mineral_oil_light",
        gas="argon",
        stated_ug=G,
        accept_medium=True,
    )
    assert ledger.read(vessel.pk).remaining_ug == G


def test_receiving_in_the_future_is_refused():
    batch = make_batch()

    with refused("This lies in the future.", "read_at"):
        receive(batch, happened_at=timezone.now() + timedelta(hours=1))


def test_receiving_more_than_the_glass_can_hold_is_refused_for_all():
    batch = make_batch("Ba")

    with refused(
        "103 % full at 40 °C: too little room for expansion, the glass may burst.",
        "stated",
    ):
        receive(batch, stated_ug=18_600_000)


def test_a_spent_vessel_is_not_filled_again():
    vessel = make_vessel()
    take(vessel)

    with refused(
        f"{vessel} was filled on {vessel.filled_on:%-d %b %Y}. Glass that is used "
        "again becomes a new vessel: tare it anew."
    ):
        fill(vessel, stated_ug=G)
