"""What limits a batch: several sources and reductants, and how surely it is known."""

from math import sqrt

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.calc.stoichiometry import (
    ChargeFacts,
    by_product,
    excess,
    limited_mass,
    limiting,
    theoretical_metal,
)
from tests.calc.weighed_in import grams, molar_mass, moles

SOURCES = ["RbCl", "RbI", "Rb2CO3", "RbOH", "Rb2CrO4", "RbN3", "Rb", "Rb2SO4", "RbNO3"]
REDUCTANTS = ["Ca", "Mg", "Zr", "Al", "Li", "Ba"]

charges = st.lists(
    st.builds(grams, st.sampled_from(SOURCES), st.floats(0.01, 1e3)), max_size=4
)
reducing = st.lists(
    st.builds(
        grams, st.sampled_from(REDUCTANTS), st.floats(0.01, 1e3), st.just("reductant")
    ),
    max_size=3,
)


@given(charges, reducing)
def test_the_limit_is_never_above_all_the_metal_in_the_sources(sources, reductants):
    theory = theoretical_metal(sources, "Rb").mass_ug.n

    assert limiting(sources + reductants, "Rb").mass_ug.n <= theory * (1 + 1e-12)


@given(charges, reducing.filter(len), st.floats(1, 10))
def test_more_reductant_never_means_less_metal(sources, reductants, more):
    heavier = [grams(r.formula, r.mass_ug * more / 1e6, r.role) for r in reductants]

    fewer = limiting(sources + reductants, "Rb").mass_ug.n
    assert limiting(sources + heavier, "Rb").mass_ug.n >= fewer * (1 - 1e-12)


@given(charges, reducing)
def test_mass_is_conserved_between_charges_metal_and_by_product(sources, reductants):
    both = sources + reductants
    rest = by_product(both, "Rb")

    if rest is not None:
        charged = sum(charge.mass_ug for charge in both)
        made = limiting(both, "Rb").mass_ug.n + rest.mass_ug.n
        assert rest.mass_ug.n > 0
        assert made <= charged * (1 + 1e-9)


@given(charges.filter(len), reducing.filter(len))
def test_an_excess_of_one_or_more_never_limits(sources, reductants):
    both = sources + reductants
    found = excess(both, "Rb")

    if found is not None and found.n >= 1:
        theory = theoretical_metal(sources, "Rb").mass_ug.n
        assert limited_mass(both, "Rb").n == pytest.approx(theory)


@given(charges, reducing)
def test_flux_getter_and_solvent_change_nothing(sources, reductants):
    both = sources + reductants
    beside = [
        grams("RbF", 50, "flux"),
        grams("Zr", 50, "getter"),
        grams("C6H14", 50, "solvent"),
        grams("CaO", 50, "other"),
    ]

    assert str(excess(both + beside, "Rb")) == str(excess(both, "Rb"))
    assert str(limiting(both + beside, "Rb")) == str(limiting(both, "Rb"))


def test_several_reductants_add_up_their_electrons():
    both = [moles("RbCl", 4), moles("Ca", 1, "reductant"), moles("Al", 1, "reductant")]

    # Two electrons and three for four.
    assert excess(both, "Rb").n == pytest.approx(5 / 4, rel=3e-4)
    assert limiting(both, "Rb").name == "RbCl"


def test_the_azide_of_a_mixture_comes_without_the_reductant():
    both = [moles("CsN3", 1), moles("CsCl", 1), moles("Ca", 0.25, "reductant")]

    limit = limiting(both, "Cs")

    assert limit.name == "the reductant"
    assert limit.mass_ug.n == pytest.approx(1.5e6 * molar_mass("Cs"), rel=3e-4)


def test_scarce_reductant_is_counted_where_it_frees_most():
    # One mole of electrons: a mole of Cs from the chloride, 0.4 mol from the chromate.
    both = [moles("Cs2CrO4", 1), moles("CsCl", 1), moles("Li", 1, "reductant")]

    assert limiting(both, "Cs").mass_ug.n == pytest.approx(
        1e6 * molar_mass("Cs"), rel=3e-4
    )


def test_sources_are_named_each_once():
    three = [grams("RbCl", 1), grams("RbI", 1), grams("RbCl", 2), grams("RbF", 1)]

    assert limiting(three, "Rb").name == "RbCl, RbI and RbF"
    assert limiting(three[:2], "Rb").name == "RbCl and RbI"
    assert limiting([], "Rb").name == ""
    assert limiting([grams("KCl", 5)], "Rb").mass_ug.n == 0


def test_what_is_too_close_to_tell_is_not_told():
    # 1 % more calcium than needed, weighed to 1 %.
    def name(more):
        both = [
            moles("RbCl", 2),
            grams("Ca", molar_mass("Ca") * more, "reductant", u_g=0.4),
        ]
        return limiting(both, "Rb").name

    assert name(1.01) == "RbCl or the reductant"
    assert name(1.05) == "RbCl"
    assert name(0.95) == "the reductant"


def test_a_purity_without_uncertainty_is_a_lower_bound():
    # JCGM 100:2008, 4.3.8 (from memory): the full width over the root of twelve.
    theory = theoretical_metal([grams("RbCl", 10, purity=0.97)], "Rb").mass_ug

    assert theory.s / theory.n == pytest.approx(0.03 / 0.97 / sqrt(12), rel=1e-6)


def test_a_stated_uncertainty_of_purity_is_used_as_it_is():
    exactly = theoretical_metal([grams("RbCl", 10, purity=0.9, u_purity=0.0)], "Rb")
    stated = theoretical_metal([grams("RbCl", 10, purity=0.9, u_purity=0.009)], "Rb")

    assert exactly.mass_ug.s == 0
    assert stated.mass_ug.s / stated.mass_ug.n == pytest.approx(0.01)


def test_charges_from_one_bottle_share_the_error_of_its_purity():
    one = grams("RbCl", 10, purity=0.98)
    other = grams("RbI", 10, purity=0.98)

    same = theoretical_metal([one, one], "Rb").mass_ug
    apart = theoretical_metal([one, other], "Rb").mass_ug

    assert same.s / same.n == pytest.approx(0.02 / 0.98 / sqrt(12))
    assert apart.s / apart.n < 0.8 * same.s / same.n


def test_the_limit_by_the_reductant_does_not_hang_on_the_source_s_mass():
    both = [
        grams("RbCl", 300, u_g=30),
        grams("Ca", 20, "reductant", u_g=0.02),
    ]

    limit = limiting(both, "Rb").mass_ug

    assert limit.s / limit.n == pytest.approx(0.001)


def test_the_uncertainties_are_those_of_a_simulation():
    # 200 000 draws of the masses and purities (JCGM 101:2008, the method).
    draw = np.random.default_rng(26).normal
    n = 200_000
    source = draw(120, 0.6, n) * draw(0.99, 0.003, n) / molar_mass("RbCl")
    calcium = draw(15, 0.1, n) * draw(0.98, 0.004, n) / molar_mass("Ca")
    both = [
        grams("RbCl", 120, purity=0.99, u_g=0.6, u_purity=0.003),
        grams("Ca", 15, "reductant", purity=0.98, u_g=0.1, u_purity=0.004),
    ]

    ratio = excess(both, "Rb")
    assert ratio.n == pytest.approx(np.mean(2 * calcium / source), rel=1e-3)
    assert ratio.s == pytest.approx(np.std(2 * calcium / source), rel=0.02)
    limit = limiting(both, "Rb").mass_ug / molar_mass("Rb") / 1e6
    assert limit.n == pytest.approx(np.mean(2 * calcium), rel=1e-3)
    assert limit.s == pytest.approx(np.std(2 * calcium), rel=0.02)
    rest = by_product(both, "Rb").mass_ug / 1e6
    left = calcium * molar_mass("CaCl2")
    assert rest.n == pytest.approx(np.mean(left), rel=1e-3)
    assert rest.s == pytest.approx(np.std(left), rel=0.02)


def test_reductants_in_excess_leave_open_which_of_them_is_used():
    both = [moles("RbCl", 2), moles("Ca", 1, "reductant"), moles("Ba", 1, "reductant")]

    rest = by_product(both, "Rb")

    light, heavy = (molar_mass(salt) * 1e6 for salt in ("CaCl2", "BaCl2"))
    assert rest.formula == ""
    assert rest.mass_ug.n == pytest.approx((light + heavy) / 2, rel=3e-4)
    assert rest.mass_ug.s == pytest.approx((heavy - light) / sqrt(12), rel=1e-3)


@pytest.mark.parametrize(
    ("facts", "word"),
    [
        (("RbCl", 0.0, 0.0, 0.9, "source"), "nothing"),
        (("RbCl", -1.0, 0.0, 0.9, "source"), "nothing"),
        (("RbCl", float("nan"), 0.0, 0.9, "source"), "nothing"),
        (("RbCl", 1.0, -1.0, 0.9, "source"), "nothing"),
        (("RbCl", 1.0, 0.0, 1.01, "source"), "purity"),
        (("RbCl", 1.0, 0.0, 0.0, "source"), "purity"),
    ],
)
def test_what_cannot_have_been_charged_is_refused(facts, word):
    with pytest.raises(ValueError, match=word):
        ChargeFacts(*facts)
