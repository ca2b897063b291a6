"""The small laboratory, a stock for the lists, and every page fetched once."""

import pytest
from django.db import transaction
from django.db.backends.base.base import BaseDatabaseWrapper
from django.test import Client

from inventory.models import Role, User
from inventory.operations import catalogue, vessels
from tests.factories import (
    G,
    make_batch,
    make_booking,
    make_place,
    make_request,
    make_tared,
    make_vessel,
    signed,
    take,
)
from tests.web.laboratory import furnish, visit


@pytest.fixture
def as_keeper(client, keeper):
    """Return a client that the keeper is signed in with."""
    client.force_login(keeper)
    return client


@pytest.fixture
def as_partner(partner):
    """Return a client that the partner is signed in with."""
    client = Client()
    client.force_login(partner)
    return client


@pytest.fixture
def metal_request(films, group, partner):
    """Return the partner's request for 3 g."""
    return make_request(films, partner=group, by=partner)


@pytest.fixture
def lab(shipped, partner):
    """Return the records of a laboratory where each thing has happened once."""
    return furnish(partner)


@pytest.fixture(scope="module")
def every_page(django_db_setup, django_db_blocker):
    """Return {(role, URL): page} for every page, fetched once and then left alone."""
    with django_db_blocker.unblock(), transaction.atomic():
        catalogue.load()
        users = {
            role: User.objects.create_user(f"the-{role}", role=role)
            for role in (Role.KEEPER, Role.PARTNER)
        }
        lab = furnish(users["partner"])
        found = {
            (role, at): page
            for role in (*users, "stranger")
            for at, page in visit(users.get(role), role, lab)
        }
        transaction.set_rollback(True)
    return found


@pytest.fixture
def stock(shipped):
    """Return vessels by name that differ in whatever a list can tell apart."""
    shelf, box = make_place(name="Shelf"), make_place(name="Box")
    rubidium = make_batch("Rb", route="calcium reduction")
    potassium = make_batch("K", kind="bought", lot="K-3310")
    found = {
        "small": make_vessel(rubidium, holding_ug=2 * G),
        "large": make_vessel(rubidium, holding_ug=9 * G, kept_in="vacuum"),
        "other": make_vessel(potassium, holding_ug=5 * G, kind="bulb"),
        "spent": make_vessel(rubidium),
        "tared": make_tared(glass_mark="S-14"),
    }
    take(found["spent"])
    make_booking(found["large"], 8 * G)
    vessels.move(found["small"], shelf, **signed())
    vessels.move(found["large"], box, **signed())
    return found


@pytest.fixture(autouse=True)
def answers_leave_the_connection_open(monkeypatch):
    """A closed answer closes the connection too, which the test still needs."""
    monkeypatch.setattr(
        BaseDatabaseWrapper, "close_if_unusable_or_obsolete", lambda self: None
    )
