"""Receiver readings of an invented run of caesium that falls off exponentially."""

from math import exp, inf, log

import numpy as np

from inventory.calc.density import MaterialFacts
from inventory.calc.running import Point

# Density 1836.6 kg/m³ at 40 °C: CRC Handbook, molten elements (see the catalogue).
CAESIUM = MaterialFacts("Cs", 132.90545196, 1873, 30, 97e-6, 28.5, 671, 1843, 15, 0.556)
WARM_C = 40.0
DENSITY = 1843 - 0.556 * (WARM_C - 28.5)

RATE, FALL = 20e6, 0.4  # 20 g/h at the start, falling by a factor e in 2.5 h


def grown(hours, rate=RATE, fall=FALL):
    """Return the µg collected until then, the integral of rate·exp(−fall·t)."""
    return rate / fall * (1 - exp(-fall * hours)) if fall else rate * hours


def below_at(worth, rate=RATE, fall=FALL):
    """Return when rate·exp(−fall·t) is `worth`."""
    return log(rate / worth) / fall if fall else inf


def readings(hours, u_ul=100.0, noise_ul=0.0, seed=0, start_ul=0.0, **law):
    """Return a run's readings, each off by its own normal error."""
    off = np.random.default_rng(seed).normal(0.0, 1.0, len(hours)) * noise_ul
    return [
        Point(t, start_ul + grown(t, **law) / DENSITY + float(error), u_ul, WARM_C)
        for t, error in zip(hours, off, strict=True)
    ]


def every(step, until):
    return [step * i for i in range(round(until / step) + 1)]
