"""Where a shown mass comes from: the sum, its doubt, and the readings behind it."""

import re
from xml.etree import ElementTree

import pytest

from inventory.operations import filling, taking
from tests.factories import (
    G,
    earlier,
    make_balance,
    make_batch,
    make_tared,
    make_vessel,
    medium,
    observe,
    signed,
    take,
)
from tests.web.laboratory import READS_UG, weighed
from tests.web.person import opened, recorded


@pytest.fixture
def balance(shipped):
    return make_balance(name="Balance 1")


@pytest.fixture
def vessel(balance):
    """Return an argon-filled ampoule of 20 mL that holds 5 g of rubidium as stated."""
    return make_vessel(make_batch("Rb"))


def fill_by_weight(balance):
    """Return a vessel filled by weight: 20 g in air and empty, 25 g under argon."""
    batch = make_batch("Rb")
    vessel = make_tared(batch, gas="air")
    filled = filling.Filling(
        batch=batch,
        medium=medium("argon"),
        gas=medium("argon"),
        closure="stopcock",
        gross=observe(25 * G, gas="argon", balance=balance),
    )
    filling.fill(vessel, filled, happened_at=earlier(), **signed())
    return vessel


def panels(client, vessel):
    """Return {what moved: its panel} of the vessel's page."""
    page = opened(client, vessel.get_absolute_url())
    return {
        panel.all("span")[0].text.split(" of ")[0]: panel
        for panel in page.main.all("details")
        if panel.all("summary")[0].text.startswith("How ")
    }


def test_a_weighed_filling_shows_each_part_of_the_sum_with_its_numbers(
    as_keeper, balance
):
    panel = panels(as_keeper, fill_by_weight(balance))["filling"]

    sum_, _ = panel.all("tbody")
    parts = [[cell.text for cell in row.all("td")] for row in sum_.all("tr")]
    sizes = {row[0]: in_mg(row[2]) for row in parts}
    # 20 mL of argon (1.66 kg/m³, ideal gas) in the place of air (1.20, CIPM-2007), and
    # 3.26 mL of it displaced by 5 g of rubidium (1.532 g/cm³, CRC Handbook).
    assert sizes["Gross less tare"] == 5000
    assert sizes["Change of the gas inside"] == pytest.approx(-9.2, abs=0.2)
    assert sizes["Gas the metal displaces"] == pytest.approx(5.4, abs=0.1)
    assert all(row[1] for row in parts)


def test_a_weighed_filling_shows_where_its_doubt_comes_from_with_bars(
    as_keeper, balance
):
    panel = panels(as_keeper, fill_by_weight(balance))["filling"]

    _, doubts = panel.all("tbody")
    shares = [float(row.all("td")[2].text.strip("<% ")) for row in doubts.all("tr")]
    bars = [float(bar["width"].strip("%")) for bar in panel.all("rect")[1::2]]
    assert sum(shares) == pytest.approx(100, abs=1)
    assert bars == pytest.approx(shares, abs=0.1)


def test_a_weighed_mass_links_to_the_readings_it_is_from(as_keeper, balance):
    vessel = fill_by_weight(balance)
    page = opened(as_keeper, vessel.get_absolute_url())

    panel = panels(as_keeper, vessel)["filling"]

    targets = [page.by_id(link["href"].removeprefix("#")) for link in panel.all("a")]
    assert [row.all("td")[1].text for row in targets] == ["Tare", "Gross"]


def test_the_parts_of_the_sum_come_to_the_mass(as_keeper, balance):
    vessel = fill_by_weight(balance)
    panel = panels(as_keeper, vessel)["filling"]

    shown = [row.all("td")[2].text for row in panel.all("tbody")[0].all("tr")]
    total_mg = sum(in_mg(text) for text in shown)
    heading = re.search(r"How ([\d.]+) g", panel.text).group(1)
    assert total_mg == pytest.approx(float(heading) * 1000, abs=0.3)


def in_mg(text):
    sign = -1 if text.startswith("−") else 1
    number, unit = re.search(r"([\d.]+) (µg|mg|g)", text).groups()
    return sign * float(number) * {"µg": 1e-3, "mg": 1, "g": 1e3}[unit]


def test_a_weighed_withdrawal_shows_its_readings_and_its_doubt(
    as_keeper, vessel, balance
):
    take(vessel, weighed(vessel, READS_UG, READS_UG - G, balance))
    page = opened(as_keeper, vessel.get_absolute_url())

    panel = panels(as_keeper, vessel)["withdrawal"]

    rows = [page.by_id(link["href"].removeprefix("#")) for link in panel.all("a")]
    assert {row.all("td")[1].text for row in rows} == {"Before taking", "After taking"}
    assert panel.all("svg")


def test_a_volume_shows_density_and_temperature(as_keeper, balance):
    alloy = make_vessel(make_batch("NaK"), holding_ug=8 * G)
    drawn = taking.Drawn(volume_ul=3_000, u_volume_ul=24, temperature_c=22.0)
    take(alloy, drawn)

    words = panels(as_keeper, alloy)["withdrawal"].text

    # Sodium-potassium eutectic: 0.866 g/cm³ (suppliers' sheets; common practice).
    found = re.search(
        r"3(?:\.\d+)? mL × (0\.86\d*) g/cm³ at 22(?:\.0)? °C = (2\.\d+) g", words
    )
    assert found, words
    assert float(found[2]) == pytest.approx(3 * float(found[1]), abs=0.003)


def test_pieces_show_their_number_and_mean(as_keeper, vessel):
    take(vessel, taking.Pieces(count=12, piece_ug=150_000, u_piece_ug=10_000))

    words = panels(as_keeper, vessel)["withdrawal"].text

    assert "12 pieces of 150.0 mg each = 1.800 g." in words


def test_a_receiver_shows_both_of_its_readings_and_the_balance(
    as_keeper, vessel, balance
):
    recorded(
        as_keeper, f"/vessels/{vessel.pk}/withdraw/", method="receiver",
        receiver_empty="30 g", receiver_full="32 g", purpose="a run",
    )  # fmt: skip

    words = panels(as_keeper, vessel)["withdrawal"].text

    assert "The receiver read 30 g empty and 32 g with the metal" in words
    assert "on Balance 1" in words
    assert "2.00" in words.split("that is ")[1]


def test_what_was_stated_says_that_nobody_weighed_it(as_keeper, vessel):
    words = panels(as_keeper, vessel)["filling"].text

    assert words.endswith("As stated; nobody weighed it here.")


def test_the_whole_contents_say_that_the_record_was_taken_at_its_word(
    as_keeper, vessel
):
    take(vessel)

    assert panels(as_keeper, vessel)["withdrawal"].text.endswith(
        "All that the record said was left."
    )


def test_a_difference_names_its_reason(as_keeper, vessel):
    recorded(
        as_keeper, f"/vessels/{vessel.pk}/check/", reading="24.4953 g",
        cause="metal", reason="a piece was taken",
    )  # fmt: skip

    words = panels(as_keeper, vessel)["difference found by weighing"].text

    assert "a piece was taken" in words


def test_what_was_corrected_is_not_explained_any_more(as_keeper, vessel):
    wrong = take(vessel)

    recorded(as_keeper, f"/movements/{wrong.pk}/correct/", reason="the wrong vessel")

    assert "withdrawal" not in panels(as_keeper, vessel)


class TestOverTime:
    """The drawing of what remained, and the table of the same numbers."""

    @pytest.fixture
    def section(self, as_keeper, vessel, balance):
        take(vessel, weighed(vessel, READS_UG, READS_UG - G, balance))
        recorded(
            as_keeper, f"/vessels/{vessel.pk}/check/", reading="24.4953 g",
            cause="unknown", reason="no idea",
        )  # fmt: skip
        page = opened(as_keeper, vessel.get_absolute_url())
        return page.by_id("over-time").above("section")

    def test_each_drawing_is_an_image_with_a_title_and_a_description(
        self, section, vessel
    ):
        drawings = section.all("svg", role="img")

        assert len(drawings) == 2
        for drawing in drawings:
            assert vessel.code in drawing.all("title")[0].text
            assert drawing.all("desc")[0].text.endswith(".")

    def test_each_taking_and_reading_has_a_mark_of_its_shape(self, section):
        marks = section.all("svg", role="img")[0].all("g")

        told = [mark.all("title")[0].text for mark in marks]
        assert any("illing" in words or "stated" in words for words in told)
        assert any("taking" in words or "ithdraw" in words for words in told)
        assert len({mark["class"] for mark in marks}) >= 3

    def test_the_steps_stand_in_a_table_with_their_doubt_and_verdict(self, section):
        (body,) = section.all("tbody")
        rows = [[cell.text for cell in row.all("td")] for row in body.all("tr")]

        assert all("(k = 2)" in row[2] for row in rows[1:])
        reading, doubt = rows[-2:]
        assert reading[3].startswith("+500.") or reading[3].startswith("+499.")
        assert "mg" in reading[4]
        assert reading[5] == "more than 3 u: investigate before use"
        assert doubt[1].startswith("Not explained: the doubt stays")

    def test_a_moment_at_which_nobody_knew_is_left_out(self, section):
        assert "to be found by weighing" not in section.text

    def test_a_vessel_never_filled_has_no_drawing(self, as_keeper, vessel):
        page = opened(as_keeper, make_tared(vessel.batch).get_absolute_url())

        assert page.by_id("over-time") is None

    def test_the_drawing_is_well_formed(self, as_keeper, section, vessel):
        text = as_keeper.get(vessel.get_absolute_url()).text

        drawings = re.findall(r"<svg class=\"chart-drawing.*?</svg>", text, re.DOTALL)
        assert len(drawings) == 2
        for drawing in drawings:
            ElementTree.fromstring(drawing)
