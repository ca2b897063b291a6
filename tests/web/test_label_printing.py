"""Printing labels: what is asked, what is kept, and jobs that take a while."""

import re
from uuid import uuid4

import pytest
import zxingcpp

from inventory.models import LabelPrint
from labels.views.printing import AT_ONCE
from tests.factories import (
    make_batch,
    make_label_print,
    make_laboratory,
    make_vessel,
)
from tests.web.pages import Page
from tests.web.papers import LABELS, asked_for, kind_of, painted, the_pdf
from tests.web.person import opened

pytestmark = pytest.mark.usefixtures("shipped")


@pytest.fixture(autouse=True)
def laboratory(shipped):
    return make_laboratory()


@pytest.fixture
def vessel():
    return make_vessel()


def shown(client, **query):
    """Return the page of the job that a query asks for, refused or not."""
    return Page(client.get(LABELS, query))


def drawn(page):
    """Return what the drawn labels say to who cannot see them."""
    return [
        svg["aria-label"]
        for svg in page.main.all("svg")
        if (svg["class"] or "").startswith("label-picture")
    ]


def long_job(count):
    batch = make_batch()
    for _ in range(count):
        make_vessel(batch)
    return {"batch": batch.code, "request_id": str(uuid4())}


def test_what_is_shown_is_what_is_printed(as_keeper, vessel):
    other = make_vessel(make_batch("Na"))
    page = shown(
        as_keeper,
        vessel=[vessel.pk, other.pk],
        format="tag",
        sheet="a4-105x74",
        mode="gb",
        first="en",
        second="de",
        outlines="on",
    )

    as_keeper.post(LABELS, page.typed())

    rows = LabelPrint.objects.all()
    assert {row.vessel_id for row in rows} == {vessel.pk, other.pk}
    assert {(r.format, r.sheet, r.mode, r.languages) for r in rows} == {
        ("tag", "a4-105x74", "gb", "en de")
    }


def test_printing_again_asks_why_and_keeps_what_was_chosen(as_keeper, vessel):
    make_label_print(vessel)
    sent = asked_for(vessel, format="tag", mode="eu", first="en")

    page = Page(as_keeper.post(LABELS, sent))

    assert page.status == 422
    assert page.wrong() == {
        "reason": "Some of these had a label before: say why again."
    }
    assert LabelPrint.objects.count() == 1
    the_pdf(as_keeper, vessel, reason="smudged")
    assert LabelPrint.objects.last().reason == "Smudged or faded"


def test_another_reason_is_given_in_words(as_keeper, vessel):
    make_label_print(vessel)

    page = Page(as_keeper.post(LABELS, asked_for(vessel, reason="other")))
    the_pdf(as_keeper, vessel, reason="other", other="Tried a new printer")

    assert page.wrong() == {"other": "Say in a few words why."}
    assert LabelPrint.objects.last().reason == "Tried a new printer"


def test_a_job_sent_twice_prints_once_and_gives_the_same_pdf(as_keeper, vessel):
    sent = asked_for(vessel)

    first, second = (
        b"".join(as_keeper.post(LABELS, sent, follow=True).streaming_content)
        for _ in range(2)
    )

    assert first == second
    assert LabelPrint.objects.count() == 1


def test_the_next_job_begins_as_the_last_one_was(as_keeper, vessel):
    the_pdf(as_keeper, vessel, format="tag", mode="gb", first="en", second="fr")

    page = opened(as_keeper, f"/labels/?vessel={vessel.pk}")

    chosen = {
        name: [o["value"] for o in select.all("option") if "selected" in o.attrs]
        for name in ("format", "mode", "second")
        for select in page.main.all("select", name=name)
    }
    assert chosen == {"format": ["tag"], "mode": ["gb"], "second": ["fr"]}


def test_the_pdf_is_kept_for_an_hour_for_who_made_it(
    as_keeper, client, operator, vessel, monkeypatch
):
    sent = asked_for(vessel)
    at = as_keeper.post(LABELS, sent)["Location"]

    assert kind_of(as_keeper.get(at)) == (200, "application/pdf")
    client.force_login(operator)
    assert client.get(at).status_code == 404


def test_the_pdf_is_gone_after_its_hour(as_keeper, vessel, monkeypatch):
    at = as_keeper.post(LABELS, asked_for(vessel))["Location"]
    monkeypatch.setattr("labels.kept.KEPT_S", 0)

    page = Page(as_keeper.get(at))

    assert page.status == 404
    assert "not kept any more" in page.main.text


def test_a_long_job_tells_how_far_it_is_and_ends_with_the_pdf(as_keeper):
    sent = long_job(AT_ONCE + 2)

    answer = as_keeper.post(LABELS, sent)
    parts = [part.decode() for part in answer.streaming_content]

    assert LabelPrint.objects.count() == AT_ONCE + 2
    steps = [part for part in parts if "<progress" in part]
    assert len(steps) == AT_ONCE + 2
    assert f"1 of {AT_ONCE + 2} laid out" in steps[0]
    whole = "".join(parts)
    assert whole.rstrip().endswith("</html>")
    (href,) = re.findall(r'href="(/labels/files/[^"]+)"', whole)
    assert kind_of(as_keeper.get(href)) == (200, "application/pdf")


def test_a_long_job_that_nobody_waits_for_is_not_printed(as_keeper):
    answer = as_keeper.post(LABELS, long_job(AT_ONCE + 1))
    parts = iter(answer.streaming_content)
    for _ in range(5):
        next(parts)

    answer.close()

    assert not LabelPrint.objects.exists()


def test_a_long_job_that_fails_half_way_says_so_and_prints_nothing(
    as_keeper, monkeypatch
):
    sent = {**long_job(AT_ONCE + 1), "format": "wrap", "mode": "eu", "first": "en"}
    sent["glass"] = "90"

    answer = as_keeper.post(LABELS, sent)
    whole = b"".join(answer.streaming_content).decode()

    assert "The wrap goes round glass of 15 to 34 mm, not of 90 mm" in whole
    assert "Nothing was printed" in whole
    assert whole.rstrip().endswith("</html>")
    assert not LabelPrint.objects.exists()


def test_the_same_form_sent_for_other_places_prints_there_and_is_logged_once(
    as_keeper, vessel
):
    sent = asked_for(vessel, sheet="a4-74x52")

    def corner(**more):
        answer = as_keeper.post(LABELS, {**sent, **more}, follow=True)
        (picture,) = painted(b"".join(answer.streaming_content))
        (found,) = zxingcpp.read_barcodes(picture)
        return found.position.top_left

    first, second = corner(), corner(used=[0])

    assert second.x > first.x + 500
    assert LabelPrint.objects.count() == 1


def test_the_same_form_sent_for_another_vessel_is_refused(as_keeper, vessel):
    sent = asked_for(vessel)
    as_keeper.post(LABELS, sent)

    page = Page(as_keeper.post(LABELS, {**sent, "vessel": make_vessel().pk}))

    assert page.status == 422
    assert "This form had been sent already" in page.main.text
    assert LabelPrint.objects.count() == 1
