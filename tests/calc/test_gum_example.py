"""A worked example of the GUM itself, through the project's own propagation."""

import pytest

from inventory.calc.uncertainty import exact, nominal, spread, uncertain
from inventory.calc.weighing import budget


def end_gauge():
    """Return the length of the end gauge of JCGM 100:2008, Annex H.1, in nm.

    l = l_S + d - l_S (δα θ + α_S δθ), equation (H.3); the inputs are those of
    H.1.3 (figures from memory of the annex).
    """
    standard = uncertain(50_000_623.0, 25.0, "standard")
    difference = (
        uncertain(215.0, 5.8, "repeated observations")
        + uncertain(0.0, 3.9, "comparator, random")
        + uncertain(0.0, 6.7, "comparator, systematic")
    )
    alpha = uncertain(11.5e-6, 1.2e-6, "expansion of the standard")
    theta = uncertain(-0.1, 0.2, "mean temperature") + uncertain(0.0, 0.35, "cycle")
    d_alpha = uncertain(0.0, 0.58e-6, "difference in expansion")
    d_theta = uncertain(0.0, 0.029, "difference in temperature")
    return exact(standard + difference - standard * (d_alpha * theta + alpha * d_theta))


def test_the_end_gauge_is_as_long_and_as_sure_as_the_gum_says():
    length = end_gauge()

    # H.1.6 and H.1.4: l = 50.000838 mm, u_c(l) = 32 nm.
    assert nominal(length) == pytest.approx(50_000_838, abs=0.5)
    assert round(spread(length)) == 32


def test_the_end_gauge_s_budget_is_table_h_1():
    lines = {line.source: line.u_ug for line in budget(end_gauge())}

    # Table H.1, in nm. What has no first-order effect at all is not listed.
    assert lines["standard"] == pytest.approx(25, abs=0.1)
    assert lines["difference in temperature"] == pytest.approx(16.6, abs=0.15)
    assert lines["comparator, systematic"] == pytest.approx(6.7, abs=0.05)
    assert lines["repeated observations"] == pytest.approx(5.8, abs=0.05)
    assert lines["comparator, random"] == pytest.approx(3.9, abs=0.05)
    assert lines["difference in expansion"] == pytest.approx(2.9, abs=0.05)
    assert "mean temperature" not in lines
    assert "expansion of the standard" not in lines
