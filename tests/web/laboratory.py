"""A small laboratory in which every kind of page has something to show."""

from types import SimpleNamespace

from django.test import Client

from inventory.models import Membership, Property
from inventory.operations import batches, ledger, vessels
from tests.factories import (
    G,
    make_balance,
    make_batch,
    make_booking,
    make_laboratory,
    make_place,
    make_project,
    make_tared,
    make_vessel,
    observe,
    signed,
    take,
)
from tests.web.addresses import PAGES, ROLES, address
from tests.web.pages import Page


def furnish(partner):
    """Return the records of a laboratory where each thing has happened once."""
    make_laboratory()
    room = make_place(name="Room 1", kind="room", warmest_c=30.0)
    shelf = make_place(name="Shelf 1", within=room, warmest_c=30.0)
    balance = make_balance(name="Balance 1")
    theirs = make_project(title="Getter films")
    Membership.objects.create(project=theirs, user=partner)
    foreign = make_project(title="Clusters")

    batch = make_batch("Rb", kind="made", route="calcium reduction", purity=0.998)
    charge = batches.charge(
        batch,
        formula="RbCl",
        role="source",
        mass_ug=60 * G,
        u_ug=2000,
        purity=0.998,
        **signed(),
    )
    promised, opened, spent = (make_vessel(batch) for _ in range(3))
    vessels.move(promised, shelf, **signed())
    retired = make_tared(batch)
    vessels.retire(retired, reason="cracked", **signed())
    tared = make_tared(batch)
    withdrawal = take(opened, weighed(opened, 25 * G, 24 * G, balance), project=theirs)
    take(spent)
    booking = make_booking(promised, project=theirs)
    under_oil = make_vessel(make_batch("K", kind="bought", lot="K-1"))
    foreign_booking = make_booking(under_oil, 2 * G, project=foreign)
    return SimpleNamespace(
        balance=balance,
        batch=batch,
        booking=booking,
        charge=charge,
        foreign=foreign,
        foreign_batch=under_oil.batch,
        foreign_booking=foreign_booking,
        foreign_vessel=under_oil,
        line=booking.lines.get(),
        opened=opened,
        partner=partner,
        promised=promised,
        property=Property.objects.filter(material__symbol="Rb").first(),
        project=theirs,
        retired=retired,
        room=room,
        shelf=shelf,
        spent=spent,
        tared=tared,
        withdrawal=withdrawal,
    )


def weighed(vessel, before_ug, after_ug, balance):
    """Return a taking by two weighings under the vessel's own gas."""
    gas = vessel.gas.key
    return ledger.Weighed(
        before=observe(before_ug, gas=gas, balance=balance),
        after=observe(after_ug, gas=gas, balance=balance),
    )


def visit(user, role, lab):
    """Yield (URL, page) for what a role may open, but no PDF."""
    client = Client()
    if user:
        client.force_login(user)
    for (name, _), (arguments, query, answers) in PAGES.items():
        if answers[ROLES.index(role)] == 200 and name != "labels:sheet":
            at = address(name, arguments, query, lab)
            yield at, Page(client.get(at))
