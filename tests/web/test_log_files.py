"""A logger's file is taken apart as it was meant, or its rows say why they are not."""

from contextlib import suppress
from datetime import UTC, datetime, timedelta
from types import SimpleNamespace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.web import log_columns, log_rows, logfile
from inventory.web.forms.run_import import preview

RUN = SimpleNamespace(
    started_at=datetime(2026, 3, 5, 9, 0, tzinfo=UTC),
    receiver_id=None,
    receiver_ul=50_000,
)


@pytest.fixture(autouse=True)
def in_march(monkeypatch):
    """Let it be the evening of 5 March 2026."""
    now = datetime(2026, 3, 5, 22, 0, tzinfo=UTC)
    monkeypatch.setattr("django.utils.timezone.now", lambda: now)


def read(text, **changed):
    """Return what is found in a text read as guessed, but for what is `changed`."""
    form = preview(text)
    form.data |= changed
    assert form.is_valid(), form.errors
    return log_rows.read(form.sheet, form.choices(), RUN)


def rows(text, **changed):
    found = read(text, **changed)
    assert found.problems == []
    return [seen for _, seen in found.rows]


def at(hour, minute=0, second=0, *, day=5):
    return datetime(2026, 3, day, hour, minute, second, tzinfo=UTC)


@pytest.mark.parametrize(
    "text",
    [
        "time,T / °C,p / mbar\n2026-03-05 10:00,412.5,0.02\n2026-03-05 10:05,413,0.021",
        "time;T / °C;p / mbar\n05.03.2026 10:00;412,5;0,02\n05.03.2026 10:05;413;0,021",
        "time\tT/°C\tp/mbar\n5.3.2026 10:00\t412.5\t2.0E-02\n5.3.2026 10:05\t413\t2.1E-2",
        "Logger 7\n\ntime | T [°C] | p [mbar]\n2026-03-05T10:00:00Z | 412.5 | 0.02\n"
        "2026-03-05T11:05:00+01:00 | 413 | 0.021",
        '"time","temperature (°C)","pressure (mbar)"\r\n"2026-03-05 10:00","412.5",'
        '"0.02"\r\n"2026-03-05 10:05","413","0.021"\r\n',
        "Date,Time,T in K,p in Pa\n05/03/26,10:00 AM,685.65,2.0\n05/03/26,10:05 AM,686.15,2.1",
        "t / min,T / degC,p_hPa\n60,412.5,0.02\n65,413,0.021",
    ],
    ids=["commas", "semicolons", "tabs", "bars", "quoted", "other units", "elapsed"],
)
def test_the_same_readings_are_found_however_they_are_written(text):
    order = {"order": "dmy"} if "/03/" in text else {}

    found = rows(text, **order)

    assert [seen.read_at for seen in found] == [at(10), at(10, 5)]
    assert [seen.temperature_c for seen in found] == pytest.approx([412.5, 413])
    assert [seen.pressure_pa for seen in found] == pytest.approx([2.0, 2.1])


def test_every_quantity_and_the_note_are_read():
    (seen,) = rows(
        "time,T / °C,p / mbar,V / mL,Receiver T / °C,drip interval / s,note\n"
        '2026-03-05 10:00,412,0.02,21.5,62,4.5,"first drops, slow"\n'
    )

    assert (seen.receiver_ul, seen.receiver_c, seen.drip_s) == (21_500, 62.0, 4.5)
    assert seen.note == "first drops, slow"


def test_a_logger_s_digits_beyond_a_microlitre_are_rounded():
    (seen,) = rows("time,V / mL\n2026-03-05 10:00,21.50049")

    assert seen.receiver_ul == 21_500


@pytest.mark.parametrize("gap", ["", "-", "NaN", "n/a", "—"])
def test_a_gap_is_no_reading(gap):
    (seen,) = rows(f"time,T / °C,p / mbar\n2026-03-05 10:00,412,{gap}")

    assert seen.pressure_pa is None


@pytest.mark.parametrize(
    ("cells", "why"),
    [
        ("2026-03-05 10:00,hot,0.02", "“hot” is no number."),
        ("2026-03-05 10:00,=1+1,0.02", "“=1+1” is no number."),
        ("2026-03-05 10:00,412,0", "A pressure is above zero."),
        ("2026-03-05 10:00,412,-1", "A pressure cannot be negative."),
        ("2026-03-05 10:00,-300,1", "-300 °C is below absolute zero."),
        ("2026-03-05 10:00,412 kg,1", "412 kg is a mass; a temperature is needed"),
        ("2026-03-05,412,1", "“2026-03-05” is a date without a time."),
        ("2026-02-30 10:00,412,1", "The time of this row cannot be."),
        ("2026-03-05 25:00,412,1", "The time of this row cannot be."),
        ("yesterday,412,1", "“yesterday” is no time that is read here."),
        (",412,1", "No time."),
        ("2026-03-06 10:00,412,1", "This lies in the future."),
        ("2020-03-06 10:00,412,1", "This is more than a year before the run started."),
        ("0001-01-01 00:00,412,1", "This is more than a year before the run started."),
        ("2026-03-05 10:00,,", "Nothing was read, so there is nothing to record."),
    ],
)
def test_a_row_that_cannot_be_read_says_why_with_its_line(cells, why):
    text = f"time,T / °C,p / mbar\n2026-03-05 09:30,400,0.02\n\n{cells}\n"

    found = read(text)

    assert len(found.rows) == 1
    ((line, said),) = found.problems
    assert line == 4
    assert said.startswith(why)


def test_a_comma_among_points_is_not_guessed_at():
    found = read("time;T / °C\n2026-03-05 10:00;412.5\n2026-03-05 10:01;412,5")

    ((_, said),) = found.problems
    assert said == "“412,5” has a comma; decimals are said to have a point."


def test_a_unit_in_the_cell_goes_before_that_of_the_heading():
    found = rows("time,T / °C\n2026-03-05 10:00,685.65 K\n2026-03-05 10:01,413 °C")

    assert [seen.temperature_c for seen in found] == pytest.approx([412.5, 413])


def test_a_clock_alone_runs_on_past_midnight():
    text = "time,T / °C\n18:30,1\n21:59:30,2"
    late = RUN.started_at.replace(hour=18)
    run = SimpleNamespace(**{**vars(RUN), "started_at": late - timedelta(days=1)})
    form = preview(text + "\n02:00,3\n")
    assert form.is_valid()

    found = log_rows.read(form.sheet, form.choices(), run)

    assert [seen.read_at for _, seen in found.rows] == [
        at(18, 30, day=4),
        at(21, 59, 30, day=4),
        at(2, day=5),
    ]


@pytest.mark.parametrize(
    ("dates", "order"),
    [
        (["03/04/2026 10:00", "05/04/2026 10:00"], ""),
        (["03/04/2026 10:00", "13/04/2026 10:00"], "dmy"),
        (["03/04/2026 10:00", "03/14/2026 10:00"], "mdy"),
        (["2026-03-04 10:00"], "ymd"),
        (["10:00"], "ymd"),
    ],
)
def test_an_order_of_day_and_month_is_guessed_only_where_one_is_left(dates, order):
    sheet = logfile.Sheet(["time"], [(n, [day]) for n, day in enumerate(dates)])

    assert log_rows.guessed_order(sheet, ["when"]) == order


def test_dates_that_can_be_read_in_two_ways_are_asked_about():
    form = preview("time,T / °C\n03/04/2026 10:00,412\n")

    assert not form.is_valid()
    assert form.errors["order"] == [
        "These dates can be read in two ways: say how they are written."
    ]


@pytest.mark.parametrize(
    ("heading", "choice"),
    [
        ("T / °C", "temperature:°C"),
        ("Temperature in K", "temperature:K"),
        ("p (mbar)", "pressure:mbar"),
        ("pressure_Torr", "pressure:Torr"),
        ("V [mL]", "receiver:mL"),
        ("Receiver temperature (°C)", "receiver_temperature:°C"),
        ("drip interval / s", "drip:s"),
        ("Elapsed h", "elapsed:h"),
        ("Date/Time", "when"),
        ("Date", "day"),
        ("Remarks", "note"),
        ("T", ""),
        ("T / °F", ""),
        ("m / g", ""),
        ("", ""),
    ],
)
def test_a_column_is_known_by_its_heading_and_its_unit(heading, choice):
    assert log_columns.guessed([heading]) == [choice]


def test_two_temperatures_are_not_mixed_up():
    assert log_columns.guessed(["T1 / °C", "T2 / °C"]) == ["temperature:°C", ""]


@pytest.mark.parametrize(
    ("columns", "sentence"),
    [
        (["temperature:°C"], "Say which column is the time."),
        (["when"], "Choose a column with readings, besides the time."),
        (["when", "elapsed:s", "note"], "Two columns are chosen for the same thing"),
        (["when", "pressure:Pa", "pressure:mbar"], "Two columns are chosen"),
        (["when", "day", "note"], ""),
    ],
)
def test_columns_that_make_no_reading_are_refused(columns, sentence):
    said = log_rows.refuse(log_rows.Choices(columns))

    assert said.startswith(sentence)
    assert bool(said) == bool(sentence)


@pytest.mark.parametrize("page", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
def test_the_usual_ways_to_write_letters_are_read(page):
    text = "time,T / °C\n2026-03-05 10:00,412\n"

    assert logfile.decoded(text.encode(page)) == text


@pytest.mark.parametrize(
    ("raw", "sentence"),
    [
        (b"\x00\x01\x02\x03", "This is not a text file."),
        (b"PK\x03\x04\x14\x00\x06\x00", "This is not a text file."),
        (b"a" * 1_000_001, "This file is larger than 1 MB"),
    ],
)
def test_what_is_no_text_is_refused(raw, sentence):
    with pytest.raises(logfile.Unreadable, match=sentence):
        logfile.decoded(raw)


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("time,T / °C\n", "There is no row of readings"),
        ("", "There is no row of readings"),
        ("\n\n \n", "There is no row of readings"),
        ("t / s,T / °C\n" + "1,2\n" * 5001, "There are 5001 rows; at most 5000"),
        ("a" + ",b" * 40 + "\n" + "1" + ",2" * 40, "more than 30 columns"),
        ("a,b\n1," + "2" * 200_000, "Line 2 cannot be read"),
    ],
)
def test_a_table_that_cannot_be_is_refused(text, sentence):
    with pytest.raises(logfile.Unreadable, match=sentence):
        preview(text)


@given(st.text(max_size=200))
def test_no_text_breaks_the_reading(text):
    with suppress(logfile.Unreadable):
        form = preview(text.replace("\0", ""))
        if form.is_valid():
            found = log_rows.read(form.sheet, form.choices(), RUN)
            assert all(why.strip() for _, why in found.problems)


@given(
    st.lists(st.text(st.characters(exclude_characters="\0"), max_size=25), max_size=6)
)
def test_no_row_breaks_the_reading(cells):
    columns = [
        "when",
        "temperature:°C",
        "pressure:mbar",
        "receiver:mL",
        "drip:s",
        "note",
    ]
    sheet = logfile.Sheet(columns, [(1, cells)])

    found = log_rows.read(sheet, log_rows.Choices(columns, ".", "dmy"), RUN)

    assert len(found.rows) + len(found.problems) == 1
