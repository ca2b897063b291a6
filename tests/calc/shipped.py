"""The shipped catalogue, read for tests with nothing but the standard library."""

import csv
from functools import cache
from pathlib import Path

import inventory
from inventory.calc.density import MaterialFacts

CATALOGUE = Path(inventory.__file__).parent / "catalogue"
SYMBOLS = ["Li", "Na", "K", "Rb", "Cs", "NaK", "Mg", "Ca", "Sr", "Ba"]
ELEMENTS = [symbol for symbol in SYMBOLS if symbol != "NaK"]
MEDIA = [
    "argon",
    "helium",
    "nitrogen",
    "vacuum",
    "air",
    "mineral_oil_light",
    "mineral_oil_heavy",
    "kerosene",
    "hexane",
    "heptane",
    "toluene",
]
LIQUIDS = MEDIA[5:]


@cache
def rows(name):
    with (CATALOGUE / name).open(encoding="utf-8", newline="") as file:
        return tuple(csv.DictReader(file))


@cache
def table(name, key):
    """Return {(key, property): row} of a long table."""
    found = {(row[key], row["property"]): row for row in rows(name)}
    assert len(found) == len(rows(name)), "a property is given twice"
    return found


def number(symbol, name, column="value", file="materials.csv", key="symbol"):
    return float(table(file, key)[symbol, name][column] or 0)


@cache
def facts(symbol):
    solid = table("materials.csv", "symbol").get((symbol, "density_solid"))
    return MaterialFacts(
        symbol=symbol,
        molar_mass_g_mol=number(symbol, "molar_mass"),
        density_solid_kg_m3=float(solid["value"]) if solid else None,
        u_density_solid=float(solid["uncertainty"]) if solid else 0.0,
        linear_expansion_per_k=(number(symbol, "linear_expansion") if solid else 0.0),
        melting_point_c=number(symbol, "melting_point"),
        boiling_point_c=number(symbol, "boiling_point"),
        density_liquid_kg_m3=number(symbol, "density_liquid"),
        u_density_liquid=number(symbol, "density_liquid", "uncertainty"),
        density_liquid_slope_kg_m3_k=number(symbol, "density_liquid_slope"),
    )
