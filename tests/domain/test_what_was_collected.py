"""How it is known what a batch gave: a receiver's weighing, its graduation, the run."""

import pytest
from django.utils import timezone

from inventory.operations import filling, finishing, progress, runs, statements
from tests.domain.closed import (
    MG,
    account,
    close,
    given,
    make_decanted,
    make_filled,
    posted,
    read_run,
    stated,
    weighed_as,
)
from tests.domain.read_off import make_reading, make_run
from tests.domain.records import refused
from tests.domain.taken import weighed_out
from tests.factories import (
    ML,
    G,
    earlier,
    make_batch,
    make_tared,
    make_vessel,
    medium,
    signed,
)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shipped")]


def test_what_a_receiver_was_weighed_to_hold_is_what_was_collected():
    source = make_decanted(12 * G, how=lambda s, _: weighed_out(s, 2_100 * MG))

    done = close(source.batch, stated("receiver"))

    assert done.collected_ug == source.movements_in.get().mass_ug
    assert posted(done) == []  # The 97 mg are posted already, out of the receiver.
    assert account(source.batch).collected_words == f"weighed in {source}"


def test_a_loss_found_at_closing_explains_what_the_receiver_lacked():
    source = make_decanted(12 * G, how=lambda s, _: weighed_out(s, 2_100 * MG))
    gap_ug = round(account(source.batch).unaccounted_ug)

    done = close(
        source.batch,
        stated("receiver", lost_ug=gap_ug, u_lost_ug=5 * MG, lost_where="the funnel"),
    )

    assert [(kind, end) for kind, end, *_ in posted(done)] == [
        ("loss", "loss"),
        ("difference", "unaccounted"),
    ]
    found = account(source.batch)
    assert found.unaccounted_ug == pytest.approx(0, abs=2)
    assert found.balance.verdict == "quiet"
    assert given(source.batch) == done.collected_ug


def test_a_receiver_that_was_not_weighed_since_is_pointed_out():
    source = make_decanted(12 * G)

    found = statements.work_out(source.batch, weighed_as(10 * G, 10 * MG))

    assert found.cautions == [
        f"{source} was not weighed after it was emptied: what is missing there shows "
        "nowhere."
    ]


def test_the_last_receiver_reading_gives_the_mass_by_the_liquids_density():
    # Liquid rubidium is 1.46 g/cm³ at its melting point (CRC Handbook, from memory)
    # and little less at 50 °C: 8 mL weigh 11.7 g, and 0.05 mL of doubt 73 mg,
    # with the density's own besides.
    batch = make_filled(5 * G, 6 * G)
    read_run(batch, 8 * ML, 50.0, receiver_ul=50 * ML, u_receiver_ul=50)

    done = close(batch, stated("volume"))

    assert done.collected_ug / G == pytest.approx(11.7, rel=0.015)
    assert 73 <= done.u_collected_ug / MG < 200
    assert account(batch).collected_words == "by volume in the receiver"


def test_a_receiver_emptied_during_the_run_gives_all_its_fillings_and_a_caution():
    # 20 mL emptied out and 5 mL in it at last: 25 mL of liquid rubidium, 1.45 g/cm³ at
    # 60 °C (CRC Handbook, from memory: 1.46 at its melting point), are 36.3 g.
    run = make_run(make_batch("Rb"))
    for minutes, ml in ((60, 10), (120, 20), (180, 5)):
        make_reading(run, minutes, receiver_ul=ml * ML, receiver_c=60.0)

    found = statements.work_out(run.batch, stated("volume"))

    last = progress.of(run.batch).levels[-1]
    assert found.closing.collected_ug / G == pytest.approx(36.3, rel=0.015)
    assert found.closing.collected_ug == pytest.approx(5 * last.mass_ug, rel=1e-6)
    assert found.closing.u_collected_ug > 2 * last.u_ug
    assert any(
        "counts as emptied wholly where it fell by half" in each
        for each in found.cautions
    )


def test_a_receiver_that_only_filled_asks_for_no_caution():
    batch = make_filled(5 * G)
    read_run(batch, 8 * ML, 50.0, receiver_ul=50 * ML, u_receiver_ul=50)

    found = statements.work_out(batch, stated("volume"))

    assert not any("emptied wholly" in each for each in found.cautions)


def test_a_frozen_receiver_tells_no_mass():
    batch, who = make_filled(5 * G), signed()
    read_run(batch, 8 * ML, 20.0, receiver_ul=50 * ML)

    with refused(
        "Rb is solid at 20 °C (it melts at 39.3 °C): a graduation can be read only "
        "while the metal is liquid.",
        "method",
    ):
        finishing.close(batch, stated("volume"), **who)


def test_metal_that_seems_to_count_twice_is_pointed_out():
    batch = make_batch("Rb")
    receiver = make_tared(batch, capacity_ul=50 * ML)
    started = {"started_at": timezone.now(), "receiver": receiver}
    runs.set_up(batch, started, **signed())
    content = filling.Filling(
        batch, medium("argon"), medium("argon"), "stopcock", stated_ug=10 * G
    )
    filling.fill(receiver, content, happened_at=earlier(), **signed())
    make_vessel(batch, holding_ug=5 * G)

    found = statements.work_out(batch, stated())

    assert len(found.cautions) == 1
    assert found.cautions[0].startswith(f"{receiver} is the run's receiver")
