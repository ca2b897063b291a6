"""What receivers tell of a batch's metal, and what they do not.

A receiver that gave metal and was not weighed since holds, by the ledger, what came in
less what went out: what is missing is then zero by construction, and no test of it.
"""

import pytest

from inventory.operations import finishing, statements
from labels.papers import certified
from tests.domain.closed import (
    MG,
    account,
    close,
    given,
    make_decanted,
    posted,
    stated,
    weighed_as,
)
from tests.domain.records import refused
from tests.domain.taken import weighed_out
from tests.domain.transferred import arrival, make_target, transfer
from tests.factories import G, make_weighed_vessel, signed

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shipped")]

UNTESTED = (
    "{} was not weighed after it was emptied, so nothing tells whether metal is missing"
)


@pytest.mark.parametrize("method", [None, "receiver", "stated"])
def test_what_was_not_tested_is_never_said_to_add_up(method):
    source = make_decanted(12 * G, 13 * G)
    if method:
        close(source.batch, stated(method))

    found = account(source.batch)

    assert found.balance is None
    assert found.verdict_words == UNTESTED.format(source) + "."


def test_a_certificate_says_that_nothing_tells_whether_metal_is_missing():
    source = make_decanted(12 * G)
    close(source.batch, stated("receiver"))
    found = account(source.batch)

    terms = [fact.term for fact in certified.whereabouts(found)]

    assert "Not accounted for" not in terms
    assert found.verdict_words == UNTESTED.format(source) + "."


def test_a_mass_weighed_besides_tests_an_unchecked_receiver_too():
    source = make_decanted(12 * G)
    close(source.batch, weighed_as(10_500 * MG, 10 * MG))

    found = account(source.batch)

    assert found.balance.verdict == "investigate"
    assert found.unchecked == [str(source)]


def test_what_one_receiver_lacks_is_not_hidden_by_another_that_was_not_weighed():
    source = make_decanted(12 * G, how=lambda s, _: weighed_out(s, 2_100 * MG))
    other = make_weighed_vessel(source.batch, gain_ug=10 * G)
    transfer(other, [arrival(other, make_target(source.batch))])

    found = account(source.batch)

    assert found.unchecked == [str(other)]
    assert found.balance.verdict == "investigate"


def test_closing_on_a_receiver_that_was_not_weighed_since_needs_a_reason():
    source, who = make_decanted(12 * G), signed()

    with refused(UNTESTED.format(source) + ": say why that will do.", "reason"):
        finishing.close(source.batch, stated("receiver", reason=""), **who)


def test_what_was_filled_straight_besides_a_receiver_was_collected_too():
    # 10 g went through the receiver and 3 g straight into an ampoule: 13 g, and for
    # each some 10 mg of argon that the metal drove out.
    source = make_decanted(12 * G, how=lambda s, _: weighed_out(s, 2_005 * MG))
    make_weighed_vessel(source.batch, gain_ug=3 * G)
    poured_ug = given(source.batch)
    words = f"weighed in {source}, and filled straight"
    still_open = account(source.batch)

    done = close(source.batch, stated("receiver"))
    found = account(source.batch)

    assert poured_ug == pytest.approx(13 * G, abs=30 * MG)
    assert done.collected_ug == found.collected_ug == poured_ug
    assert still_open.collected_ug == poured_ug
    assert still_open.collected_words == found.collected_words == words
    assert posted(done) == []


def test_working_out_from_a_receiver_finds_no_more_filled_than_collected():
    source = make_decanted(12 * G, how=lambda s, _: weighed_out(s, 2_005 * MG))
    make_weighed_vessel(source.batch, gain_ug=3 * G)

    found = statements.work_out(source.batch, stated("receiver"))

    assert (found.rest_ug, found.over_ug) == (0, 0)
