"""Readings and a measurement with every term in it, for the tests of weighing."""

from inventory.calc.air import AirConditions, gas_density
from inventory.calc.balance import BalanceFacts
from inventory.calc.uncertainty import uncertain
from inventory.calc.weighing import Reading, net_mass

EXACT_BALANCE = BalanceFacts("exact", 0, 0)
MILLIGRAM = BalanceFacts("milligram", readability_ug=1000, repeatability_ug=1000)
ROOM = AirConditions(u_temperature_c=0, u_pressure_pa=0, u_humidity=0)
ARGON = gas_density(39.95, 20, 101_325)
RUBIDIUM = 1532.0


def tare(ug, gas=None, *, air=ROOM, balance=EXACT_BALANCE, closed=True):
    return Reading("tare", ug, balance, air, gas, closed)


def gross(ug, gas=None, *, air=ROOM, balance=EXACT_BALANCE, closed=True):
    return Reading("gross", ug, balance, air, gas, closed)


def term(net, key):
    return next(term for term in net.terms if term.key == key)


def full_case(**changes):
    air0 = AirConditions(21, 0.5, 100_200, 100, 0.45, 0.05)
    air1 = AirConditions(23, 0.5, 101_600, 100, 0.40, 0.05)
    balance = BalanceFacts("bench", 1000, 1500, nonlinearity_ug=2000)
    facts = {
        "metal_density": uncertain(RUBIDIUM, 15, "density of Rb"),
        "inner_volume_ul": uncertain(100_000, 2_000, "inner volume"),
        "outer_volume_ul": uncertain(140_000, 4_000, "outer volume"),
        "liquid_ug": uncertain(5e6, 2e4, "oil"),
        "liquid_density": uncertain(840, 19, "density of oil"),
    } | changes
    return net_mass(
        Reading("tare", 88_412_000, balance, air0, None, closed=False),
        Reading("gross", 120_930_000, balance, air1, uncertain(ARGON, 0.01, "argon")),
        **facts,
    )
