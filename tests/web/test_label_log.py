"""The log of printed labels: who, when, how, why again, and printing one again."""

import pytest

from tests.factories import make_batch, make_label_print, make_laboratory, make_vessel
from tests.web.pages import Page
from tests.web.papers import the_pdf
from tests.web.person import opened

pytestmark = pytest.mark.usefixtures("shipped")
LOG = "/labels/log/"


@pytest.fixture(autouse=True)
def laboratory(shipped):
    return make_laboratory()


def codes_in(client, **query):
    page = Page(client.get(LOG, query))
    assert page.status == 200
    return [row[1] for row in page.rows()] if page.main.all("tbody") else []


def test_the_log_says_who_printed_what_when_how_and_why_again(as_keeper):
    vessel = make_vessel()
    the_pdf(as_keeper, vessel)
    the_pdf(as_keeper, vessel, format="tag", mode="gb", first="en", second="de",
            reason="smudged")  # fmt: skip

    newest, first = opened(as_keeper, LOG).rows()

    assert newest[1:8] == [
        *(vessel.code, "the-keeper", "Tie-on tag"),
        "A4 landscape, 2 × 2 tie-on tags of 105 × 74 mm",
        *("Great Britain (GB CLP)", "en de", "Smudged or faded"),
    ]
    assert first[3] == "Full label"
    assert first[7] == "—"


def test_the_log_is_narrowed_by_code_format_person_and_whether_it_was_again(
    as_keeper, keeper
):
    one, other = make_vessel(make_batch("K")), make_vessel(make_batch("Na"))
    the_pdf(as_keeper, one)
    the_pdf(as_keeper, one, other, format="tag", mode="eu", first="en", reason="lost")

    assert codes_in(as_keeper, q=one.code.lower()) == [one.code] * 2
    assert set(codes_in(as_keeper, format="tag")) == {one.code, other.code}
    assert codes_in(as_keeper, again="on") == [one.code]
    assert len(codes_in(as_keeper, by=keeper.pk)) == 3
    assert codes_in(as_keeper, q="ZZ") == []


def test_a_label_is_printed_again_from_the_log_as_it_was(as_keeper):
    vessel = make_vessel()
    the_pdf(as_keeper, vessel, format="tag", sheet="letter-105x74", mode="gb",
            first="en", second="fr", transport="on")  # fmt: skip
    (again,) = [link for link in opened(as_keeper, LOG).links if "?vessel=" in link]

    page = opened(as_keeper, again)

    sent = page.typed()
    assert sent["format"] == ["tag"]
    assert sent["sheet"] == ["letter-105x74"]
    assert (sent["mode"], sent["first"], sent["second"]) == (["gb"], ["en"], ["fr"])
    assert sent["transport"] == ["on"]
    assert page.main.all("select", name="reason")


def test_the_pdf_is_had_again_from_the_log_by_who_made_it_while_it_is_kept(
    as_keeper, client, operator, monkeypatch
):
    pdf = the_pdf(as_keeper, make_vessel())

    (link,) = [link for link in opened(as_keeper, LOG).links if "/files/" in link]
    assert b"".join(as_keeper.get(link).streaming_content) == pdf
    monkeypatch.setattr("labels.kept.KEPT_S", 0)
    assert not [k for k in opened(as_keeper, LOG).links if "/files/" in k]
    monkeypatch.undo()
    client.force_login(operator)
    assert not [k for k in opened(client, LOG).links if "/files/" in k]


def test_the_log_shows_fifty_labels_and_the_others_by_page(as_keeper):
    vessel = make_vessel()
    for _ in range(53):
        make_label_print(vessel)

    assert len(codes_in(as_keeper)) == 50
    assert len(codes_in(as_keeper, page="2")) == 3


def test_a_label_on_a_sheet_no_longer_in_use_still_stands_in_the_log(as_keeper):
    make_label_print(make_vessel(), sheet="own-77")

    (row,) = opened(as_keeper, LOG).rows()

    assert row[4] == "a sheet no longer in use"


def test_the_log_without_labels_says_so(as_keeper):
    assert "Nothing was printed that matches." in opened(as_keeper, LOG).main.text


def test_a_reader_sees_the_log_and_is_offered_no_printing(client, reader):
    make_label_print(make_vessel())
    client.force_login(reader)

    page = opened(client, LOG)

    assert len(page.rows()) == 1
    assert not [link for link in page.links if link.startswith("/labels/?")]
