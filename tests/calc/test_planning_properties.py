"""What holds for every plan, whatever is asked: tried on many questions."""

from hypothesis import given, settings
from hypothesis import strategies as st

from inventory.calc.planning import Aim, Candidate, Demand, check, plan

masses = st.one_of(
    st.integers(0, 3_000), st.integers(0, 9_000_000), st.integers(0, 10**9)
)
purities = st.sampled_from((0.99, 0.998))


@st.composite
def candidates(draw, most=7):
    found = []
    for key in range(draw(st.integers(0, most))):
        whole = draw(masses)
        found.append(
            Candidate(
                key,
                drawable_ug=draw(st.integers(0, whole)),
                whole_ug=draw(st.sampled_from((0, whole))),
                u_ug=draw(st.floats(0, 1e4)),
                is_sealed=draw(st.booleans()),
                age_rank=draw(st.integers(0, 3)),
                purity=draw(purities),
                medium=draw(st.sampled_from(("argon", "vacuum"))),
                material=draw(st.sampled_from(("Rb", "Rb", "Cs"))),
            )
        )
    return found


@st.composite
def requests(draw, most=4):
    found = []
    for key in range(draw(st.integers(1, most))):
        kind = draw(st.sampled_from(("drawn", "count", "mass")))
        mass = draw(masses) + 1
        found.append(
            Demand(
                key,
                draw(st.sampled_from(("Rb", "Rb", "Cs"))),
                mass_ug=0 if kind == "count" else mass,
                vessels=draw(st.integers(1, 3)) if kind == "count" else 0,
                whole=kind != "drawn",
                smallest_purity=draw(st.sampled_from((0.0, 0.995))),
                media=draw(st.sampled_from((frozenset(), frozenset({"argon"})))),
            )
        )
    return found


def lacking(found, asked):
    """Return the summed fractions that requests do not get."""
    by_key = {demand.key: demand for demand in asked}
    return sum(
        (lack.missing_vessels or lack.missing_ug) / by_key[lack.demand].asked
        for lack in found.missing
    )


@settings(max_examples=60, deadline=None)
@given(
    candidates(),
    requests(),
    st.sampled_from(Aim),
    st.frozensets(st.integers(0, 7), max_size=2),
    st.frozensets(st.integers(0, 7), max_size=2),
    st.booleans(),
)
def test_every_plan_keeps_every_rule(shelf, asked, aim, pinned, excluded, sure):
    limits = {"pinned": pinned, "excluded": excluded, "sure": sure}

    found = plan(shelf, asked, aim=aim, gap=0.0, **limits)

    check(found, shelf, asked, **limits)
    used = {take.candidate for take in found.takes}
    told = {pin.candidate for pin in found.unused_pins}
    assert not used & excluded
    assert pinned <= used | told
    assert found.is_proven
    assert (found.gap, found.last_gap) == (0.0, 0.0)
    for vessel in shelf:
        taken = sum(t.mass_ug for t in found.takes if t.candidate == vessel.key)
        assert taken <= max(vessel.drawable_ug, vessel.whole_ug)


@settings(max_examples=30, deadline=None)
@given(candidates(), requests(), st.sampled_from(Aim), st.randoms())
def test_the_same_question_has_the_same_answer(shelf, asked, aim, shuffler):
    first = plan(shelf, asked, aim=aim)
    shelf, asked = list(shelf), list(asked)
    shuffler.shuffle(shelf)
    shuffler.shuffle(asked)

    assert plan(shelf, asked, aim=aim) == first


@settings(max_examples=30, deadline=None)
@given(candidates(), requests(), masses)
def test_more_stock_never_means_more_missing(shelf, asked, mass):
    more = [
        *shelf,
        Candidate(99, mass, mass, 0.0, True, 0, 0.999, "argon", "Rb"),
    ]

    before = lacking(plan(shelf, asked, gap=0.0), asked)
    after = lacking(plan(more, asked, gap=0.0), asked)

    assert after <= before + 1e-9
