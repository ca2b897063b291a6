"""An import shows how a file is read, and records nothing until that is confirmed."""

from datetime import timedelta

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.utils import timezone

from inventory.models import LogEntry, RunReading
from inventory.operations import runs
from tests.domain.closed import close
from tests.domain.read_off import make_run
from tests.factories import G, fill, make_batch, make_tared, signed
from tests.web.pages import Page
from tests.web.person import opened


@pytest.fixture
def run(shipped):
    return make_run(make_batch("Rb"))


@pytest.fixture
def at(run):
    return f"/batches/{run.batch}/run/import/"


def log_of(run, *values, heading="time;T / °C;p / mbar"):
    """Return a file with a row of values every ten minutes from the start."""
    lines = [heading]
    for n, value in enumerate(values):
        when = timezone.localtime(run.started_at + timedelta(minutes=10 * n))
        lines.append(f"{when:%Y-%m-%d %H:%M:%S};{value}")
    return "\r\n".join(lines) + "\r\n"


def uploaded(client, at, text, name="log.csv"):
    """Send a file and return the page that shows how it is read."""
    raw = text if isinstance(text, bytes) else text.encode()
    return Page(client.post(at, {"file": SimpleUploadedFile(name, raw)}))


def confirmed(client, at, page, **changed):
    """Press Record on a preview; return the response."""
    sent = {**page.typed(), "record": "1", **changed}
    return client.post(at, {name: value for name, value in sent.items() if value})


def test_nothing_is_recorded_until_it_is_confirmed(as_keeper, at, run):
    before = LogEntry.objects.count()

    page = uploaded(as_keeper, at, log_of(run, "412,5;0,02", "413;0,021"))

    assert page.status == 200
    assert page.facts["New readings"] == "2"
    assert "412.5 °C" in page.table_under("what-it-says")[0]
    assert not RunReading.objects.exists()
    assert LogEntry.objects.count() == before


def test_what_is_confirmed_is_recorded_in_one_go(as_keeper, at, run):
    page = uploaded(as_keeper, at, log_of(run, "412,5;0,02", "413;0,021"))

    answer = confirmed(as_keeper, at, page)

    after = opened(as_keeper, answer["Location"])
    assert "Imported 2 readings." in after.messages
    rows = RunReading.objects.order_by("read_at")
    assert [(row.temperature_c, row.pressure_pa) for row in rows] == [
        (412.5, 2.0),
        (413.0, 2.1),
    ]
    assert rows[0].read_at == run.started_at
    assert all(row.imported for row in rows)
    assert LogEntry.objects.filter(verb="run-import").count() == 1


def test_rows_that_are_pasted_are_read_like_a_file(as_keeper, at, run):
    page = Page(as_keeper.post(at, {"pasted": log_of(run, "412,5;0,02")}))

    confirmed(as_keeper, at, page)

    assert RunReading.objects.get().temperature_c == 412.5


def test_a_file_imported_again_doubles_nothing(as_keeper, at, run):
    text = log_of(run, "412;0,02", "413;0,021")
    confirmed(as_keeper, at, uploaded(as_keeper, at, text))

    page = uploaded(as_keeper, at, log_of(run, "412;0,02", "413;0,021", "414;0,02"))
    assert page.facts["New readings"] == "1"
    assert page.facts["On record already"].startswith("2")
    confirmed(as_keeper, at, page)

    assert RunReading.objects.count() == 3


def test_a_file_without_anything_new_is_refused(as_keeper, at, run):
    text = log_of(run, "412;0,02")
    confirmed(as_keeper, at, uploaded(as_keeper, at, text))

    answer = confirmed(as_keeper, at, uploaded(as_keeper, at, text))

    assert answer.status_code == 422
    assert "on record already" in Page(answer).main.text
    assert RunReading.objects.count() == 1


def test_a_confirmation_sent_twice_records_once_and_says_so(as_keeper, at, run):
    page = uploaded(as_keeper, at, log_of(run, "412;0,02"))

    first, second = (confirmed(as_keeper, at, page) for _ in range(2))

    assert first.status_code == second.status_code == 302
    assert "had been sent already" in opened(as_keeper, second["Location"]).messages
    assert RunReading.objects.count() == 1


class TestRowsThatCannotBeRead:
    @pytest.fixture
    def page(self, as_keeper, at, run):
        text = log_of(run, "412;0,02", "oops;0,02", "413;0", "414;0,02")
        return uploaded(as_keeper, at, text)

    def test_each_is_listed_with_its_line(self, page):
        assert page.facts["Cannot be read"].startswith("2")
        listed = [item.text for item in page.main.all("li")]
        assert "Line 3 “oops” is no number." in listed
        assert "Line 4 A pressure is above zero." in listed

    def test_they_stop_the_import_until_they_are_let_go(self, as_keeper, at, page):
        answer = confirmed(as_keeper, at, page)

        assert answer.status_code == 422
        assert list(Page(answer).wrong()) == ["skip"]
        assert not RunReading.objects.exists()

    def test_left_out_the_others_are_recorded(self, as_keeper, at, page):
        confirmed(as_keeper, at, page, skip="on")

        assert RunReading.objects.count() == 2


def test_a_column_can_be_read_as_something_else(as_keeper, at, run):
    page = uploaded(as_keeper, at, log_of(run, "412;0,02"))
    looked = Page(
        as_keeper.post(
            at, {**page.typed(), "look": "1", "column-1": "", "column-2": "pressure:Pa"}
        )
    )

    confirmed(as_keeper, at, looked)

    reading = RunReading.objects.get()
    assert (reading.temperature_c, reading.pressure_pa) == (None, 0.02)


def test_columns_are_guessed_anew_when_the_file_is_parted_otherwise(as_keeper, at, run):
    text = log_of(run, "412;0.02").replace(";", "|")
    page = uploaded(as_keeper, at, text)
    assert page.typed()["delimiter"] == ["bar"]

    wrong = Page(as_keeper.post(at, {**page.typed(), "delimiter": "comma"}))
    assert wrong.status == 422
    assert "column-1" not in wrong.typed()
    right = Page(as_keeper.post(at, {**wrong.typed(), "delimiter": "bar"}))

    assert right.facts["New readings"] == "1"


def test_dates_that_can_be_read_in_two_ways_are_asked_about(as_keeper, at):
    page = uploaded(as_keeper, at, "time,T / °C\n03/04/2026 10:00,412\n")

    assert page.status == 422
    assert list(page.wrong()) == ["order"]


def test_readings_before_the_start_are_counted_and_kept(as_keeper, at, run):
    early = timezone.localtime(run.started_at - timedelta(hours=1))
    text = f"time,T / °C\n{early:%Y-%m-%d %H:%M},20\n"

    page = uploaded(as_keeper, at, text)
    assert page.facts["Before the start of the run"].startswith("1")
    confirmed(as_keeper, at, page)

    marked = opened(as_keeper, f"/batches/{run.batch}/run/").table_under("readings")
    assert "before the start" in marked[0][0]


@pytest.mark.parametrize(
    ("sent", "sentence"),
    [
        ({}, "Choose a file, or paste its rows: one of them."),
        ({"file": b"\x00\x01"}, "This is not a text file."),
        ({"file": b""}, "The submitted file is empty."),
        ({"file": b"a" * 1_000_001}, "This file is larger than 1 MB"),
        ({"file": b"a,b\n1,2", "pasted": "a,b\n1,2"}, "Choose a file, or paste"),
    ],
)
def test_what_is_no_table_is_refused_at_its_field(as_keeper, at, sent, sentence):
    if "file" in sent:
        sent = {**sent, "file": SimpleUploadedFile("log.csv", sent["file"])}

    page = Page(as_keeper.post(at, sent))

    assert page.status == 422
    assert page.wrong()["file"].startswith(sentence)


@pytest.mark.parametrize("text", ["\n \n", "t / s,T / °C\n" + "1,2\n" * 5001])
def test_a_table_that_cannot_be_is_refused_and_kept(as_keeper, at, text):
    page = Page(as_keeper.post(at, {"pasted": text}))

    assert page.status == 422
    assert "Nothing was recorded." in page.main.text


def test_markup_and_formulas_in_a_file_are_shown_as_text(as_keeper, at, run):
    text = log_of(run, "412;<script>x</script>", "=1+1;2", heading="time;T / °C;note")

    page = uploaded(as_keeper, at, text)

    assert "<script>x</script>" in page.main.text
    assert not page.main.all("script")
    assert "Line 3 “=1+1” is no number." in page.main.text


def test_a_preview_that_was_tampered_with_is_refused_and_not_a_crash(as_keeper, at):
    for sent in (
        {"text": ""},
        {"text": "a,b\n1,2"},
        {"text": "a,b\n1,2", "delimiter": "x", "heading": "-1", "shape": "comma 0"},
        {"text": "a,b\n1,2", "heading": "9" * 30, "decimal": "?", "order": "?"},
        {"text": "a,b\n1,2", "shape": "comma 0", "delimiter": "comma", "heading": "0",
         "column-0": "x", "record": "1"},
    ):  # fmt: skip
        assert as_keeper.post(at, sent).status_code in (200, 422), sent
    assert not RunReading.objects.exists()


def test_a_closed_batch_takes_no_file(as_keeper, at, run):
    page = uploaded(as_keeper, at, log_of(run, "412;0,02"))
    fill(make_tared(run.batch), stated_ug=G, u_stated_ug=1)
    close(run.batch)

    answer = confirmed(as_keeper, at, page)

    assert answer.status_code == 422
    assert "is closed" in Page(answer).main.text
    assert not RunReading.objects.exists()


def test_five_thousand_rows_are_previewed_and_recorded_quickly(
    as_keeper, at, run, django_assert_max_num_queries
):
    start = timezone.localtime(run.started_at)
    lines = ["time,T / °C,p / mbar"]
    for n in range(5000):
        when = start + timedelta(seconds=3 * n)
        lines.append(f"{when:%Y-%m-%d %H:%M:%S},{20 + n / 10:.1f},0.02")
    page = uploaded(as_keeper, at, "\n".join(lines))

    confirmed(as_keeper, at, page)

    assert RunReading.objects.count() == 5000
    with django_assert_max_num_queries(40):
        after = as_keeper.get(f"/batches/{run.batch}/run/")
    assert len(after.content) < 120_000


def test_the_preview_shows_the_first_and_the_last_rows_of_many(as_keeper, at, run):
    rows = [f"{400 + n};0,02" for n in range(30)]

    page = uploaded(as_keeper, at, log_of(run, *rows))

    shown = [row[2] for row in page.table_under("what-it-says")]
    assert shown == [
        f"{n} °C" for n in (400, 401, 402, 403, 404, 425, 426, 427, 428, 429)
    ]
    assert "20 between them are not shown" in page.main.text


def test_readings_struck_out_before_are_not_brought_back(as_keeper, at, run):
    text = log_of(run, "412;0,02", "413;0,02")
    confirmed(as_keeper, at, uploaded(as_keeper, at, text))
    runs.strike(RunReading.objects.first(), reason="another furnace", **signed())

    page = uploaded(as_keeper, at, text)

    assert page.facts["New readings"] == "0"
