"""Charges for tests, by moles: molar masses from periodictable, not from the code."""

import re

import periodictable

from inventory.calc.stoichiometry import ChargeFacts


def molar_mass(formula):
    """Return g/mol by periodictable (IUPAC 2021), part by part of a hydrate."""
    parts = [re.fullmatch("([0-9]*)(.+)", part).groups() for part in formula.split("·")]
    return sum(int(n or 1) * periodictable.formula(text).mass for n, text in parts)


def grams(formula, mass_g, role="source", *, purity=1.0, u_g=0.0, u_purity=None):
    """Return a charge of so many grams as weighed, impurities included."""
    return ChargeFacts(formula, mass_g * 1e6, u_g * 1e6, purity, role, u_purity)


def moles(formula, amount, role="source", *, purity=1.0):
    """Return a charge that holds so many moles of the pure reagent."""
    return grams(formula, amount * molar_mass(formula) / purity, role, purity=purity)
