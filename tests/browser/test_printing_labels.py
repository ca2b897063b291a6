"""Printing labels: a job is chosen, seen, its used places clicked, and comes out."""

import re
import time
from urllib.parse import urlsplit

import pytest

from inventory.calc import codes
from labels.jobs import Run
from tests.browser.walking import (
    expect,
    field,
    go,
    links_on,
    links_on_page,
    pages_of,
    press,
    refused,
    the_pdf,
)
from tests.factories import (
    G,
    make_batch,
    make_laboratory,
    make_vessel,
)

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def batch(shipped):
    make_laboratory()
    batch = make_batch()
    for _ in range(3):
        make_vessel(batch, holding_ug=5 * G)
    return batch


def test_the_ticked_vessels_and_no_others_come_out_of_the_printer(batch, operator, sit):
    page = sit(operator)

    go_to_vessels(page)
    for number in (1, 3):
        page.get_by_label(f"Select {batch}-{number:02d}").check()
    press(page, "Labels for the ticked")
    page.get_by_label("Used: row 1, column 1").check()
    links = links_on(the_pdf(page))

    assert sorted(links) == [
        f"{page_site(page)}/B/{batch}/{number:02d}".upper() for number in (1, 3)
    ]


def go_to_vessels(page):
    page.goto("/")
    go(page, "Vessels")


def page_site(page):
    return "{0.scheme}://{0.netloc}".format(urlsplit(page.url))


@pytest.mark.parametrize(
    ("format", "sheet"),
    [("full", "letter-74x52"), ("tag", "a4-105x74"), ("flag", "a4-flag")],
)
def test_a_printed_label_is_scanned_back_to_the_record_with_its_vessel_marked(
    batch, operator, sit, format, sheet
):
    page = sit(operator, width=360)

    page.goto(f"/vessels/{batch.vessels.first().pk}/")
    page.get_by_role("main").get_by_role("link", name="Label", exact=True).click()
    field(page, "Format").select_option(format)
    field(page, "Sheet").select_option(sheet)
    shown_anew(page)
    (link,) = set(links_on(the_pdf(page)))
    page.goto(link)

    marked = page.get_by_role("main").locator("[aria-current=true]")
    expect(marked).to_have_count(1)
    expect(marked).to_contain_text(f"{batch}-01")
    expect(marked).to_be_in_viewport()


def shown_anew(page):
    """Wait until the labels of what was chosen last are shown."""
    expect(page.locator("#outcome")).not_to_have_class(re.compile("job-waiting"))
    expect(page.get_by_role("button", name="Make the PDF")).to_be_enabled()


def drawn(page):
    """Return the drawn labels; the words and marks on them are the printed ones."""
    return page.get_by_role("img", name=re.compile("^Label of "))


def test_a_format_is_picked_seen_and_printed_on_the_places_left(batch, operator, sit):
    page = sit(operator)
    page.goto(f"/labels/?batch={batch}")
    expect(drawn(page)).to_have_count(3)

    field(page, "Format").select_option("tag")
    expect(page.get_by_text("on “A4 landscape, 2 × 2 tie-on tags")).to_be_visible()
    field(page, "Second language").select_option("de")
    expect(drawn(page).first).to_contain_text("Gefahr")
    spot = page.get_by_label("Used: row 1, column 1")
    # The whole drawn place can be clicked, not only its small box.
    page.locator("label.spot").first.click(position={"x": 4, "y": 4})
    expect(spot).to_be_checked()
    pdf = the_pdf(page)

    first, *others = (links_on_page(sheet) for sheet in pages_of(pdf))
    site = page_site(page).upper()
    assert first | set().union(*others) == {
        f"{site}/B/{batch}/{number:02d}" for number in (1, 2, 3)
    }
    assert len(first) == 3


def test_a_used_place_stays_ticked_while_the_labels_are_shown_anew(
    batch, operator, sit
):
    page = sit(operator)
    page.goto(f"/labels/?batch={batch}")
    page.get_by_label("Used: row 1, column 2").check()

    field(page, "Second language").select_option("fr")

    expect(drawn(page).first).to_contain_text("Dégage au contact")
    expect(page.get_by_label("Used: row 1, column 2")).to_be_checked()


def test_a_sheet_that_does_not_fit_the_format_is_not_offered(batch, operator, sit):
    page = sit(operator)
    page.goto(f"/labels/?batch={batch}")
    field(page, "Sheet").select_option("a4-63x38")

    field(page, "Format").select_option("flag")

    expect(field(page, "Sheet")).to_have_value("")
    expect(page.locator("option[value=a4-63x38]")).to_be_disabled()
    expect(page.get_by_text("on “A4 landscape, 2 × 5 ampoule flags”")).to_be_visible()


def test_without_a_script_the_job_is_shown_by_a_button_and_printed(
    batch, operator, sit, width
):
    page = sit(operator, width=width, javascript=False)
    page.goto(f"/labels/?batch={batch}")

    field(page, "Format").select_option("tag")
    press(page, "Show it")
    expect(page.get_by_text("on “A4 landscape, 2 × 2 tie-on tags")).to_be_visible()
    page.get_by_label("Used: row 2, column 2").check()
    pdf = the_pdf(page)

    assert [len(links_on_page(sheet)) for sheet in pages_of(pdf)] == [3]


def test_a_long_job_shows_how_far_it_is_and_leads_to_the_pdf(
    batch, operator, sit, monkeypatch
):
    monkeypatch.setattr("labels.views.printing.AT_ONCE", 1)
    lay_out = Run.lay_out
    monkeypatch.setattr(Run, "lay_out", lambda run: slowly(lay_out(run)))
    page = sit(operator)
    page.goto(f"/labels/?batch={batch}")

    page.get_by_role("button", name="Make the PDF").click(no_wait_after=True)

    expect(page.get_by_text("1 of 3 laid out")).to_be_visible()
    expect(page.get_by_text("2 of 3 laid out")).to_be_visible()
    expect(page.get_by_text("1 of 3 laid out")).to_be_hidden()
    pdf = page.get_by_role("link", name="Open the PDF").get_attribute("href")
    body = page.context.request.get(f"{page_site(page)}{pdf}").body()
    assert len(links_on(body)) == 3


def slowly(steps):
    for done in steps:
        yield done
        time.sleep(0.7)


def test_a_wrong_scan_is_named_in_a_sentence_while_the_list_is_kept(
    batch, operator, sit
):
    wrong = "A" if codes.check_character(f"{batch}-01") != "A" else "B"
    page = sit(operator, width=360)
    page.goto("/labels/")
    scanned = f"{codes.full_code(batch.code, 2)}\n{batch}-01-{wrong}"

    field(page, "Codes, typed or scanned").fill(scanned)
    press(page, "Show it")

    refused(page, "Codes, typed or scanned", "does not fit; type it again.")
    expect(field(page, "Codes, typed or scanned")).to_have_value(scanned)


def test_an_own_sheet_is_drawn_while_it_is_typed(batch, keeper, sit, width):
    page = sit(keeper, width=width)
    page.goto("/labels/sheets/new/")
    expect(page.locator(".sheet-label")).to_have_count(24)

    field(page, "Rows").fill("4")

    expect(page.locator(".sheet-label")).to_have_count(12)
    field(page, "Columns").fill("9")
    expect(page.get_by_text("These measures make no sheet yet.")).to_be_visible()
