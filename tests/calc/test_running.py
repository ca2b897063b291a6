"""What a run's readings say: grams, rate, and only the prediction they support."""

from math import log

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.calc.density import TooHot
from inventory.calc.running import (
    Point,
    ReceiverFrozen,
    collected,
    progress,
    yield_so_far,
)
from inventory.calc.stoichiometry import ChargeFacts, FormulaError, theoretical_metal
from inventory.calc.uncertainty import exact
from inventory.calc.units import show_rate
from tests.calc.receiver import (
    CAESIUM,
    DENSITY,
    RATE,
    WARM_C,
    below_at,
    every,
    grown,
    readings,
)
from tests.calc.shipped import facts

WORTH = 2e6  # 2 g/h: passed after ln(10)/0.4 = 5.76 h
LIMIT = show_rate(WORTH)


def test_35_ml_of_liquid_caesium_is_the_handbook_s_density_times_the_volume():
    # CRC Handbook, molten elements: 1836.6 kg/m³ at 40 °C, so 64.28 g.
    mass = collected(Point(2.0, 35_000, 0.0, 40.0), CAESIUM)

    assert mass.n / 1e6 == pytest.approx(64.28, abs=0.01)


@pytest.mark.parametrize("symbol", ["Na", "K", "Rb", "Cs", "NaK"])
def test_the_same_volume_is_less_metal_in_a_warmer_receiver(symbol):
    known = facts(symbol)

    def grams(above_melting):
        point = Point(0, 1e4, 50, known.melting_point_c + above_melting)
        return collected(point, known).n

    assert grams(80) < grams(5)


def test_a_frozen_receiver_tells_no_mass():
    with pytest.raises(ReceiverFrozen) as refusal:
        collected(Point(1.0, 5_000, 50, 25.0), CAESIUM)

    assert str(refusal.value) == (
        "Cs is solid at 25 °C (it melts at 28.5 °C): a graduation can be read only "
        "while the metal is liquid."
    )


def test_a_receiver_hotter_than_the_metal_boils_is_a_slip():
    with pytest.raises(TooHot, match="boils"):
        collected(Point(1.0, 5_000, 50, 700.0), CAESIUM)


def test_a_reading_without_uncertainty_is_good_to_one_per_cent():
    mass = collected(Point(1.0, 20_000, 0.0, WARM_C), CAESIUM)
    density = collected(Point(1.0, 20_000, 1e-9, WARM_C), CAESIUM)

    assert (mass.s / mass.n) ** 2 == pytest.approx(
        0.01**2 + (density.s / density.n) ** 2, rel=1e-6
    )


def test_the_yield_so_far_is_of_all_that_the_charges_hold():
    # Common practice, no source: 35 mL from 100 g of the chloride are some 80 %.
    theory = theoretical_metal([ChargeFacts("CsCl", 1e8, 0, 1.0, "source")], "Cs")
    mass = collected(Point(5.0, 35_000, 100, 40.0), CAESIUM)

    assert yield_so_far(mass, theory.mass_ug).n == pytest.approx(0.80, abs=0.03)
    with pytest.raises(FormulaError, match="no yield"):
        yield_so_far(mass, exact(0.0))


def test_a_finely_read_exponential_tells_when_it_stops_paying():
    said = progress(readings(every(0.5, 4), u_ul=1e-3), CAESIUM, WORTH)

    assert said.falls_below == pytest.approx(below_at(WORTH), abs=1e-6)
    assert said.collected.n == pytest.approx(grown(4))
    assert said.words == (
        f"If it goes on falling as since 0.0 h, the rate falls below {LIMIT} at about "
        "5.8 h ± 0.1 h (k = 2) into the run."
    )


@given(st.permutations(range(9)), st.integers(0, 20))
def test_the_order_of_the_readings_does_not_matter(order, seed):
    points = readings(every(0.5, 4), noise_ul=70, seed=seed)

    ordered = progress(points, CAESIUM, WORTH)
    shuffled = progress([points[i] for i in order], CAESIUM, WORTH)

    assert shuffled.words == ordered.words
    assert shuffled.falls_below == pytest.approx(ordered.falls_below)
    assert shuffled.rate_ug_per_h.n == pytest.approx(ordered.rate_ug_per_h.n)


def test_when_it_fell_below_is_told_afterwards():
    said = progress(readings(every(0.5, 9), noise_ul=70, seed=1), CAESIUM, WORTH)

    assert said.falls_below == pytest.approx(below_at(WORTH), abs=0.3)
    assert said.words.startswith(f"The rate fell below {LIMIT} at about 5.")


def test_of_a_rate_that_was_below_from_the_start_no_time_is_told():
    said = progress(readings(every(0.5, 4), u_ul=1.0, rate=1.5e6), CAESIUM, WORTH)

    assert said.falls_below is None
    assert said.words.endswith(f"It was below {LIMIT} by 0.0 h already.")


def test_no_prediction_reaches_further_ahead_than_the_readings_reach_back():
    # 20 g/h falls below 20 mg/h after 17 h; the readings are of the first four.
    said = progress(readings(every(0.5, 4), u_ul=1.0), CAESIUM, 20e3)

    assert said.falls_below is None
    assert said.words.endswith("within 4.0 h.")


@pytest.mark.parametrize("seed", range(12))
@pytest.mark.parametrize("law", [{"fall": 0.0}, {"rate": 3e6, "fall": -0.2}])
def test_a_rate_that_does_not_fall_gets_no_prediction(law, seed):
    points = readings(every(0.5, 5), noise_ul=70, seed=seed, **law)

    said = progress(points, CAESIUM, WORTH)

    assert said.falls_below is None
    assert f"The rate of the last 1.5 h is above {LIMIT}." in said.words


def test_a_warming_up_below_the_worth_is_said_to_rise():
    said = progress(
        readings(every(0.5, 5), u_ul=5, rate=5e5, fall=-0.2), CAESIUM, WORTH
    )

    assert said.words == (
        f"The rate of the last 1.5 h is below {LIMIT}. The rate is rising."
    )


@pytest.mark.parametrize("count", [1, 2, 3, 4])
def test_too_few_readings_get_no_prediction(count):
    said = progress(readings(every(0.5, 4)[:count]), CAESIUM, WORTH)

    assert said.falls_below is None
    assert "oo few" in said.words
    assert (said.rate_ug_per_h is None) == (count == 1)


def test_coarse_readings_get_a_rate_but_no_prediction():
    said = progress(readings(every(0.5, 4), u_ul=3_000), CAESIUM, WORTH)

    assert said.rate_ug_per_h.s > 1e6
    assert said.falls_below is None


def test_the_receiver_s_calibration_cancels_in_the_rate():
    points = readings([0.0, 1.0, 2.0, 3.0], u_ul=200.0, fall=0.0)
    shifted = readings([0.0, 1.0, 2.0, 3.0], u_ul=200.0, fall=0.0, start_ul=400.0)

    rate = progress(points, CAESIUM).rate_ug_per_h
    assert progress(shifted, CAESIUM).rate_ug_per_h.n == pytest.approx(rate.n)
    # Half of the variance is shared: Sxx = 5 h², so u = 200/√2/√5 µL/h; and the
    # density's 0.8 % stays.
    own = 200 / 10**0.5 * DENSITY
    density = progress(readings([0, 1, 2, 3], 1e-6, fall=0.0), CAESIUM).rate_ug_per_h
    assert rate.s**2 == pytest.approx(own**2 + density.s**2, rel=1e-6)


def test_one_reading_below_its_neighbours_does_not_lift_the_rate():
    points = readings(every(0.5, 5), u_ul=50, fall=0.0, rate=4e6)
    points[8] = Point(4.0, 500.0, 50, WARM_C)  # 0.5 mL noted in place of 8.7

    said = progress(points, CAESIUM, WORTH)

    assert said.rate_ug_per_h.n == pytest.approx(4e6, rel=0.05)
    assert said.words.startswith("The reading at 4.0 h is below those around it")


def test_readings_of_a_frozen_receiver_are_left_out_and_said_so():
    points = readings(every(0.5, 5))
    cold = Point(6.0, 40_000, 100, 20.0)

    said = progress([*points, cold], CAESIUM)

    assert said.collected.n == pytest.approx(grown(5))
    assert "Readings of the frozen receiver are left out." in said.words
    with pytest.raises(ReceiverFrozen):
        progress([cold], CAESIUM)


def test_a_run_without_readings_has_no_progress():
    with pytest.raises(ValueError, match="no progress"):
        progress([], CAESIUM)


def test_a_logger_s_thousands_of_readings_know_no_more_than_a_few():
    dense = progress(readings(every(0.001, 5)), CAESIUM, WORTH)
    sparse = progress(readings(every(0.22, 5)), CAESIUM, WORTH)

    assert dense.falls_below == pytest.approx(below_at(WORTH), abs=0.01)
    assert dense.u_falls_below == pytest.approx(sparse.u_falls_below, rel=0.1)


def test_two_readings_of_one_moment_are_no_rate():
    twice = [Point(1.0, 900, 50, WARM_C), Point(1.0, 920, 50, WARM_C)]

    assert progress(twice, CAESIUM).rate_ug_per_h is None


@given(st.integers(0, 400))
def test_a_prediction_is_never_far_from_the_truth_it_claims(seed):
    points = readings(every(0.5, 4.5), u_ul=100, noise_ul=70, seed=seed)

    said = progress(points, CAESIUM, WORTH)

    # Six standard uncertainties: never, where two are one case in twenty.
    if said.falls_below is not None:
        assert abs(said.falls_below - log(RATE / WORTH) / 0.4) < 6 * said.u_falls_below
        assert 2 * said.u_falls_below <= 4.5
        assert said.falls_below <= 9.0
