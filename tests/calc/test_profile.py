from itertools import pairwise
from math import pi

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.calc.profile import (
    KINDS,
    closure_height,
    level_for,
    profile,
    volume_at,
    width_mm,
)

kinds = st.sampled_from(KINDS)
capacities = st.floats(100, 10_000_000)
shares = st.floats(0, 1)


def test_every_kind_of_vessel_has_a_profile():
    assert set(KINDS) == {
        "ampoule",
        "vial",
        "schlenk_tube",
        "schlenk_flask",
        "bulb",
        "bottle",
    }


@pytest.mark.parametrize("kind", KINDS)
def test_a_profile_rises_from_the_bottom_to_the_brim(kind):
    points = profile(kind)

    assert points[0][0] == 0
    assert points[-1][0] == 1
    assert all(low[0] < high[0] for low, high in pairwise(points))
    assert all(radius >= 0 for _, radius in points)
    assert all(radius > 0 for _, radius in points[1:-1])
    assert 0 < closure_height(kind) <= 1


@given(kinds, capacities, shares)
def test_the_level_of_a_volume_holds_that_volume(kind, capacity_ul, share):
    volume_ul = share * capacity_ul

    level = level_for(kind, capacity_ul, volume_ul)

    assert volume_at(kind, capacity_ul, level) == pytest.approx(
        volume_ul, rel=1e-6, abs=1e-9 * capacity_ul
    )


@given(kinds, capacities, shares, shares)
def test_more_volume_stands_higher(kind, capacity_ul, one, other):
    less, more = sorted((one, other))

    assert level_for(kind, capacity_ul, less * capacity_ul) <= level_for(
        kind, capacity_ul, more * capacity_ul
    )


@pytest.mark.parametrize("kind", KINDS)
def test_an_empty_vessel_stands_at_the_bottom_and_a_full_one_at_the_closure(kind):
    assert level_for(kind, 5_000, 0) == 0
    assert level_for(kind, 5_000, -1) == 0
    assert level_for(kind, 5_000, 5_000) == pytest.approx(closure_height(kind))
    assert level_for(kind, 5_000, 9_000) == closure_height(kind)
    assert volume_at(kind, 5_000, closure_height(kind)) == pytest.approx(5_000)


@pytest.mark.parametrize("kind", KINDS)
def test_the_volume_is_the_solid_of_revolution_by_independent_quadrature(kind):
    # Simpson's rule on π r² within each straight piece, exact for its quadratic.
    def quadrature(limit):
        total = 0.0
        for (h1, r1), (h2, r2) in pairwise(profile(kind)):
            top = min(h2, limit)
            if top <= h1:
                break
            r_top = r1 + (r2 - r1) * (top - h1) / (h2 - h1)
            middle = (r1 + r_top) / 2
            total += (top - h1) / 6 * pi * (r1**2 + 4 * middle**2 + r_top**2)
        return total

    whole = quadrature(closure_height(kind))
    for level in (0.03, 0.1, 0.25, 0.4, 0.55, 0.7, 0.85):
        expected = quadrature(level) / whole
        assert volume_at(kind, 1.0, level) == pytest.approx(expected, rel=1e-9)


def test_a_round_bottom_holds_two_thirds_of_the_cylinder_round_it():
    # Archimedes, On the Sphere and Cylinder. The tube goes on as that cylinder.
    radius = max(r for _, r in profile("schlenk_tube"))

    bottom = volume_at("schlenk_tube", 1.0, radius)
    cylinder = volume_at("schlenk_tube", 1.0, 2 * radius) - bottom

    assert bottom / cylinder == pytest.approx(2 / 3, rel=5e-3)


def test_half_a_globe_of_liquid_does_not_stand_at_half_the_height_of_the_vessel():
    half = level_for("schlenk_flask", 100_000, 50_000)
    radius = max(r for _, r in profile("schlenk_flask"))

    assert half < closure_height("schlenk_flask") / 2
    assert half == pytest.approx(radius, rel=0.1)  # nearly the globe's equator


def test_levels_need_a_capacity():
    with pytest.raises(AssertionError):
        level_for("vial", 0, 10)


@pytest.mark.parametrize("kind", KINDS)
def test_the_body_is_as_wide_as_the_cylinder_that_holds_a_slice_of_it(kind):
    # Between two levels close above its widest point the wall is all but upright, so
    # the slice is π/4 · width² · height.
    capacity_ul = 20_000
    width = width_mm(kind, capacity_ul)
    widest, radius = max(profile(kind), key=lambda point: point[1])
    height_mm = width / 2 / radius
    step = 1e-4
    slice_ul = volume_at(kind, capacity_ul, widest) - volume_at(
        kind, capacity_ul, widest - step
    )

    assert slice_ul == pytest.approx(pi / 4 * width**2 * step * height_mm, rel=2e-2)


def test_eight_times_the_capacity_is_twice_as_wide():
    small, large = (width_mm("ampoule", ul) for ul in (5_000, 40_000))

    assert large == pytest.approx(2 * small)
