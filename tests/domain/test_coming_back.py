"""What a vessel that comes back shows of its use: empty, or weighed here."""

import pytest

from inventory.models import Movement, Return
from inventory.operations import checking, ledger
from inventory.operations.errors import Disagrees
from tests.domain.handed import (
    empty,
    held_ug,
    make_handed,
    make_metal,
    report,
    take_back,
    untared,
    weighed_back,
)
from tests.domain.records import on_record, refused
from tests.factories import (
    G,
    earlier,
    make_place,
    medium,
    newest_state,
    signed,
)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shipped")]


def differences(line):
    """Return (signed µg, purpose) of what was posted after the filling."""
    vessel, found = line.vessel, []
    for each in Movement.objects.filter(kind="difference").order_by("id"):
        sign = 1 if each.to_vessel_id == vessel.pk else -1
        if each.mass_ug > 5:  # Not what rounding leaves.
            found.append((sign * each.mass_ug, each.purpose))
    return found


def test_what_comes_back_empty_was_all_used_there():
    line, shelf = make_handed(), make_place(name="Shelf")

    back = take_back(line, empty(), place=shelf)

    vessel = ledger.read(line.vessel_id)
    movement = back.movement
    assert (back.kind, back.is_back, back.used_ug) == ("empty", True, line.mass_ug)
    assert (movement.method, movement.mass_ug) == ("whole", line.mass_ug)
    assert movement.project == line.hand_over.project
    assert (vessel.custodian, vessel.place) == (None, shelf)
    assert vessel.remaining_ug == 0
    assert vessel.spent_on
    assert vessel.opened_on
    assert newest_state(vessel).u_metal_ug == 0


def test_what_comes_back_empty_after_a_report_of_all_of_it_posts_nothing_more():
    line = make_handed()
    report(line)

    back = take_back(line, empty())

    assert (back.used_ug, back.movement) == (0, None)
    assert newest_state(line.vessel).u_metal_ug == 0
    assert differences(line) == []


def test_what_comes_back_empty_after_a_report_of_some_used_the_rest():
    line = make_handed()
    report(line, 2 * G)

    back = take_back(line, empty())

    assert back.used_ug == line.mass_ug - 2 * G


def test_what_is_missing_by_the_reading_was_used_there():
    line = make_handed()

    back = take_back(line, weighed_back(line, 2 * G))

    movement = back.movement
    assert (back.kind, back.is_back) == ("partly", True)
    assert (movement.kind, movement.method) == ("withdrawal", "weighed")
    assert movement.mass_ug == back.used_ug == pytest.approx(2 * G, abs=5)
    assert movement.purpose == f"Used at {line.hand_over.partner}"
    assert held_ug(line) == line.mass_ug - back.used_ug
    assert movement.light.purpose == "after"
    vessel = ledger.read(line.vessel_id)
    assert vessel.custodian is None
    assert vessel.opened_on is not None
    assert differences(line) == []


def test_the_use_is_as_sure_as_the_reading_before_and_the_reading_after():
    line = make_handed()

    back = take_back(line, weighed_back(line, 2 * G))

    # Two readings of one balance: repeatability 200 µg, readability 100 µg, so
    # √(200² + (100/√12)²) each (JCGM 100:2008, F.2.2.1). Air and argon, noted but
    # with their own doubt, make it at most a quarter more.
    two = (2 * (200**2 + 100**2 / 12)) ** 0.5
    assert two < back.u_ug < 1.25 * two


def test_a_reading_a_little_above_the_record_is_no_use():
    line = make_handed()

    back = take_back(line, weighed_back(line, off_ug=100))

    assert (back.used_ug, back.movement) == (0, None)
    ((posted_ug, purpose),) = differences(line)
    assert 0 < posted_ug < 100
    assert purpose == "Weighed after the return: nothing is missing"


def test_more_than_left_the_house_cannot_come_back():
    line = make_handed()
    shelf = make_place()
    before = on_record()

    with pytest.raises(Disagrees, match="more than when it left") as refusal:
        take_back(line, weighed_back(line, off_ug=5_000), place=shelf)

    assert refusal.value.field == "reading"
    assert on_record() == before


def test_a_vessel_with_its_seal_as_it_was_has_lost_nothing():
    line = make_handed()

    back = take_back(line, weighed_back(line, opened=False))

    assert (back.used_ug, back.movement) == (0, None)
    assert ledger.read(line.vessel_id).opened_on is None
    assert held_ug(line) == pytest.approx(line.mass_ug, abs=5)


def test_a_sealed_vessel_that_reads_less_is_refused_until_somebody_says_it_was_opened():
    line = make_handed()

    with pytest.raises(Disagrees, match="If it was opened, say so below") as refusal:
        take_back(line, weighed_back(line, 2 * G, opened=False))

    assert refusal.value.field == "reading"
    assert take_back(line, weighed_back(line, 2 * G)).used_ug


def test_less_used_than_reported_is_posted_for_all_to_see():
    line = make_handed()
    report(line, 3 * G)

    # By the record 2 g is left; the reading finds 1 g more.
    back = take_back(line, weighed_back(line, -G))

    assert (back.used_ug, back.movement) == (0, None)
    ((posted_ug, purpose),) = differences(line)
    assert posted_ug == pytest.approx(G, abs=5)
    assert purpose == "Weighed after the return; reported was 3.000 g"
    assert held_ug(line) == pytest.approx(line.mass_ug - 2 * G, abs=5)
    # The reading ends the doubt of the report.
    assert newest_state(line.vessel).u_metal_ug < 1_000


def test_more_used_than_reported_was_used_there_too():
    line = make_handed()
    report(line, G)

    back = take_back(line, weighed_back(line, G))

    assert back.used_ug == pytest.approx(G, abs=5)
    assert held_ug(line) == pytest.approx(line.mass_ug - 2 * G, abs=5)


def test_metal_may_come_back_of_a_vessel_that_was_reported_empty():
    line = make_handed()
    report(line)

    take_back(line, weighed_back(line, -G))

    vessel = ledger.read(line.vessel_id)
    assert vessel.remaining_ug == pytest.approx(G, abs=5)
    assert vessel.spent_on is None


def test_what_was_reported_empty_is_as_sure_as_its_reading_when_it_is_back():
    line = make_handed()
    report(line)

    take_back(line, weighed_back(line, -G))

    # The glass, weighed empty at first, and the reading now: some 200 µg each.
    assert newest_state(line.vessel).u_metal_ug < 1_000


def test_more_than_left_the_house_cannot_come_back_after_a_report_of_all_of_it():
    line, shelf = make_handed(), make_place()
    report(line)

    with pytest.raises(Disagrees, match="more than when it left"):
        take_back(line, weighed_back(line, -line.mass_ug - 5_000), place=shelf)


def test_another_gas_inside_is_no_metal():
    vessel = make_metal()
    line = make_handed(vessel)

    # 20 mL of argon weighs some 33 mg, helium a tenth of that.
    back = take_back(line, weighed_back(line, 2 * G, gas="helium"))

    now = ledger.read(vessel.pk)
    assert back.used_ug == pytest.approx(2 * G, abs=2_500)
    assert (now.gas, now.medium) == (medium("helium"), medium("helium"))


def test_a_gas_that_nobody_knows_leaves_the_use_less_sure():
    line = make_handed()

    back = take_back(line, weighed_back(line, 2 * G, gas_is_unknown=True))

    assert back.u_ug > 5_000


def test_more_gone_than_all_of_the_metal_is_refused():
    line = make_handed()

    with pytest.raises(Exception, match="Is its closure complete") as refusal:
        take_back(line, weighed_back(line, 9 * G))

    assert refusal.value.field == "reading"


def test_a_glass_never_weighed_cannot_tell_what_was_used():
    line = make_handed(untared())

    with pytest.raises(Exception, match="was never weighed without metal"):
        take_back(line, weighed_back(line, 2 * G))
    report(line, 2 * G)

    back = take_back(line, weighed_back(line))

    assert back.used_ug == 0
    assert held_ug(line) == pytest.approx(line.mass_ug - 2 * G, abs=5)


def test_a_vessel_comes_back_once_and_nothing_is_reported_of_it_then():
    line = make_handed()
    take_back(line, empty())
    day = earlier(hours=1).date()
    sentence = (
        f"{line.vessel} came back on {day:%-d %b %Y}. What happens to it now is "
        "recorded on its own page."
    )
    shelf = make_place()

    with refused(sentence):
        take_back(line, empty(), place=shelf)
    with refused(sentence):
        report(line, G)


def test_a_return_before_the_last_report_is_refused():
    line, shelf = make_handed(), make_place()
    report(line, G, happened_at=earlier(hours=2))

    with refused("A use was reported for a later moment.", "read_at"):
        take_back(line, empty(hours=3), place=shelf)


def test_the_reading_of_a_return_can_be_struck_out_where_it_showed_no_use():
    line = make_handed()
    report(line, 3 * G)
    take_back(line, weighed_back(line, -G))
    reading = line.vessel.weighings.last()

    checking.strike(reading, reason="the wrong vessel", **signed())

    assert held_ug(line) == line.mass_ug - 3 * G


def test_what_is_back_can_be_used_booked_and_handed_over_again():
    line = make_handed()
    take_back(line, weighed_back(line, 2 * G))

    again = make_handed(ledger.read(line.vessel_id), handed_at=earlier(minutes=1))

    assert again.mass_ug == line.mass_ug - Return.objects.get().used_ug
