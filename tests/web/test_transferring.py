"""Metal from one vessel into others: both sides at once, and the gap between them."""

import pytest

from inventory.models import Movement, Weighing
from inventory.operations import ledger
from tests.factories import G, make_balance, make_batch, make_tared, make_vessel
from tests.web.laboratory import READS_UG
from tests.web.person import (
    answered,
    opened,
    recorded,
    refused,
    refused_as_a_whole,
    sent_twice,
)


@pytest.fixture
def source(shipped):
    """Return an argon-filled flask that holds 5 g of rubidium."""
    make_balance(name="Balance 1")
    return make_vessel(make_batch("Rb"))


@pytest.fixture
def target(source):
    """Return an empty ampoule of the same batch, tared at 20 g under argon."""
    return make_tared(source.batch)


def transfer(source):
    return f"/vessels/{source.pk}/transfer/"


def typed(target, *, out="3 g", into="2.99 g", **more):
    """Return the form of a transfer; masses as the readings show them.

    A gram of reading is 1.000935 g of rubidium: the argon in its place (1.66 to
    1532 kg/m³), less 0.015 % (conventional mass, OIML D 28).
    """
    after_ug = READS_UG - round(float(out.split()[0]) * G)
    gross_ug = 20 * G + round(float(into.split()[0]) * G)
    return {
        "method": "weighed",
        "before": f"{READS_UG / G:.4f} g",
        "after": f"{after_ug / G:.4f} g",
        f"gross_{target.pk}": f"{gross_ug / G:.4f} g",
        "medium": "argon",
        "closure": "flame_sealed",
        **more,
    }


def test_a_transfer_is_recorded_on_both_sides_in_one_go(as_keeper, source, target):
    page = recorded(as_keeper, transfer(source), **typed(target))

    movement = Movement.objects.get(kind="transfer")
    assert (movement.from_vessel, movement.to_vessel) == (source, target)
    assert movement.mass_ug == pytest.approx(2.99 * 1_000_935, abs=300)
    assert f"from {source} to {target}" in page.messages
    received = opened(as_keeper, target.get_absolute_url())
    assert "Transfer" in received.table_under("ledger")[0][1]
    assert "Remaining 2.99" in received.main.text
    assert ledger.read(target.pk).closure == "flame_sealed"


def test_the_source_keeps_what_its_own_readings_say(as_keeper, source, target):
    recorded(as_keeper, transfer(source), **typed(target))

    left_ug = 5 * G - 3 * 1_000_935
    assert ledger.read(source.pk).remaining_ug == pytest.approx(left_ug, abs=300)


def test_several_vessels_are_filled_at_once(as_keeper, source, target):
    other, unused = make_tared(source.batch), make_tared(source.batch)

    recorded(
        as_keeper, transfer(source),
        **typed(target, into="1 g"), **{f"gross_{other.pk}": "21.9850 g"},
    )  # fmt: skip

    filled = Movement.objects.filter(kind="transfer").values_list(
        "to_vessel", flat=True
    )
    assert set(filled) == {target.pk, other.pk}
    assert ledger.read(unused.pk).filled_on is None


def test_work_it_out_first_shows_the_gap_with_its_doubt_and_records_nothing(
    as_keeper, source, target
):
    page = answered(
        as_keeper, transfer(source), **typed(target, into="2.95 g"), **{"work-out": "1"}
    )

    assert page.status == 200
    assert page.facts["Left this vessel"].startswith("3.00")
    assert page.facts["Arrived"].startswith("2.95")
    # 50 mg of reading.
    assert page.facts["Between them"].startswith("+50.")
    assert " ± " in page.facts["Between them"]
    assert "(k = 2)" in page.facts["Between them"]
    assert "more than twice its uncertainty" in page.main.text
    assert not Movement.objects.filter(kind="transfer").exists()
    assert not Weighing.objects.filter(purpose="before").exists()


def test_a_gap_within_its_doubt_is_said_to_agree(as_keeper, source, target):
    page = answered(
        as_keeper, transfer(source), **typed(target, into="2.9995 g"),
        **{"work-out": "1"},
    )  # fmt: skip

    assert "both sides agree" in page.main.text


def test_a_gap_is_no_loss_unless_somebody_says_so(as_keeper, source, target):
    recorded(as_keeper, transfer(source), **typed(target))

    assert not Movement.objects.filter(kind="loss").exists()
    assert Movement.objects.filter(kind="difference", to_end="unaccounted").exists()


def test_a_loss_is_posted_with_the_words_for_it(as_keeper, source, target):
    page = recorded(
        as_keeper, transfer(source),
        **typed(target, is_loss="on", loss_reason="wetted the funnel, quenched"),
    )  # fmt: skip

    loss = Movement.objects.get(kind="loss")
    # 10 mg of reading.
    assert loss.mass_ug == pytest.approx(10_009, abs=20)
    row = next(row for row in page.table_under("ledger") if row[1] == "Loss")
    assert "wetted the funnel, quenched" in row[4]
    assert "±" in row[2]


def test_a_loss_needs_words(as_keeper, source, target):
    said = refused(
        as_keeper, transfer(source), "loss_reason", **typed(target, is_loss="on")
    )

    assert said == "Say where it went."


def test_a_loss_that_no_reading_shows_is_refused(as_keeper, source, target):
    sent = typed(target, into="2.99 g", method="arrived")

    said = refused(
        as_keeper, transfer(source), "is_loss",
        **sent, is_loss="on", loss_reason="wetted the funnel",
    )  # fmt: skip

    assert said.endswith("no loss to post.")


def test_what_arrived_alone_says_what_left(as_keeper, source, target):
    sent = typed(target, method="arrived", before="", after="")

    recorded(as_keeper, transfer(source), **sent)

    arrived = ledger.read(target.pk).remaining_ug
    assert ledger.read(source.pk).remaining_ug == 5 * G - arrived


def test_a_vessel_of_no_batch_yet_takes_the_next_code_of_the_batch(as_keeper, source):
    glass = make_tared(glass_mark="S-14")

    recorded(as_keeper, transfer(source), **typed(glass))

    assert ledger.read(glass.pk).code == f"{source.batch}-02"


def test_without_an_empty_vessel_the_page_leads_to_taring(as_keeper, source):
    make_tared(make_batch("K"))

    page = opened(as_keeper, transfer(source))

    assert f"/vessels/tare/?batch={source.batch}" in page.links
    assert not page.own_forms()


def test_a_gross_lighter_than_its_tare_is_refused_at_its_vessel(
    as_keeper, source, target
):
    sent = {**typed(target), f"gross_{target.pk}": "19 g"}

    said = refused(as_keeper, transfer(source), f"gross_{target.pk}", **sent)

    assert said.startswith(f"{target}: The gross 19")


def test_a_vessel_too_small_is_refused_at_its_field(as_keeper, source):
    small = make_tared(source.batch, capacity_ul=1_000)

    said = refused(as_keeper, transfer(source), f"gross_{small.pk}", **typed(small))

    assert "% full" in said


def test_a_transfer_into_nothing_is_refused(as_keeper, source, target):
    sent = {**typed(target), f"gross_{target.pk}": ""}

    words = refused_as_a_whole(as_keeper, transfer(source), **sent)

    assert "Write the gross reading of at least one vessel." in words


def test_readings_of_the_source_that_are_missing_are_asked_for(
    as_keeper, source, target
):
    page = answered(as_keeper, transfer(source), **typed(target, before="", after=""))

    assert list(page.wrong()) == ["before", "after"]


def test_readings_of_the_source_that_are_swapped_are_refused(as_keeper, source, target):
    sent = typed(target)
    sent["before"], sent["after"] = sent["after"], sent["before"]

    said = refused(as_keeper, transfer(source), "after", **sent)

    assert "Are the two swapped?" in said


def test_a_source_that_disagrees_leads_to_a_check_weighing(as_keeper, source, target):
    sent = typed(target, before="24.4953 g")

    page = answered(as_keeper, transfer(source), **sent)

    assert list(page.wrong()) == ["before"]
    assert f"/vessels/{source.pk}/check/" in page.links


def test_more_than_the_source_holds_is_refused(as_keeper, source, target):
    sent = typed(target, method="arrived", into="6 g")

    words = refused_as_a_whole(as_keeper, transfer(source), **sent)

    assert f"Only 5.000 g is left in {source}" in words


def test_a_medium_that_must_never_be_is_refused(as_keeper, shipped):
    # Lithium takes up nitrogen at room temperature: Bailey et al., Management of
    # time-sensitive chemicals.
    make_balance(name="Balance 1")
    source = make_vessel(make_batch("Li"))
    sent = typed(make_tared(source.batch), method="arrived", into="1 g")

    said = refused(
        as_keeper, transfer(source), "medium", **{**sent, "medium": "nitrogen"}
    )

    assert "nitr" in said


def test_a_transfer_sent_twice_is_recorded_once_and_says_so(as_keeper, source, target):
    page = sent_twice(as_keeper, transfer(source), **typed(target))

    assert Movement.objects.filter(kind="transfer").count() == 1
    assert "had been sent already" in page.messages
