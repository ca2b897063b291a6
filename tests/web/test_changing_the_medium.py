"""Adding, draining and exchanging what the metal is kept in, weighed or not."""

import pytest

from inventory.models import LogEntry, Medium, MediumRule
from inventory.operations import ledger
from tests.factories import make_balance, make_batch, make_vessel
from tests.web.laboratory import make_oiled
from tests.web.person import answered, opened, recorded, refused, sent_twice


@pytest.fixture
def vessel(shipped):
    """Return an argon-filled vessel of 20 mL that holds 5 g of potassium."""
    make_balance(name="Balance 1")
    return make_vessel(make_batch("K"))


@pytest.fixture
def oiled(shipped):
    """Return 5 g of potassium under 8 g of light mineral oil and argon."""
    make_balance(name="Balance 1")
    return make_oiled()


def change(vessel):
    return f"/vessels/{vessel.pk}/medium/"


OIL = {"medium": "mineral_oil_light", "gas": "argon", "way": "in"}


def test_another_gas_is_recorded_and_the_metal_stays_as_it_was(as_keeper, vessel):
    page = recorded(as_keeper, change(vessel), medium="vacuum", way="none")

    now = ledger.read(vessel.pk)
    assert (now.medium.key, now.gas.key) == ("vacuum", "vacuum")
    assert abs(now.remaining_ug - 5_000_000) < 10
    assert "vacuum" in page.facts["Kept in"]


def test_after_the_gas_changed_the_vessel_is_expected_to_weigh_less(as_keeper, vessel):
    # Under argon it reads 24.9911 g: 5 g of potassium (ρ 862) less 9.6 mg of argon.
    # The 20 mL hold 33.2 mg of argon at 20 °C and 1013 hPa (ideal gas, 39.95 g/mol),
    # of which 14.2 mL are not metal's; without it: 24.9675 g.
    recorded(as_keeper, change(vessel), medium="vacuum", way="none")

    page = recorded(as_keeper, f"/vessels/{vessel.pk}/check/", reading="24.9675 g")

    assert "it agrees" in page.messages


def test_liquid_put_in_is_inside_from_then_on(as_keeper, vessel):
    page = recorded(as_keeper, change(vessel), **OIL, amount="8 g")

    now = ledger.read(vessel.pk)
    assert (now.medium.key, now.gas.key) == ("mineral_oil_light", "argon")
    assert now.liquid_ug == pytest.approx(8_000_000, abs=1)
    assert "8.000 g" in page.facts["Liquid inside"]


def test_liquid_given_by_volume_is_weighed_by_its_density(as_keeper, vessel):
    recorded(as_keeper, change(vessel), **OIL, amount="10 mL")

    # Light mineral oil: 0.83 to 0.86 g/cm³ (suppliers' sheets; common practice).
    assert 8.3e6 <= ledger.read(vessel.pk).liquid_ug <= 8.6e6


def test_liquid_drained_is_gone_from_then_on(as_keeper, oiled):
    recorded(as_keeper, change(oiled), way="out", amount="3 g")

    assert ledger.read(oiled.pk).liquid_ug == pytest.approx(5_000_000, abs=1)


def test_all_of_the_liquid_drained_leaves_none(as_keeper, oiled):
    page = recorded(as_keeper, change(oiled), medium="argon", way="all")

    now = ledger.read(oiled.pk)
    assert (now.medium.key, now.gas.key) == ("argon", "argon")
    assert now.liquid_ug == pytest.approx(0, abs=1)
    assert "Gas above" not in page.facts


def liquid_u_ug(vessel):
    return vessel.estimates.order_by("-id").first().var_liquid ** 0.5


def test_the_less_is_known_of_the_liquid_the_less_sure_it_is(as_keeper, shipped):
    make_balance(name="Balance 1")
    sure = []
    for known in ("known", "roughly", "unknown"):
        vessel = make_vessel(make_batch("K"))
        recorded(as_keeper, change(vessel), **OIL, amount="8 g", liquid_known=known)
        sure.append(liquid_u_ug(vessel))

    # Measured to a hundredth; within a half, as a rectangle (JCGM 100, 4.3.7):
    # 4 g / √3; unknown, anything that the 20 mL have room for.
    assert sure[0] == pytest.approx(80_000, rel=0.01)
    assert sure[1] == pytest.approx(4_000_000 / 3**0.5, rel=0.01)
    assert sure[2] > sure[1]


def test_a_reading_afterwards_says_how_much_liquid_went_in(as_keeper, vessel):
    # 24.9911 g before (see above); 8 g of oil less 15.8 mg of argon, and 0.015 %
    # more, is 7.9854 g.
    page = recorded(
        as_keeper, change(vessel), **OIL, liquid_known="unknown", after="32.9765 g"
    )

    now = ledger.read(vessel.pk)
    assert now.liquid_ug == pytest.approx(8_000_000, abs=3_000)
    assert now.remaining_ug == pytest.approx(5_000_000, abs=1_000)
    assert "32.9765 g" in page.table_under("readings")[-1]


def test_readings_before_and_after_are_both_kept(as_keeper, oiled):
    recorded(
        as_keeper, change(oiled), way="out", liquid_known="unknown",
        before="32.9765 g", after="29.9825 g",
    )  # fmt: skip

    purposes = oiled.weighings.order_by("id").values_list("purpose", flat=True)
    assert list(purposes) == ["tare", "before", "after"]
    # 2.994 g of reading is 3 g of oil less 5.9 mg of argon, and 0.015 % more.
    assert ledger.read(oiled.pk).liquid_ug == pytest.approx(5_000_000, abs=4_000)


def test_a_reading_before_that_disagrees_leads_to_a_check_weighing(as_keeper, oiled):
    page = answered(
        as_keeper, change(oiled), way="out", amount="3 g",
        before="31 g", after="28 g",
    )  # fmt: skip

    assert page.status == 422
    assert list(page.wrong()) == ["before"]
    assert f"/vessels/{oiled.pk}/check/" in page.links


def test_a_medium_that_must_never_be_is_refused_with_the_reason(as_keeper, shipped):
    # Lithium takes up nitrogen at room temperature: Bailey et al., Management of
    # time-sensitive chemicals.
    make_balance(name="Balance 1")
    vessel = make_vessel(make_batch("Li"))

    said = refused(
        as_keeper, change(vessel), "medium", medium="nitrogen", way="none",
        accept_medium="on",
    )  # fmt: skip

    assert "nitr" in said
    assert ledger.read(vessel.pk).medium.key == "argon"


def test_a_medium_advised_against_needs_a_decision(as_keeper, shipped):
    make_balance(name="Balance 1")
    rules = MediumRule.objects.filter(verdict="avoid").exclude(medium__key="air")
    rule = rules.select_related("material", "medium").first()
    vessel = make_vessel(make_batch(rule.material.symbol))
    way = {**OIL, "amount": "2 g"} if rule.medium.is_liquid else {"way": "none"}
    typed = {**way, "medium": rule.medium.key}

    said = refused(as_keeper, change(vessel), "medium", **typed)
    recorded(as_keeper, change(vessel), **typed, accept_medium="on")

    assert "Tick “go ahead all the same”" in said
    assert ledger.read(vessel.pk).medium == rule.medium


def test_a_drained_amount_that_nobody_knows_leaves_less_than_there_was(
    as_keeper, oiled
):
    recorded(as_keeper, change(oiled), way="out", liquid_known="unknown")

    assert 0 < ledger.read(oiled.pk).liquid_ug < 8_000_000


@pytest.mark.parametrize("way", ["in", "none"])
def test_two_liquids_do_not_mix(as_keeper, oiled, way):
    said = refused(
        as_keeper, change(oiled), "medium", medium="kerosene", way=way, amount="2 g"
    )

    light = Medium.objects.get(key="mineral_oil_light")
    assert said.startswith(f"There is {light.name} inside.")
    assert "drain it first" in said


def test_an_amount_that_is_missing_is_asked_for(as_keeper, oiled):
    said = refused(as_keeper, change(oiled), "amount", way="out", amount="")

    assert said == "Say how much, or that nobody knows."


def test_an_amount_in_moles_of_oil_is_refused(as_keeper, oiled):
    said = refused(as_keeper, change(oiled), "amount", way="out", amount="5 mmol")

    assert said == "Give a mass or a volume, as in 12.1 g or 14 mL."


@pytest.mark.parametrize("way", ["in", "out", "all"])
def test_liquid_where_there_is_none_before_or_after_is_refused(as_keeper, vessel, way):
    said = refused(as_keeper, change(vessel), "way", way=way, amount="2 g")

    assert said == "There is no liquid here, before or after."


def test_a_liquid_without_the_gas_above_it_is_refused(as_keeper, vessel):
    said = refused(as_keeper, change(vessel), "gas", **{**OIL, "gas": ""}, amount="8 g")

    assert said == "Say which gas is above the light mineral oil."


def test_a_liquid_that_was_never_put_in_is_refused(as_keeper, vessel):
    said = refused(as_keeper, change(vessel), "way", **{**OIL, "way": "none"})

    assert said == "Say how much light mineral oil was put in."


def test_a_gas_instead_of_a_liquid_that_is_still_inside_is_refused(as_keeper, oiled):
    said = refused(as_keeper, change(oiled), "way", medium="argon", way="none")

    assert said == "There is light mineral oil inside: say how it was drained."


def test_a_change_sent_twice_is_recorded_once_and_says_so(as_keeper, vessel):
    page = sent_twice(as_keeper, change(vessel), medium="vacuum", way="none")

    assert LogEntry.objects.filter(verb="medium").count() == 1
    assert "had been sent already" in page.messages


def test_the_page_says_what_is_inside_now(as_keeper, oiled):
    facts = opened(as_keeper, change(oiled)).facts

    assert facts["Kept in now"] == "light mineral oil"
    assert facts["Liquid inside"] == "8.000 g"
    assert facts["Gas above"] == "argon"
