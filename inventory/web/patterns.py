"""What the pattern page shows: every component in every state, with made-up facts."""

from datetime import UTC, datetime, timedelta
from types import SimpleNamespace

import django_tables2 as tables
from django import forms
from django.template.loader import render_to_string
from django_tables2 import RequestConfig

from inventory.calc.weighing import BudgetLine
from inventory.templatetags import ui

from . import run_chart
from .charts import Point

FILLINGS = (  # kind, capacity, metal, liquid (µL), gas, floats, words, sealed
    ("ampoule", 12_000, 6_800, 0, "argon", False, ("rubidium", ""), True),
    ("ampoule", 12_000, 0, 0, "air", False, ("metal", ""), False),
    ("vial", 20_000, 4_300, 8_200, "argon", False, ("potassium", "mineral oil"), True),
    (
        "schlenk_tube",
        100_000,
        31_000,
        26_000,
        "argon",
        False,
        ("sodium", "kerosene"),
        True,
    ),
    ("schlenk_tube", 50_000, 350, 0, "vacuum", False, ("caesium", ""), True),
    (
        "schlenk_flask",
        250_000,
        52_000,
        61_000,
        "argon",
        False,
        ("barium", "toluene"),
        True,
    ),
    ("bulb", 500_000, 212_000, 0, "argon", False, ("NaK", ""), True),
    (
        "bottle",
        1_000_000,
        240_000,
        430_000,
        "argon",
        True,
        ("lithium", "mineral oil"),
        True,
    ),
    ("schlenk_flask", 100_000, 97_500, 0, "nitrogen", False, ("NaK", ""), True),
    ("vial", None, 4_000, 0, "argon", False, ("strontium", ""), True),
)


def fillings():
    """Return the arguments of the vessel_figure tag for each example."""
    names = ("kind", "capacity_ul", "metal_ul", "liquid_ul", "gas", "metal_floats")
    for *facts, (metal, liquid), sealed in FILLINGS:
        words = {"metal": metal, "liquid": liquid or "liquid", "sealed": sealed}
        yield dict(zip(names, facts, strict=True), **words)


class ExampleTable(tables.Table):
    select = tables.Column(empty_values=(), orderable=False)
    figure = tables.Column(verbose_name="", orderable=False)
    code = tables.Column(verbose_name="Vessel", linkify=lambda: "#tables")
    remaining = tables.Column(attrs={"th": {"class": "num"}, "td": {"class": "num"}})
    medium = tables.Column(verbose_name="Kept in")
    place = tables.Column()

    class Meta:
        row_attrs = {
            "class": lambda record: "row-marked" if record["code"] == "RB26A-03" else ""
        }
        empty_text = "No vessel matches."

    def render_select(self, record):
        return render_to_string("components/select_box.html", record)

    def render_figure(self, value):
        return render_to_string(
            "components/vessel_figure.html", ui.vessel_figure(**value, size="small")
        )

    def render_remaining(self, value):
        return ui.measured(*value)


class WideTable(tables.Table):
    when = tables.Column()
    what = tables.Column()
    change = tables.Column(attrs={"th": {"class": "num"}, "td": {"class": "num"}})
    left = tables.Column(attrs={"th": {"class": "num"}, "td": {"class": "num"}})
    method = tables.Column()
    by = tables.Column()

    class Meta:
        attrs = {"class": "wide", "aria-label": "Ledger"}
        orderable = False


class ExampleForm(forms.Form):
    gross = forms.CharField(
        label="Gross", help_text="The closed vessel on the balance, as in 120.930 g."
    )
    method = forms.ChoiceField(
        widget=forms.RadioSelect,
        choices=[("weighing", "By weighing"), ("volume", "By volume")],
    )
    balance = forms.ChoiceField(choices=[("1", "Analytical, 0.1 mg")])
    note = forms.CharField(widget=forms.Textarea(attrs={"rows": 2}), required=False)
    evacuated = forms.BooleanField(
        required=False,
        label="It was evacuated when empty",
        help_text="Otherwise air was inside.",
    )

    def clean_gross(self):
        raise forms.ValidationError(
            "Say the unit too, as in 120.930 g.", code="no-unit"
        )


class ExampleFilter(forms.Form):
    q = forms.CharField(label="Code or glass mark", required=False)
    metal = forms.ChoiceField(choices=[("", "Any metal"), ("Rb", "Rubidium")])
    kind = forms.ChoiceField(choices=[("", "Any kind"), ("bulb", "Bulb")])
    place = forms.ChoiceField(choices=[("", "Any place"), ("1", "Glovebox 2")])


def _rows():
    codes = ("RB26A-01", "RB26A-03", "K26B-02", "NA26A-11", "CS26A-04", "BA26A-01")
    kept = ("argon", "argon", "mineral oil", "kerosene", "vacuum", "toluene")
    for number, code in enumerate(codes, start=1):
        yield {
            "pk": number,
            "select": number,
            "code": code,
            "figure": list(fillings())[min(number, 5)],
            "remaining": (7_420_000 * number + 311_000, 25_000 * number),
            "medium": kept[number - 1],
            "place": "Glovebox 2, shelf B",
        }


def _event(day, what, amount="", **more):
    at = datetime(2026, 3, day, 9, 40, tzinfo=UTC)
    return {"at": at, "what": what, "amount": amount, "by": "operator", **more}


def _points():
    """Return the life of a flask: what charts.Point tells of each event."""
    march = datetime(2026, 3, 1, 9, 40, tzinfo=UTC)
    for day, metal_g, u_mg, kind, words, verdict in (
        (1, 0, 0, "start", "Tared, open to the air", ""),
        (4, 32.518, 6, "fill", "Filled from K26B", "quiet"),
        (10, 32.518, 9, "medium", "Oil added", "quiet"),
        (16, 29.458, 120, "withdrawal", "Drawn by volume for an experiment", ""),
        (22, 29.472, 112, "check", "Weighed", "quiet"),
        (31, 24.11, 900, "withdrawal", "Drawn, oil not known", ""),
        (42, 22.62, 520, "check", "Weighed", "check"),
        (48, 21.91, 110, "difference", "Difference posted: oil carried over", ""),
        (55, 14.9, 430, "transfer", "Decanted into two ampoules", ""),
        (61, 14.9, 430, "check", "Weighed", "investigate"),
        (67, 15.06, 90, "correction", "The last weighing struck", ""),
        (73, 9.87, 91, "withdrawal", "Weighed out", "quiet"),
    ):
        at = march + timedelta(days=day)
        yield Point(at, metal_g * 1e6, u_mg * 1e3, kind, words, verdict)


def _run(levels):
    """Return the drawings of a run with so many readings of its receiver."""
    start = datetime(2026, 3, 5, 9, 0, tzinfo=UTC)
    steps = [(0, 22, 0.9), (40, 210, 2.4), (90, 420, 0.08), (150, 560, 0.02)]
    at = [start + timedelta(minutes=minute) for minute, *_ in steps]
    masses = [
        (at[-1] + timedelta(hours=5 * n / levels), 31e6 * n / (n + levels / 3), 9e5)
        for n in range(levels)
    ]
    series = run_chart.Series(
        [(when, step[1]) for when, step in zip(at, steps, strict=True)],
        [(when, step[2]) for when, step in zip(at, steps, strict=True)],
        masses,
        "mbar",
    )
    return run_chart.drawn(series, start, UTC)


BUDGET = [
    BudgetLine("oil that went in or out", 96_000, 0.7273),
    BudgetLine("density of the metal", 48_200, 0.1834),
    BudgetLine("syringe", 33_500, 0.0886),
    BudgetLine("gas in the headspace", 2_900, 0.0007),
    BudgetLine("readability", 41, 0.0000001),
]


def examples(request):
    """Return the context of the pattern page."""
    table = ExampleTable(list(_rows()) * 9)
    RequestConfig(request, paginate={"per_page": 6}).configure(table)
    events = [
        _event(21, "Weighed", "147.951 g", tone="warn", note="0.10 g above the sum."),
        _event(14, "Withdrawn for an experiment", "−3.06 g", url="#history"),
        _event(9, "Oil added", "+30.28 g"),
        _event(2, "Filled from RB26A", "+32.518 g", tone="good"),
        _event(1, "Tared, open to the air", "88.412 g"),
    ]
    change = {"what": "Withdrawn", "change": "−3.060 g", "method": "by weighing"}
    movements = [
        {
            "when": f"{day} Mar 2026, 09:40",
            "left": "29.458 g",
            "by": "operator",
            **change,
        }
        for day in range(2, 7)
    ]
    return {
        "fillings": list(fillings()),
        "table": table,
        "wide_table": WideTable(movements),
        "empty_table": ExampleTable([]),
        "events": events,
        "points": list(_points()),
        "until": datetime(2026, 5, 20, tzinfo=UTC),
        "runs": [_run(9), _run(200)],
        "budget": BUDGET,
        "form": ExampleForm(),
        "refused": ExampleForm(
            {"refused-gross": "120.930", "refused-balance": "7"}, prefix="refused"
        ),
        "filter": SimpleNamespace(form=ExampleFilter(request.GET or None)),
    }
