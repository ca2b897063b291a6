"""The family is drawn so that it can be read: every batch, every line, nothing hidden."""

import re
from datetime import date
from types import SimpleNamespace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.models import Membership
from inventory.operations.families import Family
from inventory.web import family
from tests.factories import G, make_batch, make_booking, make_project, make_vessel
from tests.web.person import opened

NUMBER = r"-?[\d.]+"


def batch(key, **facts):
    facts = {"held_ug": 0, "vessel_count": 0, "process": "", **facts}
    return SimpleNamespace(
        pk=key,
        code=f"RB26{chr(65 + key)}",
        material=SimpleNamespace(name="rubidium"),
        made_on=date(2026, 1, 1),
        get_kind_display=lambda: "Bought",
        get_process_display=lambda: "Distillation",
        **facts,
    )


@st.composite
def families(draw):
    """Return a random family: batch 0, ancestors before it, descendants after."""
    above, below = draw(st.integers(0, 5)), draw(st.integers(0, 5))
    order = [*range(1, above + 1), 0, *range(above + 1, above + below + 1)]
    links = set()
    here = order.index(0)
    for n, key in enumerate(order):
        if n < here:  # leads to the batch, or to another ancestor below it
            for other in draw(
                st.sets(st.sampled_from(order[n + 1 : here + 1]), min_size=1)
            ):
                links.add((key, other))
        if n > here:
            for other in draw(st.sets(st.sampled_from(order[here:n]), min_size=1)):
                links.add((other, key))
    batches = {key: batch(key) for key in order}
    return Family(batches[0], batches, sorted(links))


@given(families())
def test_every_batch_is_drawn_once_and_none_lies_on_another(found):
    drawing = family.drawn(found)

    assert sorted(node.batch.pk for node in drawing.nodes) == sorted(found.batches)
    for one in drawing.nodes:
        assert 0 <= one.x <= drawing.width - family.WIDTH
        assert 0 <= one.y <= drawing.height - family.HEIGHT
        for other in drawing.nodes:
            apart = (
                abs(one.x - other.x) >= family.WIDTH
                or abs(one.y - other.y) >= family.HEIGHT
            )
            assert one is other or apart


@given(families())
def test_every_line_leads_down_from_a_parent_to_its_child(found):
    drawing = family.drawn(found)
    at = {node.batch.pk: node for node in drawing.nodes}

    assert len(drawing.lines) == len(found.links) == len(drawing.heads)
    for (parent, child), path in zip(found.links, drawing.lines, strict=True):
        assert at[parent].y < at[child].y
        numbers = [float(number) for number in re.findall(NUMBER, path)]
        half = family.WIDTH / 2
        assert numbers[:2] == pytest.approx(
            [at[parent].x + half, at[parent].y + family.HEIGHT], abs=0.11
        )
        assert numbers[-2:] == pytest.approx(
            [at[child].x + half, at[child].y], abs=0.11
        )


@given(families())
def test_the_batch_itself_is_marked_and_no_other(found):
    assert [n.batch.pk for n in family.drawn(found).nodes if n.here] == [0]


@given(families())
def test_the_list_names_every_relative(found):
    told = family.of(found)

    def named(kin):
        return {k.batch.pk for k in kin} | {
            key for each in kin for key in named(each.kin)
        }

    if told is None:
        assert len(found.batches) == 1
    else:
        names = named(told["ancestors"]) | named(told["descendants"])
        assert names == set(found.batches) - {0}


def test_a_line_that_passes_a_generation_goes_round_the_batches_in_it():
    # 1 → 2 → 0 and 1 → 0: the second line passes the row of 2.
    batches = {key: batch(key) for key in range(3)}
    drawing = family.drawn(Family(batches[0], batches, [(1, 0), (1, 2), (2, 0)]))
    (box,) = [node for node in drawing.nodes if node.batch.pk == 2]

    (x,) = [
        float(re.findall(NUMBER, path.split("V")[0])[-2])
        for path in drawing.lines
        if "V" in path
    ]

    assert not box.x - 1 <= x <= box.x + family.WIDTH + 1


def test_a_family_that_is_a_loop_by_mistake_is_still_drawn():
    batches = {key: batch(key) for key in range(3)}

    drawing = family.drawn(Family(batches[0], batches, [(0, 1), (1, 2), (2, 0)]))

    assert len(drawing.nodes) == 3


@pytest.mark.parametrize(
    ("facts", "words"),
    [
        ({"held_ug": 12_345_000, "vessel_count": 2}, "12.345 g left"),
        ({"vessel_count": 2}, "Nothing left"),
        ({}, "No vessel"),
    ],
)
def test_each_batch_says_what_is_left_of_it(facts, words):
    assert family.what_is_left(batch(0, **facts)) == words


def test_a_long_name_is_cut_to_the_width_of_its_box():
    long = batch(0)
    long.material.name = "sodium-potassium-caesium alloy (eutectic)"

    (node,) = family.drawn(Family(long, {0: long})).nodes

    assert len(node.metal) == family.LETTERS
    assert node.metal.endswith("…")


@pytest.mark.usefixtures("shipped")
class TestPage:
    def test_shows_the_family_drawn_and_listed_with_links(self, as_keeper):
        sodium, potassium = make_batch("Na", kind="bought"), make_batch("K")
        alloy = make_batch("NaK", kind="combined", parents=[sodium, potassium])
        make_vessel(alloy, holding_ug=2 * G)
        pure = make_batch(
            "K", kind="repurified", process="distillation", parents=[alloy]
        )

        page = opened(as_keeper, alloy.get_absolute_url())

        panel = page.by_id("family").above("section")
        (drawing,) = panel.all("svg", **{"class": "family-drawing"})
        drawn = [link["href"] for link in drawing.all("a")]
        expected = {each.get_absolute_url() for each in (sodium, potassium, pure)}
        assert set(drawn) == expected | {alloy.get_absolute_url()}
        (here,) = drawing.all("a", **{"aria-current": "true"})
        assert here["href"] == alloy.get_absolute_url()
        assert "2.000 g left" in here.text
        (listed,) = panel.all("details")
        assert {link["href"] for link in listed.all("a")} == expected
        assert "was made from" in listed.text
        assert "went into" in listed.text

    def test_shows_no_family_of_a_batch_alone(self, as_keeper):
        page = opened(as_keeper, make_batch("Rb").get_absolute_url())

        assert page.by_id("family") is None

    def test_tells_a_partner_where_it_came_from_and_leads_nowhere(
        self, client, partner
    ):
        source = make_batch("Rb")
        batch = make_batch("Rb", kind="repurified", parents=[source])
        theirs = make_project()
        Membership.objects.create(project=theirs, user=partner)
        make_booking(make_vessel(batch), project=theirs)
        client.force_login(partner)

        page = opened(client, batch.get_absolute_url())

        assert page.facts["Made from"] == f"{source} rubidium"
        assert source.get_absolute_url() not in page.links
        assert page.by_id("family") is None
        assert page.by_id("yield") is None
