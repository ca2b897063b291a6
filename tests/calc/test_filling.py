import pytest
from CoolProp.CoolProp import PropsSI

from inventory.calc.density import MaterialFacts
from inventory.calc.filling import floats, headspace, layers


def facts(symbol, melting_c, solid, liquid, slope):
    """The catalogue's rows that matter here; boiling far away."""
    return MaterialFacts(
        symbol, 1.0, solid, 0, 90e-6, melting_c, 1500.0, liquid, 0, slope
    )


CAESIUM = facts("Cs", 28.5, 1873, 1843, 0.556)
SODIUM = facts("Na", 97.794, 968, 927, 0.230)


def test_metal_that_melts_in_a_warm_room_is_taken_as_liquid():
    room = headspace(1_000_000, CAESIUM, 10_000)

    liquid_density = 1843 - 0.556 * (40 - 28.5)
    assert room.melted
    assert room.fraction_full == pytest.approx(1_000_000 / liquid_density / 10_000)


def test_metal_that_stays_solid_swells_as_a_solid():
    room = headspace(1_000_000, SODIUM, 10_000)

    solid_density = 968 / (1 + 3 * 90e-6 * 20)
    assert not room.melted
    assert room.fraction_full == pytest.approx(1_000_000 / solid_density / 10_000)


def test_caesium_takes_up_two_per_cent_more_room_once_it_has_melted():
    # Melting expansion: 1.6 % from these densities, 2.6 % directly (from memory).
    solid = headspace(1_000_000, CAESIUM, 10_000, warmest_c=20).fraction_full
    molten = headspace(1_000_000, CAESIUM, 10_000).fraction_full

    assert 1.015 < molten / solid < 1.03


def test_the_protective_liquid_swells_on_its_way_to_the_warmest_temperature():
    # Hexane, which swells most of the liquids in the catalogue, by CoolProp.
    swelling = {
        fluid: PropsSI("D", "T", 293.15, "P", 101_325, fluid)
        / PropsSI("D", "T", 313.15, "P", 101_325, fluid)
        for fluid in ("n-Hexane", "n-Heptane", "Toluene")
    }
    cold = headspace(0, SODIUM, 10_000, liquid_ul=5_000, warmest_c=20)
    warm = headspace(0, SODIUM, 10_000, liquid_ul=5_000, warmest_c=40)

    ratio = warm.fraction_full / cold.fraction_full
    assert ratio == pytest.approx(swelling["n-Hexane"], abs=2e-4)
    assert ratio > max(swelling["n-Heptane"], swelling["Toluene"])


@pytest.mark.parametrize(
    ("liquid_ul", "verdict"),
    [(8_999, "fine"), (9_001, "tight"), (9_799, "tight"), (9_801, "refuse")],
)
def test_above_ninety_per_cent_is_tight_and_above_ninety_eight_is_refused(
    liquid_ul, verdict
):
    # Common practice, no source: 90 % and 98 %.
    room = headspace(0, SODIUM, 10_000, liquid_ul=liquid_ul, warmest_c=20)

    assert room.verdict == verdict
    assert room.sentence.endswith(".")
    assert f"{100 * room.fraction_full:.0f} %" in room.sentence


def test_a_melt_that_would_burst_the_glass_is_refused_in_words():
    room = headspace(18_300_000, CAESIUM, 10_000)

    assert room.verdict == "refuse"
    assert "molten" in room.sentence
    assert "burst" in room.sentence


@pytest.mark.parametrize(
    ("metal", "liquid", "does"),
    [
        (534, 659, True),  # lithium on hexane
        (534, 840, True),
        (862, 840, False),
        (862, 870, True),
        (862, 867, True),  # potassium on toluene
        (968, 867, False),
        (862, 862, True),  # equal: nothing holds it down
    ],
)
def test_a_metal_no_denser_than_its_liquid_floats(metal, liquid, does):
    # Catalogue densities in kg/m³ at 20 °C; the oils' are typical, from memory.
    assert floats(metal, liquid) is does


def test_lithium_lies_on_its_oil_and_sodium_under_it():
    assert layers(534_000, 534, 2_000, 840) == [("liquid", 2_000), ("metal", 1_000)]
    assert layers(968_000, 968, 2_000, 840) == [("metal", 1_000), ("liquid", 2_000)]


def test_layers_that_are_not_there_are_left_out():
    assert layers(968_000, 968, 0, None) == [("metal", 1_000)]
    assert layers(0, 968, 2_000, 840) == [("liquid", 2_000)]
    assert layers(0, 968, 0, None) == []
