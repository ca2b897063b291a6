"""The run's page says how much there is, how fast it comes, and what was read when."""

import re
from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from inventory.operations import batches, runs
from tests.domain.closed import close
from tests.domain.read_off import make_reading, make_run, seen
from tests.factories import ML, G, fill, make_batch, make_tared, signed
from tests.web.person import opened, recorded, refused_as_a_whole

# Liquid rubidium at its melting point of 39.3 °C, in g/mL: 1.46, falling by 0.000451
# a kelvin (CRC Handbook of Chemistry and Physics, density of molten elements); the
# catalogue has a metal supplier's 1.475, with an uncertainty that holds both.
FALL = 0.000451 * (60 - 39.3)
CRC, SHIPPED = 1.46 - FALL, 1.475 - FALL
LEVEL_ML = 20 * (1 - 0.6**8)  # of the last reading


@pytest.fixture
def run(shipped):
    """Return a run whose charge can give 42.41 g, read every half hour as it slows."""
    run = make_run(make_batch("Rb"))
    batches.charge(
        run.batch,
        formula="RbCl",
        role="source",
        mass_ug=60 * G,
        u_ug=1000,
        purity=1.0,
        **signed(),
    )
    for n in range(9):
        level_ml = 20 * (1 - 0.6**n)
        make_reading(
            run,
            30 * n,
            temperature_c=500.0 + 10 * n,
            pressure_pa=2.0,
            receiver_ul=round(level_ml * ML),
            receiver_c=60.0,
        )
    return run


@pytest.fixture
def at(run):
    return f"/batches/{run.batch}/run/"


def test_the_grams_so_far_are_volume_times_the_density_at_the_receiver(as_keeper, at):
    page = opened(as_keeper, at)

    (hero,) = [p.text for p in page.all("p") if p["class"] == "hero-value"]
    grams, expanded = re.fullmatch(r"([\d.]+) g ± ([\d.]+) g \(k = 2\)", hero).groups()
    assert float(grams) == pytest.approx(LEVEL_ML * SHIPPED, abs=0.01)
    assert abs(float(grams) - LEVEL_ML * CRC) < float(expanded)


def test_the_yield_so_far_is_of_the_theoretical_metal(as_keeper, at):
    # RbCl 120.921 g/mol, Rb 85.468 g/mol (CIAAW): 60 g of it hold 42.41 g.
    shown = opened(as_keeper, at).facts["Yield so far"]

    percent = float(re.match(r"([\d.]+) % ± ", shown)[1])
    assert percent == pytest.approx(100 * LEVEL_ML * SHIPPED / 42.41, abs=0.06)
    assert "(k = 2) of the theoretical metal" in shown


def test_the_page_says_when_the_rate_falls_below_what_is_worth_it(as_keeper, at, run):
    # The level follows 20 mL · (1 - exp(-t/τ)), with τ = 0.5 h / -ln 0.6 = 0.979 h, so
    # the rate of 29.5 g/h falls to 0.5 g/h at τ · ln 59 = 4.0 h (worked by hand).
    facts = opened(as_keeper, at).facts

    falls = facts["Falls below 500 mg/h"]
    hours, minutes = map(int, re.search(r"(\d{2}):(\d{2}) ±", falls).groups())
    expected = timezone.localtime(run.started_at + timedelta(hours=3.99))
    off = (hours * 60 + minutes) - (expected.hour * 60 + expected.minute)
    assert abs((off + 720) % 1440 - 720) <= 20
    assert "g/h ±" in facts["Rate"]


def test_a_run_that_is_over_foretells_nothing(as_keeper, at, run):
    facts = {"started_at": run.started_at, "receiver_ul": 50 * ML, "u_receiver_ul": 200}
    facts |= {"worth_ug_per_h": 1, "ended_at": run.started_at + timedelta(hours=4)}
    runs.set_up(run.batch, facts, **signed())

    page = opened(as_keeper, at)

    assert not [name for name in page.facts if name.startswith("Falls below")]
    assert "In the end" in page.main.text


def test_the_newest_reading_of_a_frozen_receiver_gives_no_mass_and_says_so(
    as_keeper, at, run
):
    make_reading(run, 280, receiver_ul=19_900, receiver_c=20.0)

    page = opened(as_keeper, at)

    assert "gives no mass" in page.main.text
    assert "solid at 20 °C" in page.main.text
    row = page.table_under("readings")[0]
    assert row[4] == "no mass"


def test_every_reading_stands_in_the_table_newest_first(as_keeper, at):
    rows = opened(as_keeper, at).table_under("readings")

    assert [row[1] for row in rows] == [f"{500 + 10 * n} °C" for n in range(8, -1, -1)]
    assert rows[-1][2] == "0.02 mbar"


def test_a_struck_reading_stays_struck_through_and_counts_no_more(as_keeper, at, run):
    before = opened(as_keeper, at).facts["Yield so far"]
    wrong = make_reading(run, 270, receiver_ul=45_000, receiver_c=60.0)

    page = recorded(as_keeper, f"/run-readings/{wrong.pk}/strike/", reason="misread")

    assert page.facts["Yield so far"] == before
    row = page.by_id(f"run-reading-{wrong.pk}")
    assert "45 mL" in row.all("s")[1].text
    assert "misread" in row.text
    assert "/strike/" not in str([link["href"] for link in row.all("a")])


def test_a_reading_is_struck_out_once_only(as_keeper, at, run):
    wrong = make_reading(run, 270, temperature_c=1.0)
    recorded(as_keeper, f"/run-readings/{wrong.pk}/strike/", reason="misread")

    said = refused_as_a_whole(
        as_keeper, f"/run-readings/{wrong.pk}/strike/", reason="again"
    )

    assert "struck out already" in said


def test_a_receiver_without_a_tare_is_warned_about(as_keeper, at, run):
    assert "The receiver has no tare" in opened(as_keeper, at).main.text

    receiver = make_tared(run.batch, capacity_ul=50 * ML)
    page = recorded(
        as_keeper, f"{at}set-up/", receiver=receiver.code, receiver_volume=""
    )

    assert "The receiver has no tare" not in page.main.text
    assert receiver.code in page.facts["Receiver"]


def test_imported_readings_are_in_the_chart_and_shown_when_asked_for(
    as_keeper, at, run
):
    rows = [seen(run, n, temperature_c=100.0 + n) for n in range(40)]
    runs.import_readings(run.batch, rows, **signed())

    few = opened(as_keeper, at)
    every = opened(as_keeper, f"{at}?rows=all")

    assert "40 imported readings are in the chart" in few.main.text
    assert len(few.table_under("readings")) == 9
    assert len(every.table_under("readings")) == 49
    marks = [row[0].endswith("imported") for row in every.table_under("readings")]
    assert sum(marks) == 40


def test_the_chart_says_in_words_what_it_draws(as_keeper, at):
    page = opened(as_keeper, at)

    drawings = page.main.all("svg", role="img")
    assert len(drawings) == 2
    words = drawings[0].all("desc")[0].text
    assert "Temperature 500 °C to 580 °C, in the end 580 °C." in words
    assert "Collected in the end: 28." in words


def test_a_batch_without_a_run_says_how_to_begin(as_keeper, client, reader, shipped):
    batch = make_batch()

    page = opened(as_keeper, f"/batches/{batch}/run/")
    assert f"/batches/{batch}/run/set-up/" in page.links
    assert not page.own_forms()
    imported = as_keeper.get(f"/batches/{batch}/run/import/")
    assert imported["Location"] == f"/batches/{batch}/run/set-up/"
    client.force_login(reader)
    assert "No run is on record" in opened(client, f"/batches/{batch}/run/").main.text


def test_a_closed_batch_shows_its_run_and_takes_no_more(as_keeper, at, run):
    fill(make_tared(run.batch), stated_ug=G, u_stated_ug=1)
    close(run.batch)

    page = opened(as_keeper, at)

    assert "This batch is closed" in page.main.text
    assert not page.own_forms()
    assert not [link for link in page.links if "strike" in link]
    answer = as_keeper.post(at, {"temperature": "1", "temperature_unit": "°C"})
    assert answer.status_code == 422


def test_the_batch_s_page_tells_of_its_run_and_leads_there(as_keeper, at, run):
    page = opened(as_keeper, run.batch.get_absolute_url())

    assert "28." in page.facts["In the receiver"]
    assert "Falls below 500 mg/h" in page.facts
    assert at in page.links
    assert "Read the run" not in page.main.text


def test_a_hundred_readings_cost_no_more_queries_than_one(as_keeper, shipped):
    run = make_run(make_batch("Rb"))
    pages = [f"/batches/{run.batch}/run/", run.batch.get_absolute_url()]
    make_reading(run, 1, receiver_ul=1000, receiver_c=60.0)
    as_keeper.get("/")

    def queries():
        counts = []
        for page in pages:
            with CaptureQueriesContext(connection) as asked:
                assert as_keeper.get(page).status_code == 200
            counts.append(len(asked))
        return counts

    few = queries()
    for n in range(2, 60):
        reading = make_reading(run, n, receiver_ul=1000 * n // 2, receiver_c=60.0)
        if n % 9 == 0:
            runs.strike(reading, reason="misread", **signed())
    runs.import_readings(run.batch, [seen(run, n / 3) for n in range(150)], **signed())

    assert queries() == few
