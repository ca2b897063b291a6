"""What comes back of a hand-over, and what is reported of it, on the pages."""

import pytest

from inventory.models import Return
from inventory.operations import corrections, ledger
from tests.domain.handed import (
    make_handed,
    report,
    take_back,
    weighed_back,
)
from tests.factories import (
    ROOM,
    G,
    expected_reading,
    make_partner,
    make_place,
    make_project,
    signed,
)
from tests.web.person import (
    answered,
    filled_in,
    opened,
    recorded,
    refused,
    sent_twice,
)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shipped")]


@pytest.fixture
def client(client, operator):
    client.force_login(operator)
    return client


@pytest.fixture
def project(partner):
    return make_project(partner, partner="Group A", title="Films")


@pytest.fixture
def handed(project):
    return make_handed(partner=make_partner("Group A"), project=project)


def returning(handed):
    return f"/hand-over-lines/{handed.pk}/return/"


def test_a_vessel_comes_back_empty(client, handed):
    shelf = make_place(name="Shelf 2")

    page = recorded(client, returning(handed), way="empty", place=shelf.pk)

    assert f"{handed.vessel} is back from Group A, empty" in page.messages
    assert "Came back empty" in page.rows()[0][4]
    now = ledger.read(handed.vessel_id)
    assert (now.place, now.remaining_ug) == (shelf, 0)


def weighed_again(handed, used_ug):
    """Return what is typed of a vessel that was weighed after its return."""
    reading_ug = expected_reading(handed.vessel, taken_ug=used_ug, **ROOM)
    return {
        "reading": f"{reading_ug / G:.4f} g",
        "place": make_place().pk,
        "air_temperature": "20 °C",
        "air_pressure": "1013.25 hPa",
        "air_humidity": "50 %",
    }


def test_a_vessel_comes_back_partly_used(client, handed):
    typed = weighed_again(handed, 2 * G)

    page = recorded(client, returning(handed), way="opened", gas_now="argon", **typed)

    assert "Came back, weighed again: 1.9999" in page.rows()[0][4]
    assert Return.objects.get().used_ug == pytest.approx(2 * G, abs=200)


def test_of_an_opened_vessel_the_gas_inside_is_asked(client, handed):
    typed = weighed_again(handed, 2 * G)

    sentence = refused(client, returning(handed), "gas_now", way="opened", **typed)

    assert sentence == "It was opened: say which gas is inside now."
    recorded(client, returning(handed), way="opened", gas_now="helium", **typed)
    assert ledger.read(handed.vessel_id).gas.key == "helium"


def test_a_vessel_that_was_not_opened_keeps_its_gas(client, handed):
    before = ledger.read(handed.vessel_id).gas

    typed = weighed_again(handed, 0)

    said = refused(
        client, returning(handed), "gas_now", way="sealed", gas_now="helium", **typed
    )
    assert said == "Not opened, it holds the gas it left with. Was it opened?"

    recorded(client, returning(handed), way="sealed", **typed)
    assert ledger.read(handed.vessel_id).gas == before


def test_a_vessel_that_was_not_opened_has_to_read_as_before(client, handed):
    typed = weighed_again(handed, 2 * G)

    sentence = refused(client, returning(handed), "reading", way="sealed", **typed)

    assert "If it was opened, say so below" in sentence


def test_what_a_form_of_a_return_lacks_is_said_at_its_field(client, handed):
    at, place = returning(handed), make_place().pk

    assert "Say how it came back." in answered(client, at, place=place).main.text
    assert refused(client, at, "place", way="empty")
    needed = "This is needed for the way you chose."
    assert refused(client, at, "reading", way="sealed", place=place) == needed
    early = refused(
        client, at, "read_at", way="empty", place=place, read_at="2020-01-01T12:00"
    )
    assert early.startswith("This is before it was handed over, on ")
    fine = refused(
        client, at, "reading", way="sealed", place=place, reading="5.00001 g"
    )
    assert "this reading has more digits than that" in fine


def test_a_return_sent_twice_counts_once(client, handed):
    page = sent_twice(client, returning(handed), way="empty", place=make_place().pk)

    assert "had been sent already" in page.messages


def reporting(handed):
    return f"/hand-over-lines/{handed.pk}/report/"


def test_a_partner_reports_what_was_used_and_it_is_marked_so(as_partner, handed):
    page = recorded(as_partner, reporting(handed), used="1.2 g", note="second film")

    assert "Group A reports 1.200 g of" in page.messages
    row = page.rows()[0][4]
    assert "Use reported, not measured: 1.20 g ± 0.69 g (k = 2) used" in row
    assert "second film" in row
    project = opened(as_partner, handed.hand_over.project.get_absolute_url())
    assert "as reported, not measured" in project.table_under("taken")[0][3]


def test_inside_it_is_marked_as_reported_too(client, handed):
    recorded(client, reporting(handed), used="1.2 g", u_used="10 mg")

    page = opened(client, handed.vessel.get_absolute_url())

    ledger_rows = page.table_under("ledger")
    assert "Reported as the partner reported, not measured" in ledger_rows[-1][3]
    assert "1.200 g is reported as used, not measured." in page.main.text


def test_all_of_it_may_be_reported(as_partner, handed):
    recorded(as_partner, reporting(handed), is_all="on")

    assert Return.objects.get().used_ug == handed.mass_ug


@pytest.mark.parametrize(
    ("typed", "used_ug"),
    [
        # Rb: 85.4678 g/mol (IUPAC 2021), 1.53 g/cm³ (CRC Handbook).
        ("10 mmol", 854_678),
        ("1 mL", 1_530_000),
    ],
)
def test_a_use_may_be_reported_in_mmol_or_as_a_volume(
    as_partner, handed, typed, used_ug
):
    recorded(as_partner, reporting(handed), used=typed)

    assert Return.objects.get().used_ug == pytest.approx(used_ug, rel=2e-3)


def test_more_doubt_than_the_use_is_refused_at_its_field(as_partner, handed):
    at = reporting(handed)

    said = refused(as_partner, at, "u_used", used="0.5 g", u_used="1 g")
    assert "more than the 500.0 mg that it is about" in said
    of_all = refused(as_partner, at, "u_used", is_all="on", u_used="10 mg")
    assert "the record says" in of_all


def test_what_a_form_of_a_report_lacks_is_said_at_its_field(as_partner, handed):
    at = reporting(handed)
    neither = "Write how much, or tick that all was used."

    assert refused(as_partner, at, "used") == neither
    assert refused(as_partner, at, "used", used="1 g", is_all="on") == neither
    assert refused(as_partner, at, "used", used="0 g")
    assert "By the record" in refused(as_partner, at, "used", used="9 g")
    assert refused(as_partner, at, "used", used="some")


def test_a_report_sent_twice_counts_once(as_partner, handed):
    page = sent_twice(as_partner, reporting(handed), used="1 g")

    assert "had been sent already" in page.messages


def test_a_return_that_shows_less_used_than_reported_says_so_as_the_report_does(
    client, handed
):
    report(handed, 3 * G)
    take_back(handed, weighed_back(handed, -G))
    words = "Came back, weighed again: less was used than reported"

    page = opened(client, handed.hand_over.get_absolute_url())
    of_project = handed.hand_over.project.get_absolute_url()

    said = page.rows()[0][4]
    assert f"{words}, by 1.000 g" in said
    assert "nothing more was used" not in said
    assert words in opened(client, f"{of_project}report/").main.text


def test_a_corrected_report_stays_and_is_struck_through(client, handed):
    told = report(handed, G)
    corrections.correct(told.movement, reason="another vessel", **signed())

    page = opened(client, handed.hand_over.get_absolute_url())

    (struck,) = page.main.all("s")
    assert struck.text.startswith("Use reported, not measured: 1.0")
    assert "Corrected" in page.rows()[0][4]


def test_after_the_return_nothing_more_is_asked(client, handed):
    take_back(handed, weighed_back(handed, G))

    page = opened(client, handed.hand_over.get_absolute_url())

    assert returning(handed) not in page.links
    assert reporting(handed) not in page.links
    again = filled_in(client, returning(handed), way="empty", place=make_place().pk)
    assert "came back on" in client.post(returning(handed), again).text
