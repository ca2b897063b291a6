"""Closing a batch: the ledger then says that it gave what was collected, and no more."""

import pytest

from inventory.models import Closing, Movement
from inventory.operations import (
    batches,
    closing,
    finishing,
    statements,
)
from tests.domain.closed import (
    MG,
    account,
    close,
    given,
    make_filled,
    make_weighed,
    posted,
    stated,
    weighed_as,
)
from tests.domain.records import refused
from tests.factories import (
    G,
    make_batch,
    signed,
)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shipped")]

NO_REASON = {"reason": ""}


@pytest.mark.parametrize(
    ("collected_ug", "lost_ug", "expected"),
    [
        (12_000 * MG, 0, []),
        (12_030 * MG, 0, [("difference", "unaccounted", 30 * MG, 10 * MG)]),
        (11_970 * MG, 0, [("difference", "unaccounted", 30 * MG, 10 * MG)]),
        (12_030 * MG, 30 * MG, [("loss", "loss", 30 * MG, 0)]),
        (
            12_030 * MG,
            50 * MG,
            [
                ("loss", "loss", 50 * MG, 0),
                ("difference", "unaccounted", 20 * MG, 10 * MG),
            ],
        ),
    ],
)
def test_closing_posts_what_is_lost_and_the_rest_so_that_the_ledger_adds_up(
    collected_ug, lost_ug, expected
):
    batch = make_filled(5 * G, 7 * G, u_ug=0)

    done = close(
        batch,
        weighed_as(collected_ug, 10 * MG, lost_ug=lost_ug, lost_where="the still"),
    )

    assert posted(done) == expected
    assert given(batch) == done.collected_ug == collected_ug


def test_what_is_missing_goes_from_the_batch_and_what_is_over_comes_back_to_it():
    short, over = make_filled(5 * G), make_filled(5 * G)

    (missing,) = close(short, weighed_as(6 * G)).entry.movements.all()
    (found,) = close(over, weighed_as(4 * G)).entry.movements.all()

    assert (missing.from_batch, missing.to_end) == (short, "unaccounted")
    assert (found.from_end, found.to_batch) == ("unaccounted", over)
    assert missing.purpose == found.purpose == stated().reason


def test_a_loss_says_where_and_counts_with_its_uncertainty():
    batch = make_filled(5 * G)

    done = close(
        batch,
        weighed_as(
            5_100 * MG, lost_ug=100 * MG, u_lost_ug=40 * MG, lost_where="the condenser"
        ),
    )

    (lost,) = done.entry.movements.all()
    assert (lost.purpose, lost.u_ug) == ("the condenser", 40 * MG)
    assert (done.lost_ug, done.u_lost_ug) == (100 * MG, 40 * MG)


def test_the_log_says_what_was_collected_and_filled():
    batch = make_filled(5 * G)

    done = close(batch, weighed_as(6 * G))

    assert done.entry.summary == (
        f"Closed batch {batch}: 6.000 g collected, 5.000 g filled"
    )
    assert closing.standing(batch) == done


def test_weighed_vessels_need_no_reason():
    batch = make_weighed(5 * G, 6 * G)

    done = close(batch, stated(**NO_REASON))

    assert (done.method, done.reason) == ("stated", "")
    assert done.collected_ug == account(batch).filled_ug


def test_vessels_that_were_not_weighed_need_a_reason():
    batch, who = make_filled(5 * G, 6 * G), signed()

    with refused(
        f"{batch}-01, {batch}-02 was filled without being weighed: say why that "
        "will do.",
        "reason",
    ):
        finishing.close(batch, stated(**NO_REASON), **who)


def test_a_run_that_gave_nothing_needs_a_reason():
    batch, who = make_batch(), signed()

    with refused("Nothing was filled into a vessel: say why.", "reason"):
        finishing.close(batch, stated(**NO_REASON), **who)

    done = close(batch, stated(reason="the crucible cracked at 600 °C"))
    assert (done.collected_ug, posted(done)) == (0, [])


def test_metal_missing_beyond_three_sigma_needs_a_word_on_what_was_looked_at():
    # Two fillings of 5 and 6 g by weighing, each good to 0.3 mg or so; 31 mg more was
    # collected, and that is good to 10 mg: 3.1 σ. At 29 mg it is 2.9 σ.
    batch, who = make_weighed(5 * G, 6 * G), signed()
    filled_ug = round(account(batch).filled_ug)
    quiet = weighed_as(filled_ug + 29 * MG, 10 * MG, **NO_REASON)
    loud = weighed_as(filled_ug + 31 * MG, 10 * MG, **NO_REASON)

    with refused(
        "What is not accounted for is 3.1 times its uncertainty: say what was looked "
        "at, and what was found.",
        "reason",
    ):
        finishing.close(batch, loud, **who)

    assert statements.work_out(batch, quiet).wants == ""


def test_working_out_warns_between_two_and_three_sigma():
    batch = make_weighed(5 * G, 6 * G)
    filled_ug = round(account(batch).filled_ug)

    found = statements.work_out(batch, weighed_as(filled_ug + 25 * MG, 10 * MG))

    assert found.account.balance.verdict == "check"
    assert any("more than twice its uncertainty" in words for words in found.cautions)


def test_more_metal_than_the_charges_hold_is_pointed_out():
    batch = make_weighed(5 * G)
    facts = {"role": "source", "u_ug": 0, "purity": 1.0, "u_purity": 0.0}
    batches.charge(batch, formula="RbCl", mass_ug=7 * G, **facts, **signed())

    found = statements.work_out(batch, stated())

    assert "more metal than the charges hold" in found.account.too_much_words
    assert "more metal than the charges hold" in found.wants


def test_working_out_records_nothing():
    batch = make_filled(5 * G)
    before = Movement.objects.count()

    statements.work_out(batch, weighed_as(6 * G))

    assert (Movement.objects.count(), Closing.objects.count()) == (before, 0)


@pytest.mark.parametrize(
    ("statement", "sentence", "field"),
    [
        (stated("weighed"), "Give the mass that was weighed.", "collected"),
        (
            stated("receiver"),
            "No vessel of this batch was weighed with the metal and emptied into "
            "others: say how else it is known.",
            "method",
        ),
        (
            stated("volume"),
            "No receiver reading with its temperature stands in the run's log.",
            "method",
        ),
        (
            stated("pieces"),
            "Choose how it is known what was collected.",
            "method",
        ),
        (stated(lost_ug=MG), "Say where it was lost.", "lost_where"),
        (
            weighed_as(5 * G, lost_ug=6 * G, lost_where="the floor"),
            "Only 5.000 g was collected: no more than that can be lost.",
            "lost",
        ),
    ],
)
def test_a_statement_that_cannot_be_is_refused(statement, sentence, field):
    batch, who = make_filled(5 * G), signed()

    with refused(sentence, field):
        finishing.close(batch, statement, **who)
