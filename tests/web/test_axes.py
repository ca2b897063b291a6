"""The axes of a chart are numbered roundly, whatever they must hold."""

from datetime import UTC, datetime
from itertools import pairwise
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.web import axes


@given(st.floats(1.0, 1e10), st.integers(2, 8))
def test_masses_stand_at_one_two_or_five_times_a_power_of_ten(top_ug, most):
    drawn = axes.mass_marks(top_ug, most)

    assert drawn[0].value == 0
    assert drawn[-1].value >= top_ug * (1 - 1e-6)
    assert len(drawn) <= most + 1
    assert f"{float(drawn[1].text):e}"[0] in "125"
    for mark in drawn:
        assert float(mark.text) * 1e6 == pytest.approx(mark.value)


@given(
    st.integers(3600, 4_000_000_000),
    st.integers(0, 1_500_000_000),
    st.sampled_from([4, 7]),
)
def test_there_are_at_least_two_dates_and_no_more_than_there_is_room_for(
    span, start, most
):
    drawn = axes.date_marks(start, start + span, UTC, most)

    assert 2 <= len(drawn) <= most
    assert all(start <= mark.value <= start + span for mark in drawn)
    assert all(one.value < other.value for one, other in pairwise(drawn))


@pytest.mark.parametrize(
    ("days", "round_time"),
    [
        (0.2, lambda m: m.minute in (0, 30)),
        (5, lambda m: (m.hour, m.minute) == (0, 0)),
        # ISO 8601 counts the days of a week from Monday.
        (40, lambda m: m.isoweekday() == 1 and m.hour == 0),
        (170, lambda m: m.day == 1 and m.hour == 0),
        (2000, lambda m: (m.month, m.day, m.hour) == (1, 1, 0)),
    ],
)
def test_dates_stand_at_round_times_of_the_laboratorys_clock(days, round_time):
    # A span that crosses the change to summer time, 29 March 2026 in Berlin.
    zone = ZoneInfo("Europe/Berlin")
    start = datetime(2026, 3, 27, 7, 11, tzinfo=zone).timestamp()

    drawn = axes.date_marks(start, start + days * 86_400, zone, 7)

    assert all(round_time(datetime.fromtimestamp(m.value, zone)) for m in drawn)


def test_the_year_is_written_once_and_again_where_it_changes():
    start = datetime(2025, 11, 20, tzinfo=UTC).timestamp()

    drawn = axes.date_marks(start, start + 120 * 86_400, UTC, 7)

    assert [(m.text, m.under) for m in drawn] == [
        ("Dec", "2025"),
        ("Jan", "2026"),
        ("Feb", ""),
        ("Mar", ""),
    ]
