"""Each operation once, ready to be asked: (operation, arguments, further facts).

What an asked operation needs is made when its function is called. None of them
exhausts anything: without its request id a repeat would be recorded again.
"""

from django.utils import timezone

from inventory.models import Laboratory, Material, Place, Property
from inventory.operations import (
    batches,
    bench,
    bookings,
    catalogue,
    checking,
    corrections,
    filling,
    ledger,
    media,
    people,
    projects,
    register,
    taking,
    transferring,
    vessels,
)
from inventory.operations.projects import Member
from tests.domain import (
    asked_caring,
    asked_closing,
    asked_handing,
    asked_labels,
    asked_planning,
    asked_requests,
    asked_running,
    asked_shares,
    asked_vouching,
)
from tests.factories import (
    ML,
    ROOM,
    G,
    earlier,
    expected_reading,
    make_batch,
    make_booking,
    make_place,
    make_project,
    make_tared,
    make_vessel,
    medium,
    observe,
    signed,
    somebody,
    take,
)

CHARGE = {"role": "source", "mass_ug": G, "u_ug": 1, "purity": 1.0}
EMPTY = {"kind": "ampoule", "capacity_ul": 5 * ML}


def content(batch):
    argon = medium("argon")
    return filling.Filling(batch, argon, argon, "stopcock", stated_ug=G)


def batch_facts(**more):
    made = {"kind": "made", "process": "reduction"}
    return {**made, "made_on": timezone.localdate(), **more}


def ask_record():
    metal = Material.objects.get(symbol="Rb")
    return batches.record, [], {"material": metal, "facts": batch_facts()}


def ask_change_batch():
    return batches.change, [make_batch(), batch_facts(route="distilled")], {}


def ask_change_what_a_batch_was_made_from():
    batch, parents = make_batch(), [make_batch()]
    return batches.change, [batch, batch_facts()], {"parents": parents}


def ask_charge():
    return batches.charge, [make_batch()], {"formula": "RbCl", **CHARGE}


def ask_withdraw_charge():
    charge = batches.charge(make_batch(), formula="RbCl", **CHARGE, **signed())
    return batches.withdraw_charge, [charge], {"reason": "typed twice"}


def ask_book():
    # Half of what is free: a second booking would be possible.
    facts = {"purpose": "a run", "needed_by": timezone.localdate()}
    return bookings.book, [make_project()], {"wishes": [(make_vessel(), G)], **facts}


def ask_release():
    return (
        bookings.release,
        [make_booking(make_vessel(), G).lines.get()],
        {"reason": "x"},
    )


def ask_set_property():
    shipped = Property.objects.filter(is_own=False).first()
    return (
        catalogue.set_property,
        [shipped],
        {
            "value": 1.0,
            "uncertainty": None,
            "source": "own data",
        },
    )


def ask_correct():
    return corrections.correct, [take(make_vessel())], {"reason": "the wrong one"}


def ask_fill():
    vessel = make_tared(make_batch())
    return filling.fill, [vessel, content(vessel.batch)], {"happened_at": earlier()}


def ask_receive():
    batch = make_batch()
    return (
        filling.receive,
        [batch, EMPTY, content(batch)],
        {
            "count": 3,
            "happened_at": earlier(),
        },
    )


def ask_withdraw():
    # Less than half: a second withdrawal would be possible.
    vessel = make_vessel(make_batch("NaK"), holding_ug=5 * G)
    how = taking.Drawn(1_000, 10, 22.0)
    return ledger.withdraw, [vessel, how], {"purpose": "x", "happened_at": earlier()}


def ask_destroy():
    return (
        ledger.destroy,
        [make_vessel()],
        {"how": "quenched", "happened_at": earlier()},
    )


def ask_check():
    vessel = make_vessel()
    seen = observe(expected_reading(vessel, **ROOM), gas="argon", **ROOM)
    return checking.check, [vessel, seen], {}


def ask_check_that_disagrees():
    vessel = make_vessel()
    seen = observe(expected_reading(vessel, **ROOM) - G, gas="argon", **ROOM)
    why = {"cause": "metal", "reason": "the other notebook has it"}
    return checking.check, [vessel, seen], why


def ask_strike():
    operation, given, facts = ask_check()
    weighing = operation(*given, **facts, **signed())
    return checking.strike, [weighing], {"reason": "the draught shield was open"}


def ask_exchange():
    oil, argon = medium("mineral_oil_light"), medium("argon")
    what = media.Exchange(oil, argon, taking.Liquid(2 * G, 1_000))
    vessel = make_vessel(make_batch("K"))
    return media.exchange, [vessel, what], {"happened_at": earlier()}


def ask_transfer():
    source = make_vessel(capacity_ul=40 * ML)
    target = make_tared(source.batch)
    argon = medium("argon")
    gross = observe(21 * G, gas="argon")
    put = filling.Filling(source.batch, argon, argon, "stopcock", gross=gross)
    given = [source, [transferring.Arrival(target, put)]]
    return transferring.transfer, given, {"happened_at": earlier()}


def ask_add_person():
    return people.add, [], {"username": "ada", "role": "reader", "password": "argon"}


def ask_change_person():
    user = people.add(username="ada", role="reader", password="argon", **signed())
    return (
        people.change,
        [user],
        {
            "role": "operator",
            "is_active": True,
            "password": "vacuum",
        },
    )


def ask_start():
    return (
        projects.start,
        [],
        {"facts": {"title": "Getters"}, "members": [Member(somebody())]},
    )


def ask_change_project():
    return projects.change, [make_project()], {"facts": {"title": "B"}, "members": []}


def ask_close():
    return projects.close, [make_project()], {}


def ask_add_place():
    return register.add, [Place, {"name": "Shelf 3", "kind": "shelf"}], {}


def ask_add_laboratory():
    facts = {"name": "Laboratory", "address": "Street 1", "phone": "1"}
    return register.add, [Laboratory, facts], {}


def ask_change_place():
    return register.change, [make_place(), {"name": "Shelf 3"}], {}


def ask_tare():
    empties = [vessels.Empty("vial", ML, observe(G + n), f"A {n}") for n in range(3)]
    return vessels.tare, [empties], {}


def ask_tare_for_a_batch():
    empties = [vessels.Empty("vial", ML, observe(G + n)) for n in range(3)]
    return vessels.tare, [empties], {"batch": make_batch()}


def ask_lay_out():
    return vessels.lay_out, [make_batch(), "ampoule", 5 * ML, 3], {}


def ask_fill_row():
    vessel = make_tared(make_batch())
    argon, gross = medium("argon"), observe(25 * G, gas="argon")
    put_in = filling.Filling(vessel.batch, argon, argon, "stopcock", gross=gross)
    return bench.fill_row, [vessel.batch, bench.Row(vessel, put_in=put_in)], {}


def ask_fill_row_with_a_tare_alone():
    empty = vessels.Empty("ampoule", 5 * ML, None)
    row = bench.Row(empty=empty, tare=observe(20 * G))
    return bench.fill_row, [make_batch(), row], {}


def ask_tare_again():
    return vessels.tare_again, [make_tared(make_batch()), observe(G)], {}


def ask_move():
    return vessels.move, [make_vessel(), make_place()], {}


def ask_retire():
    return vessels.retire, [make_tared(make_batch())], {"reason": "cracked"}


OTHERS = [
    asked_caring,
    asked_closing,
    asked_handing,
    asked_labels,
    asked_planning,
    asked_requests,
    asked_running,
    asked_shares,
    asked_vouching,
]
ASKED = [
    value
    for names in (globals(), *map(vars, OTHERS))
    for name, value in list(names.items())
    if name.startswith("ask_")
]
