"""The vessel figure shows the true level, says so in words, and stays in its frame."""

import re
from itertools import pairwise
from math import pi

import pytest
from django.template import Context, Template
from hypothesis import given
from hypothesis import strategies as st

from inventory.calc import profile
from inventory.web import callouts, figure, fillings, outline
from inventory.web.figure import Contents, draw

KINDS = sorted(fillings.KIND_NAMES)
SIZES = ("large", "small")
POINT = re.compile(r"(-?\d+\.\d+),(-?\d+\.\d+)")


def points(path):
    return [(float(x), float(y)) for x, y in POINT.findall(path)]


def turned_volume(path, axis_x):
    """Return the volume of a drawn outline turned about its axis, by thin discs.

    Source: volume of revolution as the sum of frustums, any calculus textbook.
    """
    right = sorted({(y, x - axis_x) for x, y in points(path) if x >= axis_x - 0.005})
    return sum(
        pi * (y2 - y1) * (r1 * r1 + r1 * r2 + r2 * r2) / 3
        for (y1, r1), (y2, r2) in pairwise(right)
    )


def level_of(drawing, paint):
    return next(layer.level for layer in drawing.layers if layer.paint == paint)


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("share", [0.05, 0.3, 0.6, 0.9])
def test_the_drawn_filling_turned_about_its_axis_holds_its_share(kind, share):
    axis_x = figure.frame_for(kind, large=True).axis_x

    part = draw(kind, 10_000, Contents(metal_ul=10_000 * share)).layers[0]
    whole = draw(kind, 10_000, Contents(metal_ul=10_000)).layers[0]

    drawn = turned_volume(part.path, axis_x) / turned_volume(whole.path, axis_x)
    assert drawn == pytest.approx(share, abs=0.012)


def test_a_globe_is_filled_by_the_rule_of_the_spherical_cap():
    # V = π h² (3R - h) / 3. Source: solid geometry, from memory.
    radius = max(r for _, r in profile.profile("bulb"))
    height = 0.4 * radius
    cap, half = (pi * h**2 * (3 * radius - h) / 3 for h in (height, radius))
    half_ul = profile.volume_at("bulb", 500_000, radius)

    drawing = draw("bulb", 500_000, Contents(metal_ul=half_ul * cap / half))

    assert level_of(drawing, "metal") == pytest.approx(height, rel=0.01)


def test_the_level_is_not_a_percentage_of_the_height():
    drawing = draw("bulb", 500_000, Contents(metal_ul=50_000))

    brim = profile.closure_height("bulb")
    assert level_of(drawing, "metal") > 0.15 * brim


@pytest.mark.parametrize("kind", KINDS)
def test_rounding_the_corners_moves_the_outline_by_less_than_a_hundredth(kind):
    closure = profile.closure_height(kind)
    drawn = outline.smooth(kind)

    def distance(point, start, end):
        along = (end[0] - start[0], end[1] - start[1])
        length = along[0] ** 2 + along[1] ** 2
        away = (point[0] - start[0], point[1] - start[1])
        share = (away[0] * along[0] + away[1] * along[1]) / length if length else 0
        share = min(max(share, 0), 1)
        miss = (away[0] - share * along[0], away[1] - share * along[1])
        return (miss[0] ** 2 + miss[1] ** 2) ** 0.5

    for point in profile.profile(kind):
        if point[0] < closure:
            nearest = min(distance(point, *piece) for piece in pairwise(drawn))
            assert nearest < 0.01


def test_metal_lies_under_its_oil_and_floats_where_it_is_lighter():
    sunk = draw("vial", 20_000, Contents(4_000, 8_000))
    afloat = draw("vial", 20_000, Contents(4_000, 8_000, metal_floats=True))

    assert level_of(sunk, "metal") < level_of(sunk, "liquid")
    assert level_of(afloat, "metal") > level_of(afloat, "liquid")
    assert level_of(sunk, "liquid") == pytest.approx(level_of(afloat, "metal"))


@given(
    kind=st.sampled_from(KINDS),
    size=st.sampled_from(SIZES),
    capacity_ul=st.floats(100, 5e6),
    metal=st.floats(0, 1.5),
    liquid=st.floats(0, 1.5),
    afloat=st.booleans(),
    sealed=st.booleans(),
)
def test_nothing_is_painted_outside_the_frame(
    kind, size, capacity_ul, metal, liquid, afloat, sealed
):
    contents = Contents(metal * capacity_ul, liquid * capacity_ul, metal_floats=afloat)

    drawing = draw(kind, capacity_ul, contents, size=size, sealed=sealed)

    paths = [drawing.walls, drawing.inside, *(layer.path for layer in drawing.layers)]
    for x, y in (point for path in paths for point in points(path)):
        assert 0 <= x <= drawing.width
        assert 0 <= y <= drawing.height


@pytest.mark.parametrize("kind", KINDS)
def test_more_than_fits_is_drawn_to_the_closure_and_marked(kind):
    full = draw(kind, 10_000, Contents(metal_ul=10_000))
    over = draw(kind, 10_000, Contents(metal_ul=10_500))

    assert not full.over
    assert over.over
    assert level_of(over, "metal") == level_of(full, "metal")
    assert "105.0 % full" in over.words


@pytest.mark.parametrize("size", SIZES)
def test_without_a_capacity_no_level_is_drawn_and_the_words_say_why(size):
    drawing = draw("vial", None, Contents(metal_ul=4_000, metal="strontium"), size=size)

    assert drawing.layers == []
    assert drawing.gas == "unknown"
    assert "capacity not recorded: 4.00 mL strontium" in drawing.words


@pytest.mark.parametrize("size", SIZES)
def test_a_trace_of_metal_still_shows_a_surface(size):
    drawing = draw("schlenk_flask", 1_000_000, Contents(metal_ul=1), size=size)

    assert drawing.layers[0].surface
    assert 0 < drawing.layers[0].level < 0.02


def test_the_words_name_what_is_inside_from_below():
    contents = Contents(4_300, 8_200, "Argon", metal="potassium", liquid="light oil")

    words = fillings.in_words("vial", 20_000, contents)

    assert words == (
        "Vial of 20 mL, 62.5 % full: 4.30 mL potassium under 8.20 mL light oil, "
        "argon above."
    )


def test_the_words_of_an_empty_and_of_an_evacuated_vessel():
    empty = fillings.in_words("ampoule", 5_000, Contents(gas="air"))
    evacuated = fillings.in_words("ampoule", 5_000, Contents(2_000, gas="vacuum"))

    assert empty == "Ampoule of 5 mL, 0.0 % full: empty, air inside."
    assert evacuated == "Ampoule of 5 mL, 40.0 % full: 2.00 mL metal, under vacuum."


@pytest.mark.parametrize(
    ("capacity_ul", "step_ul"), [(1_000, 200), (12_000, 2_000), (250_000, 50_000)]
)
def test_the_scale_steps_are_round(capacity_ul, step_ul):
    assert callouts.scale_step_ul(capacity_ul) == pytest.approx(step_ul)


@given(
    st.lists(st.floats(0, 260), min_size=1, max_size=3),
    st.lists(st.floats(30, 62), min_size=3, max_size=3),
)
def test_names_beside_the_figure_never_overlap(wanted, heights):
    wanted.sort()
    heights = heights[: len(wanted)]

    placed = callouts.spread(wanted, heights)

    for n in range(1, len(placed)):
        apart = placed[n] - placed[n - 1]
        assert apart >= (heights[n - 1] + heights[n]) / 2 - 1e-9
    assert all(0 <= y <= figure.HEIGHT for y in placed)


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("kind", KINDS)
def test_the_markup_is_named_and_keeps_the_content_security_policy(kind, size):
    page = Template(
        "{% vessel_figure kind=kind capacity_ul=20000 metal_ul=4300 liquid_ul=8200"
        " size=size label='K26B-02' %}"
    ).render(Context({"kind": kind, "size": size}))

    assert 'role="img"' in page
    assert "<title>K26B-02</title>" in page
    assert "20 mL, 62.5 % full" in page
    assert " style=" not in page
    assert "<script" not in page
    # No ids of its own, so that any number of figures may stand on one page.
    assert " id=" not in page


def test_a_row_of_a_list_costs_less_than_four_kilobytes():
    page = Template(
        "{% vessel_figure kind='schlenk_flask' capacity_ul=20000 metal_ul=4300"
        " liquid_ul=8200 size='small' label='K26B-02' %}"
    ).render(Context())

    assert len(page) < 4_000
