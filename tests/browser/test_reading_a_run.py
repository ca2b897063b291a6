"""A run is read on a phone, with one thumb, with or without scripts."""

import pytest

from inventory.models import RunReading
from inventory.operations import batches
from tests.browser.walking import expect, field, panel, press, reading, refused, told
from tests.domain.read_off import make_reading, make_run
from tests.factories import G, make_batch, signed

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

# A gloved thumb needs more than the 44 px of WCAG 2.2, 2.5.5 (common practice, no
# source); the fields of this one form have 56.
THUMB_PX = 56


@pytest.fixture
def run(shipped):
    """Return a run with two readings of everything."""
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
    for minutes, level_ul in ((120, 10_000), (180, 16_000)):
        make_reading(
            run,
            minutes,
            temperature_c=560.0,
            pressure_pa=2.0,
            receiver_ul=level_ul,
            receiver_c=62.0,
            drip_s=6.5,
        )
    return run


@pytest.mark.parametrize("javascript", [True, False], ids=["script", "no script"])
def test_a_reading_on_a_phone_changes_the_number_at_once(
    run, operator, sit, javascript
):
    page = sit(operator, width=360, javascript=javascript)
    page.goto(f"/batches/{run.batch}/run/")
    grams, _ = reading(panel(page, "Now"))
    expect(field(page, "Receiver reading")).to_have_value("16")

    field(page, "Receiver reading").fill("18.5")
    page.get_by_label("Receiver's temperature: same").check()
    press(page, "Record the reading")

    told(page, "receiver reading 18.5 mL; receiver's temperature 62 °C")
    told(page, "not recorded: temperature, pressure, drop to drop.")
    more, _ = reading(panel(page, "Now"))
    assert more / grams == pytest.approx(18.5 / 16, rel=1e-3)
    assert RunReading.objects.count() == 3


def test_the_fields_are_large_and_the_button_is_always_within_reach(run, operator, sit):
    page = sit(operator, width=360)
    page.goto(f"/batches/{run.batch}/run/")
    button = page.get_by_role("button", name="Record the reading")

    for label in ("Temperature", "Pressure", "Receiver reading", "Drop to drop"):
        control = field(page, label)
        control.scroll_into_view_if_needed()
        assert control.bounding_box()["height"] >= THUMB_PX
        assert control.get_attribute("inputmode") == "decimal"
        expect(button).to_be_in_viewport()
    assert button.bounding_box()["height"] >= THUMB_PX


def test_what_cannot_be_is_refused_at_its_field_and_kept(run, operator, sit):
    page = sit(operator, width=360)
    page.goto(f"/batches/{run.batch}/run/")

    field(page, "Receiver reading").fill("55")
    page.get_by_label("Receiver's temperature: same").check()
    press(page, "Record the reading")

    refused(page, "Receiver reading", "55 mL is more than the receiver holds, 50 mL.")
    expect(field(page, "Receiver reading")).to_have_value("55")
    field(page, "Receiver reading").fill("25")
    press(page, "Record the reading")
    told(page, "receiver reading 25 mL")


def test_a_logger_s_file_is_looked_at_and_then_recorded(run, operator, sit, tmp_path):
    log = tmp_path / "log.csv"
    lines = [f"{60 * n};{560 + n},5;0,02" for n in range(40)]
    log.write_text("t / s;T / °C;p / mbar\n" + "\n".join(lines))
    page = sit(operator, width=360, javascript=False)
    page.goto(f"/batches/{run.batch}/run/import/")

    field(page, "File").set_input_files(log)
    press(page, "Show how it is read")
    expect(panel(page, "What it says").get_by_role("definition").first).to_have_text(
        "40"
    )
    press(page, "Record 40 readings")

    told(page, "Imported 40 readings.")
    assert RunReading.objects.filter(imported=True).count() == 40
