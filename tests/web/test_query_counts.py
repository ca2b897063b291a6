"""Pages ask the database the same number of questions however much there is."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from inventory.operations import batches, bookings, filling, ledger, taking, vessels
from tests.factories import (
    G,
    earlier,
    make_balance,
    make_batch,
    make_booking,
    make_laboratory,
    make_place,
    make_project,
    make_tared,
    medium,
    observe,
    signed,
    take,
)
from tests.web.person import filled_in


class Stock:
    """A batch at a place, promised to a project, that can be made larger."""

    def __init__(self):
        make_laboratory()
        self.balance = make_balance()
        self.batch = make_batch("Rb")
        self.place = make_place()
        self.project = make_project()
        self.filled = []
        self.more(1)
        self.booking = self.book(self.filled[:1])

    def more(self, count):
        """Add vessels: tared, filled by weight, drawn from, and one in two booked."""
        for _ in range(count):
            vessel = make_tared(self.batch)
            gas = medium("argon")
            filling.fill(
                vessel,
                filling.Filling(
                    batch=self.batch,
                    medium=gas,
                    gas=gas,
                    closure="stopcock",
                    place=self.place,
                    gross=observe(25 * G, gas="argon", balance=self.balance),
                ),
                happened_at=earlier(),
                **signed(),
            )
            self.filled.append(vessel)
        make_booking(self.filled[-1], 1 * G, project=self.project)

    def book(self, wanted):
        return bookings.book(
            self.project,
            wishes=[(vessel, 1 * G) for vessel in wanted],
            purpose="a run",
            needed_by=earlier(days=-3).date(),
            **signed(),
        )

    def draw(self, vessel, times):
        for _ in range(times):
            gross = vessel.weighings.last().reading_ug
            how = taking.Weighed(
                before=observe(gross, gas="argon", balance=self.balance),
                after=observe(gross - G // 10, gas="argon", balance=self.balance),
            )
            take(ledger.read(vessel.pk), how, project=self.project)

    def addresses(self, booking):
        first, last = self.filled[0].pk, self.filled[-1].pk
        chosen = f"vessel={first}&vessel={last}"
        return {
            "home": "/",
            "is there enough": "/?material=Rb&need=3+g",
            "vessel list": "/vessels/?per_page=200",
            "vessel": f"/vessels/{first}/",
            "withdraw": f"/vessels/{first}/withdraw/",
            "weigh again": f"/vessels/{first}/check/",
            "medium": f"/vessels/{first}/medium/",
            "transfer": f"/vessels/{first}/transfer/",
            "batch": self.batch.get_absolute_url(),
            "batch list": "/batches/",
            "close a batch": f"/batches/{self.batch}/close/",
            "compare": "/batches/compare/?material=Rb&process=reduction",
            "bench": f"/batches/{self.batch}/bench/",
            "bench from a receiver": f"/batches/{self.batch}/bench/"
            f"?source={self.filled[0]}",
            "project": self.project.get_absolute_url(),
            "project list": "/projects/",
            "booking": booking.get_absolute_url(),
            "place": self.place.get_absolute_url(),
            "place list": "/places/",
            "book": f"/bookings/new/?{chosen}",
            "book by metal": "/bookings/new/?material=Rb",
            "labels": f"/labels/?batch={self.batch}",
            "labels of two": f"/labels/?{chosen}",
            "labels out of date": "/vessels/?state=label&per_page=200",
            "label log": "/labels/log/",
            "scanned": f"{self.batch.get_absolute_url()}?vessel=1",
            "vessels as CSV": "/vessels/?_export=csv",
        }


@pytest.fixture
def stock(shipped):
    return Stock()


def queries(client, addresses):
    """Return {page: how many questions it asks}."""
    counts = {}
    for name, address in addresses.items():
        with CaptureQueriesContext(connection) as asked:
            assert client.get(address).status_code == 200, address
        counts[name] = len(asked)
    return counts


def test_fifty_vessels_cost_no_more_queries_than_one(as_keeper, stock):
    queries(as_keeper, {"warm": "/"})
    few = queries(as_keeper, stock.addresses(stock.booking))

    stock.more(49)
    many = queries(as_keeper, stock.addresses(stock.book(stock.filled[2:40])))

    assert len(stock.filled) == 50
    assert many == few


def test_twenty_withdrawals_cost_a_vessel_s_page_no_more_queries_than_one(
    as_keeper, stock
):
    vessel = stock.filled[0]
    pages = {
        "vessel": vessel.get_absolute_url(),
        "batch": stock.batch.get_absolute_url(),
        "project": stock.project.get_absolute_url(),
    }
    stock.draw(vessel, 1)
    few = queries(as_keeper, pages)

    stock.draw(vessel, 20)

    assert queries(as_keeper, pages) == few


def weigh_again(client, vessel):
    """Return how many questions it takes to record what the vessel read last."""
    at = f"{vessel.get_absolute_url()}check/"
    reading_ug = vessel.weighings.last().reading_ug
    sent = filled_in(client, at, reading=f"{reading_ug / G:.4f} g")
    with CaptureQueriesContext(connection) as asked:
        assert client.post(at, sent).status_code == 302
    return len(asked)


def test_recording_a_weighing_costs_no_more_queries_after_twenty_withdrawals(
    as_keeper, stock
):
    stock.more(1)
    young, old = stock.filled
    stock.draw(young, 1)
    stock.draw(old, 20)

    assert weigh_again(as_keeper, old) == weigh_again(as_keeper, young)


def test_a_logbook_of_twenty_lines_costs_no_more_queries_than_one(as_keeper, stock):
    vessel = stock.filled[0]
    pages = {"vessel": vessel.get_absolute_url()}
    few = queries(as_keeper, pages)

    for _ in range(20):
        vessels.move(vessel, stock.place, **signed())

    assert queries(as_keeper, pages) == few


def test_twenty_charges_cost_a_batch_s_page_no_more_queries_than_one(as_keeper, stock):
    def charge():
        return batches.charge(
            stock.batch,
            formula="RbCl",
            role="source",
            mass_ug=G,
            u_ug=1000,
            purity=1.0,
            **signed(),
        )

    pages = {"batch": stock.batch.get_absolute_url()}
    batches.withdraw_charge(charge(), reason="misread", **signed())
    charge()
    few = queries(as_keeper, pages)

    for _ in range(20):
        batches.withdraw_charge(charge(), reason="misread", **signed())
        charge()

    assert queries(as_keeper, pages) == few
