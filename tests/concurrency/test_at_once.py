"""Nothing is promised, taken or numbered twice when people act at the same moment."""

from functools import partial
from uuid import uuid4

import pytest
from django.utils import timezone

from inventory.models import Booking, LogEntry, Material, Movement, User, Vessel
from inventory.operations import (
    batches,
    bookings,
    corrections,
    filling,
    ledger,
    people,
    projects,
    taking,
    vessels,
)
from inventory.operations.errors import NotEnough, OperationError
from tests.concurrency.together import at_once, told_apart
from tests.domain import asked, asked_closing
from tests.factories import (
    ML,
    G,
    earlier,
    make_batch,
    make_project,
    make_tared,
    make_vessel,
    observe,
    signed,
    somebody,
)

pytestmark = [
    pytest.mark.postgres,
    pytest.mark.django_db(transaction=True),
    pytest.mark.usefixtures("postgres", "shipped"),
]

WRITERS = 8
CROWD = 50


def booking(project, *wishes):
    facts = {"purpose": "a run", "needed_by": timezone.localdate(), **signed()}
    return partial(bookings.book, project, wishes=wishes, **facts)


def withdrawal(vessel, how):
    facts = {"purpose": "a run", "happened_at": earlier(), **signed()}
    return partial(ledger.withdraw, vessel, how, **facts)


def test_of_fifty_who_book_the_last_metal_exactly_one_gets_it():
    vessel, project = make_vessel(holding_ug=5 * G), make_project()

    outcomes = at_once(*[booking(project, (vessel, 5 * G)) for _ in range(CROWD)])

    done, refused = told_apart(outcomes, NotEnough)
    assert (len(done), len(refused)) == (1, CROWD - 1)
    assert {refusal.available_ug for refusal in refused} == {0}
    assert ledger.read(vessel.pk).promised_ug == 5 * G


def test_of_many_who_book_a_part_only_as_many_get_it_as_there_is():
    vessel, project = make_vessel(holding_ug=5 * G), make_project()

    outcomes = at_once(*[booking(project, (vessel, 2 * G)) for _ in range(WRITERS)])

    done, refused = told_apart(outcomes, NotEnough)
    assert (len(done), len(refused)) == (2, WRITERS - 2)
    assert ledger.read(vessel.pk).free_ug == 1 * G


def test_of_many_who_take_the_whole_ampoule_exactly_one_gets_it():
    vessel = make_vessel(holding_ug=5 * G)

    outcomes = at_once(*[withdrawal(vessel, taking.Whole()) for _ in range(WRITERS)])

    done, refused = told_apart(outcomes, NotEnough)
    assert (len(done), len(refused)) == (1, WRITERS - 1)
    assert Movement.objects.filter(from_vessel=vessel).count() == 1


def test_of_many_who_draw_only_as_many_get_metal_as_there_is():
    # 2 mL of sodium-potassium alloy are 1.7 g: twice from 5 g, not three times.
    vessel = make_vessel(make_batch("NaK"), holding_ug=5 * G)
    how = taking.Drawn(2_000, 10, 22.0)

    outcomes = at_once(*[withdrawal(vessel, how) for _ in range(WRITERS)])

    done, refused = told_apart(outcomes, NotEnough)
    assert (len(done), len(refused)) == (2, WRITERS - 2)
    left = 5 * G - sum(movement.mass_ug for movement in done)
    assert ledger.read(vessel.pk).remaining_ug == left > 0


def test_metal_is_either_booked_or_taken():
    vessel, project = make_vessel(holding_ug=5 * G), make_project()
    calls = [booking(project, (vessel, 5 * G)), withdrawal(vessel, taking.Whole())]

    outcomes = at_once(*calls * (WRITERS // 2))

    done, refused = told_apart(outcomes, OperationError)
    assert len({type(outcome) for outcome in done}) == 1
    assert (
        Movement.objects.filter(from_vessel=vessel).count() + (Booking.objects.count())
        == 1
    )
    assert refused


def test_a_filling_is_either_corrected_or_drawn_from():
    vessel = make_vessel(holding_ug=5 * G)
    correction = partial(
        corrections.correct, vessel.movements_in.get(), reason="wrong", **signed()
    )

    outcomes = at_once(correction, withdrawal(vessel, taking.Whole()))

    done, refused = told_apart(outcomes, OperationError)
    assert (len(done), len(refused)) == (1, 1)


def test_bookings_of_the_same_vessels_in_any_order_do_not_wait_for_each_other():
    first, second, project = make_vessel(), make_vessel(), make_project()
    there, back = (
        [(first, 100_000), (second, 100_000)],
        [
            (second, 100_000),
            (first, 100_000),
        ],
    )

    outcomes = at_once(
        *[booking(project, *order) for order in (there, back) * (WRITERS // 2)]
    )

    done, _ = told_apart(outcomes, OperationError)
    assert len(done) == WRITERS
    assert ledger.read(first.pk).promised_ug == WRITERS * 100_000


@pytest.mark.parametrize(
    "ask",
    [
        asked.ask_withdraw,
        asked.ask_book,
        asked.ask_fill,
        asked.ask_correct,
        asked.ask_check,
        asked.ask_strike,
        asked.ask_exchange,
        asked.ask_transfer,
        asked.ask_record,
        asked.ask_change_what_a_batch_was_made_from,
        asked_closing.ask_close_batch,
        asked_closing.ask_reopen_batch,
        asked.ask_tare,
        asked.ask_tare_for_a_batch,
        asked.ask_start,
        asked.ask_add_place,
        asked.ask_add_person,
        asked.ask_add_laboratory,
        asked.ask_set_property,
    ],
    ids=lambda ask: ask.__name__[4:],
)
def test_one_request_sent_twice_at_the_same_moment_is_recorded_once(ask):
    operation, given, facts = ask()
    facts |= {"by": somebody(), "request_id": uuid4()}

    outcomes = at_once(*[partial(operation, *given, **facts)] * 4)

    done, _ = told_apart(outcomes, ())
    assert LogEntry.objects.filter(request_id=facts["request_id"]).count() == 1
    assert all(outcome == done[0] for outcome in done)


def test_batches_recorded_at_the_same_moment_get_different_codes():
    metal = Material.objects.get(symbol="Rb")
    facts = asked.batch_facts()

    outcomes = at_once(
        *[
            partial(batches.record, material=metal, facts=facts, **signed())
            for _ in range(WRITERS)
        ]
    )

    done, _ = told_apart(outcomes, ())
    assert sorted(batch.code[-1] for batch in done) == list("ABCDEFGH")


def test_vessels_tared_and_filled_at_the_same_moment_get_different_codes():
    batch = make_batch()
    taring = [
        partial(
            vessels.tare,
            [
                vessels.Empty("vial", ML, observe(G)),
                vessels.Empty("vial", ML, observe(G)),
            ],
            batch=batch,
            **signed(),
        )
        for _ in range(WRITERS // 2)
    ]
    fillings = [
        partial(
            filling.fill,
            make_tared(glass_mark=f"A {n}"),
            asked.content(batch),
            happened_at=earlier(),
            **signed(),
        )
        for n in range(WRITERS // 2)
    ]

    told_apart(at_once(*taring, *fillings), ())

    numbers = Vessel.objects.filter(batch=batch).values_list("number", flat=True)
    assert sorted(numbers) == list(range(1, 2 * len(taring) + len(fillings) + 1))


def test_a_project_never_closes_while_metal_is_being_promised_to_it():
    vessel = make_vessel(holding_ug=5 * G)
    for _ in range(5):
        project = make_project()
        closing = partial(projects.close, project, **signed())

        outcomes = at_once(closing, booking(project, (vessel, G)))

        done, refused = told_apart(outcomes, OperationError)
        assert (len(done), len(refused)) == (1, 1)


def test_two_keepers_who_step_down_at_the_same_moment_leave_one():
    keepers = [
        somebody(),
        people.add(username="ada", role="keeper", password="x", **signed()),
    ]
    steps = [
        partial(people.change, keeper, role="reader", is_active=True, **signed())
        for keeper in keepers
    ]

    done, refused = told_apart(at_once(*steps), OperationError)

    assert (len(done), len(refused)) == (1, 1)
    assert User.objects.filter(role="keeper").count() == 1


def test_one_glass_mark_is_not_given_to_two_vessels_at_the_same_moment():
    empties = [vessels.Empty("vial", ML, observe(G), "A 7")]

    outcomes = at_once(
        *[partial(vessels.tare, empties, **signed()) for _ in range(WRITERS)]
    )

    done, _ = told_apart(outcomes, OperationError)
    assert len(done) == 1
