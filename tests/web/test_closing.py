"""Closing a batch through its page, and what its page then says and allows."""

import pytest

from inventory.models import Closing, Movement
from tests.domain.closed import (
    MG,
    close,
    make_decanted,
    make_filled,
    make_weighed,
    stated,
    weighed_as,
)
from tests.factories import G, make_batch, make_tared, make_vessel, make_weighed_vessel
from tests.web.pages import Page
from tests.web.person import (
    answered,
    opened,
    recorded,
    refused,
    refused_as_a_whole,
    sent_twice,
)

pytestmark = pytest.mark.usefixtures("shipped")

WEIGHED = {"method": "weighed", "collected": "12.05 g", "u_collected": "10 mg"}


def way(batch, leaf="close"):
    return f"/batches/{batch}/{leaf}/"


def main_action(page):
    """Return the address of the one button that stands out."""
    (button,) = [
        link
        for link in page.main.all("a")
        if "button-main" in (link["class"] or "").split()
    ]
    return button["href"]


def test_closing_shows_the_account_and_posts_the_rest(as_keeper):
    batch = make_filled(5 * G, 7 * G)

    page = recorded(
        as_keeper, way(batch), **WEIGHED, reason="stated by the supplier",
        lost="20 mg", u_lost="1 mg", lost_where="the still",
    )  # fmt: skip

    assert page.facts["Collected"].startswith("12.050 g ± 0.020 g (k = 2) weighed")
    assert page.facts["In vessels"].startswith("12.0000 g ± 0.0028 g (k = 2)")
    assert page.facts["Lost on the way"].startswith("20.0 mg ± 2.0 mg (k = 2)")
    assert page.facts["Not accounted for"].startswith("+30.0 mg ± 20.3 mg (k = 2)")
    assert "is missing, 2 to 3 standard uncertainties: check the" in page.main.text
    assert "before anything is opened or rinsed" in page.main.text
    assert "can ignite" in page.main.text
    posted = Movement.objects.filter(from_batch=batch, to_vessel=None)
    assert sorted(posted.values_list("to_end", "mass_ug")) == [
        ("loss", 20 * MG),
        ("unaccounted", 30 * MG),
    ]


def test_it_is_worked_out_first_and_nothing_recorded(as_keeper):
    batch = make_filled(5 * G, 7 * G)

    page = answered(as_keeper, way(batch), **WEIGHED, **{"work-out": "1"})

    assert page.status == 200
    assert page.facts["Not accounted for"].startswith("+50.0 mg")
    assert "It needs a reason" in page.main.text
    assert "posts 50.0 mg from the batch to unaccounted" in page.main.text
    assert not Closing.objects.exists()


def test_more_filled_than_collected_is_said_so(as_keeper):
    batch = make_filled(5 * G, 7 * G)
    typed = {**WEIGHED, "collected": "11.90 g", "work-out": "1"}

    page = answered(as_keeper, way(batch), **typed)

    assert "posts 100.0 mg from unaccounted to the batch" in page.main.text


def test_the_reason_that_is_missing_is_asked_for_at_its_field(as_keeper):
    batch = make_filled(5 * G)

    said = refused(as_keeper, way(batch), "reason", method="stated")

    assert said == (
        f"{batch}-01 was filled without being weighed: say why that will do."
    )


@pytest.mark.parametrize(
    ("typed", "field", "sentence"),
    [
        ({"method": "weighed"}, "collected", "Give the mass that was weighed."),
        (
            {"method": "weighed", "collected": "12 mL"},
            "collected",
            "12 mL is a volume; a mass is needed, as in 12.5 g",
        ),
        (
            {"method": "stated", "collected": "12 g"},
            "collected",
            "This counts only when it was weighed: choose that above, or leave it "
            "empty.",
        ),
        ({"method": "stated", "lost": "1 g"}, "lost_where", "Say where it was lost."),
        (
            {**WEIGHED, "lost": "13 g", "lost_where": "the floor"},
            "lost",
            "Only 12.050 g was collected: no more than that can be lost.",
        ),
    ],
)
def test_what_cannot_be_is_refused_in_one_sentence(as_keeper, typed, field, sentence):
    batch = make_filled(5 * G)

    assert refused(as_keeper, way(batch), field, **typed) == sentence


def test_a_closing_sent_twice_is_recorded_once_and_says_so(as_keeper):
    batch = make_weighed(5 * G)

    page = sent_twice(as_keeper, way(batch), method="stated")

    assert Closing.objects.count() == 1
    assert "had been sent already" in page.messages


def test_the_receiver_is_offered_where_there_is_one(as_keeper):
    source = make_decanted(12 * G)
    values = [
        control["value"]
        for control in opened(as_keeper, way(source.batch)).main.all(
            "input", type="radio"
        )
    ]
    assert values == ["receiver", "weighed", "stated"]

    page = recorded(
        as_keeper, way(source.batch), method="receiver", reason="cleaned with alcohol"
    )

    assert f"weighed in {source}" in page.facts["Collected"]
    assert "It adds up" not in page.main.text
    assert f"{source} was not weighed after it was emptied" in page.main.text


def test_the_receiver_is_offered_with_what_was_filled_straight_besides(as_keeper):
    source = make_decanted(12 * G)
    make_weighed_vessel(source.batch, gain_ug=3 * G)

    words = opened(as_keeper, way(source.batch)).main.text

    assert "The receiver: 13.0" in words
    assert f"(k = 2) weighed in {source}, and filled straight" in words


def test_a_closed_batch_says_so_and_offers_no_way_to_add(as_keeper):
    batch = make_filled(5 * G)
    close(batch, stated(reason="the supplier's masses will do"))

    page = opened(as_keeper, batch.get_absolute_url())

    assert "Closed" in page.main.text
    assert "the supplier's masses will do" in page.main.text
    for leaf in ("charge", "bench", "close"):
        assert way(batch, leaf) not in page.links
    assert way(batch, "reopen") in page.links
    assert main_action(page) == f"/labels/?batch={batch}"


def test_a_charge_for_a_closed_batch_is_refused(as_keeper):
    batch = make_filled(5 * G)
    close(batch)

    words = refused_as_a_whole(
        as_keeper, way(batch, "charge"), formula="RbCl", role="source", mass="60 g"
    )

    assert "is closed: its account is drawn up" in words


def test_the_page_of_closing_leads_back_once_it_is_closed(as_keeper):
    batch = make_filled(5 * G)
    close(batch)

    assert as_keeper.get(way(batch))["Location"] == batch.get_absolute_url()
    assert as_keeper.get(way(make_batch(), "reopen")).status_code == 302


def test_a_keeper_reopens_a_batch_with_a_reason(as_keeper):
    batch = make_filled(5 * G)
    close(batch, weighed_as(6 * G))

    page = recorded(as_keeper, way(batch, "reopen"), reason="an ampoule was forgotten")

    assert f"Reopened batch {batch}: an ampoule was forgotten" in page.messages
    assert way(batch, "close") in page.links


def test_reopening_without_a_reason_is_refused(as_keeper):
    batch = make_filled(5 * G)
    close(batch)

    assert refused(as_keeper, way(batch, "reopen"), "reason", reason="")


def test_a_reopening_sent_twice_is_recorded_once_and_says_so(as_keeper):
    batch = make_filled(5 * G)
    close(batch)

    page = sent_twice(as_keeper, way(batch, "reopen"), reason="an ampoule was missed")

    assert "had been sent already" in page.messages


def test_what_a_closing_posted_has_no_correction_of_its_own(as_keeper):
    batch = make_filled(5 * G)
    (moved,) = close(batch, weighed_as(6 * G)).entry.movements.all()

    words = refused_as_a_whole(
        as_keeper, f"/movements/{moved.pk}/correct/", reason="not so"
    )

    assert "Have it reopened first" in words


class TestMainAction:
    """The one button that stands out is what the batch waits for."""

    def test_without_a_vessel_it_is_taring(self, as_keeper):
        batch = make_batch()

        page = opened(as_keeper, batch.get_absolute_url())

        assert main_action(page) == f"/vessels/tare/?batch={batch}"

    def test_of_a_bought_batch_it_is_receiving(self, as_keeper):
        batch = make_batch(kind="bought")

        page = opened(as_keeper, batch.get_absolute_url())

        assert main_action(page) == way(batch, "receive")

    def test_with_empty_vessels_it_is_the_bench(self, as_keeper):
        batch = make_batch()
        make_tared(batch)

        page = opened(as_keeper, batch.get_absolute_url())

        assert main_action(page) == way(batch, "bench")

    def test_once_all_is_filled_it_is_closing(self, as_keeper):
        batch = make_filled(5 * G)

        page = opened(as_keeper, batch.get_absolute_url())

        assert main_action(page) == way(batch)

    def test_a_reader_gets_no_button(self, client, reader):
        batch = make_filled(5 * G)
        client.force_login(reader)

        page = Page(client.get(batch.get_absolute_url()))

        assert not page.main.all("a", **{"class": "button button-main"})
        assert way(batch) not in page.links


def test_a_batch_page_says_what_became_of_what_was_filled(as_keeper):
    batch = make_filled(5 * G)
    make_vessel(batch, holding_ug=2 * G)

    page = opened(as_keeper, batch.get_absolute_url())

    assert page.facts["Still held"] == "7.000 g"
    assert "nothing tells whether metal is missing" in page.main.text
