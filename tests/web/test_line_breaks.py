"""A mass with its uncertainty breaks over lines only where it may."""

import pytest
from django.template import Context, Template
from django.utils.safestring import mark_safe

from inventory.web.line_breaks import NO_BREAK, held

G = 1_000_000


def said(source, **context):
    return Template(source).render(Context(context))


def plain(text):
    return text.replace(NO_BREAK, " ")


@pytest.mark.parametrize(
    "source",
    ["{{ ug|mass_u:u }}", '{% fact "Held" text %}', '{% fact "Held" ug note=text %}'],
)
def test_a_plus_minus_and_its_k_hold_together(source):
    text = "17.420 g ± 0.050 g (k = 2)"

    shown = said(source, ug=17_420_000, u=25_000, text=text)

    assert text in plain(shown)
    assert (
        text.replace("± 0.050 g", f"±{NO_BREAK}0.050{NO_BREAK}g").replace(
            "k = 2", f"k{NO_BREAK}={NO_BREAK}2"
        )
        in shown
    )


def test_a_mass_may_still_break_before_its_plus_minus():
    assert held("17.420 g ± 0.050 g (k = 2)").count(" ") == 3


@pytest.mark.parametrize("value", [None, 3, "", mark_safe("<b>± 1 g (k = 2)</b>")])
def test_what_is_no_plain_text_stays_as_it_is(value):
    assert held(value) is value


def test_the_large_number_of_a_page_keeps_its_parts():
    shown = said("{% measured ug u %}", ug=17_420_000, u=25_000)

    assert '<span class="measured-u">± 0.050 g (k = 2)</span>' in shown
