"""The laboratory's own sheets: measured, drawn, calibrated, put away."""

import pytest

from inventory.models import LabelSheet
from tests.factories import make_label_sheet, make_laboratory, make_vessel
from tests.web.pages import Page
from tests.web.papers import kind_of, the_pdf
from tests.web.person import opened, recorded, refused, sent_twice

pytestmark = pytest.mark.usefixtures("shipped")
NEW = "/labels/sheets/new/"
# The grid of three by seven that many A4 sheets have (common practice, no source).
GRID = {
    "name": "Cupboard 2, left",
    "label_width_mm": "63.5",
    "label_height_mm": "38.1",
    "columns": "3",
    "rows": "7",
    "margin_left_mm": "7.2",
    "margin_top_mm": "15.1",
    "pitch_x_mm": "66",
    "pitch_y_mm": "38.1",
}


def places(page):
    return [r for r in page.main.all("rect") if r["class"] == "sheet-label"]


def test_a_sheet_is_added_and_offered_for_printing(as_keeper):
    page = recorded(as_keeper, NEW, **GRID)

    sheet = LabelSheet.objects.get()
    assert (sheet.columns, sheet.rows, sheet.pitch_x_mm) == (3, 7, 66.0)
    assert "Cupboard 2, left" in page.main.text
    make_laboratory()
    job = opened(as_keeper, f"/labels/?vessel={make_vessel().pk}")
    options = job.main.all("select", name="sheet")[0].all("option")
    assert f"own-{sheet.pk}" in [option["value"] for option in options]


def test_a_sheet_is_changed_and_prints_with_its_offset(as_keeper):
    make_laboratory()
    own, vessel = make_label_sheet(name="Ours"), make_vessel()
    before = the_pdf(as_keeper, vessel, sheet=f"own-{own.pk}")

    recorded(as_keeper, f"/labels/sheets/{own.pk}/change/", offset_x_mm="1.5")

    own.refresh_from_db()
    assert own.offset_x_mm == 1.5
    after = the_pdf(as_keeper, vessel, sheet=f"own-{own.pk}", reason="misprint")
    assert after != before


def test_a_shipped_sheet_is_taken_over_with_its_measures(as_keeper):
    (like,) = [
        k for k in opened(as_keeper, "/labels/sheets/").links if "like=a4-63x38" in k
    ]

    recorded(as_keeper, like, name="A4 with our offset", offset_y_mm="-0.5")

    own = LabelSheet.objects.get()
    assert (own.label_width_mm, own.columns, own.rows) == (63.0, 3, 7)
    assert own.offset_y_mm == -0.5


def test_a_sheet_put_away_is_no_longer_offered(as_keeper):
    own = make_label_sheet(name="Old stock")

    page = recorded(as_keeper, f"/labels/sheets/{own.pk}/retire/")

    assert LabelSheet.objects.get().retired_on
    assert "Old stock" not in page.main.text
    assert (
        as_keeper.get(f"/labels/sheets/own-{own.pk}/calibration.pdf").status_code == 404
    )
    assert as_keeper.get(f"/labels/sheets/{own.pk}/change/").status_code == 404


def test_a_sheet_sent_twice_is_added_once(as_keeper):
    sent_twice(as_keeper, NEW, **GRID)

    assert LabelSheet.objects.count() == 1


@pytest.mark.parametrize(
    ("field", "typed", "sentence"),
    [
        ("pitch_x_mm", "60", "Labels overlap: the pitch is less than the width."),
        ("pitch_y_mm", "30", "Labels overlap: the pitch is less than the height."),
        ("columns", "4", "The labels reach beyond the page's width."),
        ("rows", "9", "The labels reach beyond the page's height."),
        ("clear_mm", "20", "The clear edge leaves nothing of the label to print on."),
    ],
)
def test_measures_that_make_no_sheet_are_refused_at_their_field(
    as_keeper, field, typed, sentence
):
    assert refused(as_keeper, NEW, field, **{**GRID, field: typed}) == sentence


@pytest.mark.parametrize(
    ("field", "typed"),
    [
        ("page_width_mm", "0"),
        ("page_width_mm", "wide"),
        ("page_width_mm", "1e999"),
        ("label_height_mm", "-3"),
        ("columns", "0"),
        ("columns", "2.5"),
        ("rows", "1000"),
        ("offset_x_mm", "100"),
        ("name", ""),
    ],
)
def test_what_is_no_measure_is_refused_at_its_field(as_keeper, field, typed):
    assert refused(as_keeper, NEW, field, **{**GRID, field: typed})


def test_two_sheets_of_one_name_are_refused_until_the_first_is_put_away(as_keeper):
    own = make_label_sheet(name="cupboard 2, left")

    said = refused(as_keeper, NEW, "name", **GRID)
    recorded(as_keeper, f"/labels/sheets/{own.pk}/retire/")
    recorded(as_keeper, NEW, **GRID)

    assert said == "There is a sheet of this name already."


def test_a_new_sheet_is_drawn_to_scale(as_keeper):
    page = opened(as_keeper, NEW)

    (drawing,) = [e for e in page.main.all("svg") if e["class"] == "sheet"]
    assert drawing["viewbox"] == "0 0 210.0 297.0"
    assert len(places(page)) == 24


def test_the_drawing_is_of_what_is_typed_and_nothing_is_saved(as_keeper):
    sent = {**opened(as_keeper, NEW).typed(), **GRID, "draw": "1"}

    page = Page(as_keeper.post(NEW, sent))
    part = Page(as_keeper.get("/labels/sheets/drawing/", sent))

    assert page.status == 200
    assert len(places(page)) == 21
    assert [(r["x"], r["y"]) for r in places(page)][:2] == [
        ("7.2", "15.1"),
        ("73.2", "15.1"),
    ]
    assert len([r for r in part.all("rect") if r["class"] == "sheet-label"]) == 21
    assert not LabelSheet.objects.exists()


def test_measures_that_cannot_be_drawn_say_so(as_keeper):
    part = Page(as_keeper.get("/labels/sheets/drawing/", {**GRID, "rows": "99"}))

    assert "These measures make no sheet yet." in part.text


@pytest.mark.parametrize("key", ["a4-74x52", "roll-flag", "own"])
def test_each_sheet_has_its_calibration_page(as_keeper, key):
    if key == "own":
        key = f"own-{make_label_sheet().pk}"

    answer = as_keeper.get(f"/labels/sheets/{key}/calibration.pdf")

    assert kind_of(answer) == (200, "application/pdf")


def test_a_sheet_that_is_not_known_has_no_calibration_page(as_keeper):
    assert as_keeper.get("/labels/sheets/own-99/calibration.pdf").status_code == 404


def test_an_operator_sees_the_sheets_and_changes_none(client, operator):
    make_label_sheet(name="Ours")
    client.force_login(operator)

    page = opened(client, "/labels/sheets/")

    assert "Ours" in page.main.text
    assert not [k for k in page.links if "change" in k or "new" in k or "retire" in k]
