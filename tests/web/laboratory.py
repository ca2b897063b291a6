"""A small laboratory in which every kind of page has something to show."""

from types import SimpleNamespace

from django.test import Client

from inventory.models import Property
from inventory.operations import (
    batches,
    calendars,
    checking,
    filling,
    finishing,
    ledger,
    taking,
    vessels,
)
from tests.domain.cared import in_days, make_inspection
from tests.domain.closed import weighed_as
from tests.domain.handed import make_handed, make_line, make_metal, pick
from tests.domain.read_off import make_reading, make_run
from tests.domain.vouched import make_assay, make_attachment
from tests.factories import (
    G,
    earlier,
    make_balance,
    make_batch,
    make_booking,
    make_label_print,
    make_label_sheet,
    make_laboratory,
    make_lot_profile,
    make_partner,
    make_place,
    make_project,
    make_request,
    make_share,
    make_tared,
    make_vessel,
    medium,
    observe,
    signed,
    take,
)
from tests.uploads import jpeg, sound
from tests.web.addresses import FILES, PAGES, address
from tests.web.answers import ROLES
from tests.web.pages import Page

PHOTO = sound("ampoules.jpg", jpeg())

# What a vessel of `make_vessel` reads: its 20 g of glass, tared under argon, and 5 g of
# rubidium less the 5.4 mg of argon in whose place it is (1.66 to 1532 kg/m³), which a
# balance shows as 0.015 % more (conventional mass, OIML D 28).
READS_UG = 24_995_300


def furnish(partner):
    """Return the records of a laboratory where each thing has happened once."""
    make_laboratory()
    room = make_place(name="Room 1", kind="room", warmest_c=30.0)
    shelf = make_place(name="Shelf 1", within=room, warmest_c=30.0)
    balance = make_balance(name="Balance 1")
    organisation = make_partner("Thin-film group")
    theirs = make_project(partner, partner=organisation, title="Getter films")
    share = make_share(theirs, organisation)
    metal_request = make_request(theirs, partner=organisation, by=partner)
    foreign = make_project(title="Clusters")
    foreign_request = make_request(foreign, symbol="K")

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
    photo = make_attachment(batch, PHOTO, kind="photo", for_partners=True)
    certificate = make_attachment(batch)
    assay = make_assay(batch, {"Fe": "12 mg/kg"}, certificate=certificate)
    reading = make_reading(
        make_run(batch), receiver_ul=21_500, receiver_c=62.0, pressure_pa=2.0
    )
    promised, opened, spent = (make_vessel(batch) for _ in range(3))
    vessels.move(promised, shelf, **signed())
    retired = make_tared(batch)
    vessels.retire(retired, reason="cracked", **signed())
    tared = make_tared(batch)
    taking_a_gram = weighed(opened, READS_UG, READS_UG - G, balance)
    withdrawal = take(opened, taking_a_gram, project=theirs)
    again = observe(READS_UG - G, gas="argon", balance=balance)
    check = checking.check(opened, again, **signed())
    take(spent)
    booking = make_booking(promised, project=theirs)
    under_oil = make_vessel(make_batch("K", kind="bought", lot="K-1"))
    sheet = make_lot_profile(under_oil.batch)
    foreign_booking = make_booking(under_oil, 2 * G, project=foreign)
    label_sheet = make_label_sheet(name="Sheet 2")
    make_label_print(promised)
    distilled = {"kind": "repurified", "process": "distillation"}
    closed = make_batch("Rb", **distilled, parents=[batch])
    make_vessel(closed)
    finishing.close(closed, weighed_as(6 * G, 10_000), **signed())
    make_inspection(opened, next_on=in_days(5))
    caesium, other = make_batch("Cs"), make_partner("Cluster group")
    foreign.partners.add(other)
    ready = pick(make_line(make_metal(caesium), partner=organisation, project=theirs))
    handed = make_handed(make_metal(caesium), partner=organisation, project=theirs)
    foreign_handed = make_handed(make_metal(caesium), partner=other, project=foreign)
    return SimpleNamespace(
        assay=assay,
        balance=balance,
        batch=batch,
        booking=booking,
        calendar=calendars.make_link(partner, **signed()),
        charge=charge,
        closed=closed,
        check=check,
        foreign=foreign,
        foreign_batch=under_oil.batch,
        foreign_booking=foreign_booking,
        foreign_handed=foreign_handed,
        foreign_request=foreign_request,
        foreign_vessel=under_oil,
        handed=handed,
        label_sheet=label_sheet,
        line=booking.lines.get(),
        metal_request=metal_request,
        opened=opened,
        partner=partner,
        photo=photo,
        promised=promised,
        property=Property.objects.filter(material__symbol="Rb").first(),
        project=theirs,
        retired=retired,
        reading=reading,
        ready=ready,
        room=room,
        share=share,
        sheet=sheet,
        shelf=shelf,
        spent=spent,
        tared=tared,
        withdrawal=withdrawal,
    )


def make_oiled():
    """Return a bottle with 5 g of potassium under 8 g of mineral oil and argon.

    It reads 32.9765 g: 20 g of glass tared under argon (1.66 kg/m³), the metal less
    9.6 mg of argon (ρ 862) and the oil less 15.8 mg of it (ρ 840), shown as 0.015 %
    more (conventional mass, OIML D 28).
    """
    batch = make_batch("K", kind="bought", lot="K-2")
    vessel = make_tared(batch, kind="bottle")
    put_in = filling.Filling(
        batch=batch,
        medium=medium("mineral_oil_light"),
        gas=medium("argon"),
        closure="screw_cap",
        stated_ug=5 * G,
        u_stated_ug=1_000,
        liquid_ug=8 * G,
        u_liquid_ug=2_000,
    )
    filling.fill(vessel, put_in, happened_at=earlier(), **signed())
    return ledger.read(vessel.pk)


def weighed(vessel, before_ug, after_ug, balance):
    """Return a taking by two weighings under the vessel's own gas."""
    gas = vessel.gas.key
    return taking.Weighed(
        before=observe(before_ug, gas=gas, balance=balance),
        after=observe(after_ug, gas=gas, balance=balance),
    )


def visit(user, role, lab):
    """Yield (URL, page) for what a role may open, but no PDF."""
    client = Client()
    if user:
        client.force_login(user)
    for (name, _), (arguments, query, answers) in PAGES.items():
        if answers[ROLES.index(role)] == 200 and name not in FILES:
            at = address(name, arguments, query, lab)
            yield at, Page(client.get(at))
