"""Every text can be read on its ground, in the light scheme and in the dark.

Source of the sums and limits: WCAG 2.2, definitions of relative luminance and of
contrast ratio; 4.5 : 1 for text (1.4.3), 3 : 1 for what one must see to find and
read a control or a drawing (1.4.11).
"""

import re
from pathlib import Path

import pytest

TOKENS = (
    Path(__file__).resolve().parents[2] / "inventory/static/inventory/tokens.css"
).read_text(encoding="utf-8")
LIGHT, DARK = TOKENS.split("@media (prefers-color-scheme: dark)")
HEX = re.compile(r"--([\w-]+):\s*#([0-9a-f]{6})\b")

TEXT = [
    *[(ink, on) for ink in ("ink", "ink-soft") for on in ("ground", "paper", "sunk")],
    *[("violet", on) for on in ("ground", "paper", "sunk", "violet-wash")],
    *[("ink", f"{tone}-wash") for tone in ("violet", "good", "warn", "stop")],
    *[("ink-soft", "violet-wash"), ("violet-deep", "ground"), ("violet-deep", "paper")],
    *[(tone, f"{tone}-wash") for tone in ("good", "warn", "stop")],
    *[(tone, on) for tone in ("good", "warn", "stop") for on in ("ground", "paper")],
    *[("on-violet", "violet"), ("on-violet", "violet-deep"), ("paper", "stop")],
]
DRAWN = [
    *[("line-strong", on) for on in ("ground", "paper")],
    *[
        ("glass-line", on)
        for on in ("paper", "ground", "glass", "gas", "vacuum", "air")
    ],
    ("violet", "violet-wash"),
]


def colours(css):
    return dict(HEX.findall(css))


SCHEMES = {"light": colours(LIGHT), "dark": colours(LIGHT) | colours(DARK)}


def luminance(rgb):
    channels = [int(rgb[n : n + 2], 16) / 255 for n in (0, 2, 4)]
    linear = [
        c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels
    ]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one, other):
    lighter, darker = sorted((luminance(one), luminance(other)), reverse=True)
    return (lighter + 0.05) / (darker + 0.05)


def test_black_on_white_has_the_contrast_the_standard_gives():
    assert contrast("000000", "ffffff") == pytest.approx(21)
    # The well-known limit grey: #767676 on white just passes (common practice).
    assert contrast("767676", "ffffff") == pytest.approx(4.54, abs=0.005)


@pytest.mark.parametrize("scheme", SCHEMES)
@pytest.mark.parametrize(("ink", "ground"), TEXT)
def test_text_stands_out_from_its_ground(scheme, ink, ground):
    tokens = SCHEMES[scheme]

    assert contrast(tokens[ink], tokens[ground]) >= 4.5


@pytest.mark.parametrize("scheme", SCHEMES)
@pytest.mark.parametrize(("line", "ground"), DRAWN)
def test_what_is_drawn_stands_out_from_its_ground(scheme, line, ground):
    tokens = SCHEMES[scheme]

    assert contrast(tokens[line], tokens[ground]) >= 3


def test_the_dark_scheme_gives_a_value_to_every_colour_it_must_change():
    unchanged = {"shine"}  # white in both; the dark scheme only thins it

    assert set(SCHEMES["light"]) - set(colours(DARK)) <= unchanged
