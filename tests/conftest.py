"""What every test stands on: the catalogue, people, and a ledger that is watched."""

import gc
import importlib
from dataclasses import replace

import pytest
from django.db import connection
from hypothesis import settings
from pytest_django.plugin import blocking_manager_key

from inventory.calc import estimate
from inventory.models import (
    Estimate,
    Event,
    Material,
    MetalRequest,
    Movement,
    Role,
    User,
    Vessel,
)
from inventory.operations import asking, auditing, catalogue
from tests.factories import G, make_partner, make_project, make_share

# The same examples at every run: a gate that fails one time in a hundred is no gate.
settings.register_profile("steady", derandomize=True, deadline=None)
settings.load_profile("steady")

KEEPING = [
    importlib.import_module(f"inventory.migrations.{name}")
    for name in (
        "0002_append_only",
        "0003_batch_record",
        "0004_labels",
        "0005_sharing",
    )
]


# Thousands of pages leave few cycles behind; looking for them takes a tenth of the time.
gc.set_threshold(200_000, 50, 100)


@pytest.fixture(scope="session")
def django_db_setup(django_db_setup, django_db_blocker):
    """Load the shipped catalogue once, as the set-up command does."""
    with django_db_blocker.unblock():
        catalogue.load()


@pytest.fixture
def shipped(db):
    """Have the shipped catalogue, which transactional tests empty away."""
    if not Material.objects.exists():
        catalogue.load()


def person(role):
    return User.objects.create_user(f"the-{role}", password="argon", role=role)


@pytest.fixture
def keeper(db):
    return person(Role.KEEPER)


@pytest.fixture
def operator(db):
    return person(Role.OPERATOR)


@pytest.fixture
def partner(db):
    return person(Role.PARTNER)


@pytest.fixture
def reader(db):
    return person(Role.READER)


@pytest.fixture
def group(shipped):
    return make_partner("Thin-film group")


@pytest.fixture
def films(partner, group):
    """Return a project in which the partner asks for the group, up to 10 g."""
    project = make_project(partner, partner=group, title="Getter films")
    make_share(project, group, mass_ug=10 * G)
    return project


@pytest.fixture(autouse=True)
def ledger_stays_sound(request):
    """After every test that touches the database: the ledger closes.

    No vessel holds or has free less than nothing, what was ever filled is held or
    gone to a named end, and a vessel is marked spent exactly when it is. What is
    believed to be in each is what its events give, and what the ledger says. A
    request stands as its last step left it.
    """
    uses_database = request.node.get_closest_marker("django_db") or {
        "db",
        "transactional_db",
    } & set(request.fixturenames)
    if uses_database:
        request.getfixturevalue(
            "transactional_db" if is_transactional(request) else "db"
        )
        recreate_triggers()
    yield
    if uses_database:
        if Vessel.objects.exists() or Movement.objects.exists():
            check_ledger()
            check_estimates()
        check_requests()
        if is_transactional(request):
            drop_delete_triggers()


@pytest.hookimpl(wrapper=True)
def pytest_runtest_teardown(item, nextitem):
    """Put the catalogue back where a test emptied the tables for good.

    Else every later test of this process that needs it would load it for itself.
    """
    yield
    marker = item.get_closest_marker("django_db")
    if nextitem and marker and marker.kwargs.get("transaction"):
        with item.config.stash[blocking_manager_key].unblock():
            if not Material.objects.exists():
                catalogue.load()


def is_transactional(request):
    marker = request.node.get_closest_marker("django_db")
    return "transactional_db" in request.fixturenames or bool(
        marker and marker.kwargs.get("transaction")
    )


def check_requests():
    """A request stands as its last step left it, and its first step asked for it."""
    for metal_request in MetalRequest.objects.prefetch_related("steps"):
        steps = sorted(metal_request.steps.all(), key=lambda step: step.pk)
        first, last = steps[0], steps[-1]
        assert (first.kind, first.entry_id) == ("asked", metal_request.entry_id)
        assert metal_request.state == asking.LEADS_TO[last.kind]
        terms = asking.Terms.of(metal_request)
        # Some tests let the day pass that metal is needed by.
        assert replace(terms, needed_by=last.needed_by) == asking.Terms.of(last)


def check_ledger():
    vessels = Vessel.objects.with_remaining()
    assert not vessels.filter(remaining_ug__lt=0).exists()
    assert not vessels.filter(free_ug__lt=0).exists()
    filled = vessels.filter(filled_on__isnull=False)
    assert not filled.filter(spent_on=None, remaining_ug=0).exists()
    assert not filled.filter(spent_on__isnull=False, remaining_ug__gt=0).exists()
    movements = list(Movement.objects.all())
    out_of_batches = sum(m.mass_ug for m in movements if m.from_batch_id) - sum(
        m.mass_ug for m in movements if m.to_batch_id
    )
    ended = sum(m.mass_ug for m in movements if m.to_end) - sum(
        m.mass_ug for m in movements if m.from_end
    )
    held = sum(vessel.remaining_ug for vessel in vessels)
    assert out_of_batches == held + ended


def check_estimates():
    """Read every history again by the sums alone; the audit must agree."""
    filled = Vessel.objects.with_remaining().filter(filled_on__isnull=False)
    events = grouped(Event.objects.standing().in_order())
    stored = grouped(Estimate.objects.order_by("id"))
    for vessel in filled:
        history = since_filling(events[vessel.pk])
        start, *later = [event.calc() for event in history]
        states = [estimate.begin(start)]
        states += [step.state for step in estimate.replay(later, start)]
        newest = stored[vessel.pk][-1].revision
        kept = [row for row in stored[vessel.pk] if row.revision == newest]
        assert [row.event_id for row in kept] == [event.pk for event in history]
        for row, state in zip(kept, states, strict=True):
            assert (row.metal_ug, row.tare_ug, row.liquid_ug) == pytest.approx(
                (state.metal_ug, state.tare_ug, state.liquid_ug), rel=1e-12, abs=1e-6
            )
            assert tuple(row.root) == pytest.approx(state.root, rel=1e-12, abs=1e-6)
        assert vessel.remaining_ug == max(0, round(states[-1].metal_ug))
    assert [found for _, findings in auditing.audit() for found in findings] == []


def since_filling(events):
    """Return the events from the one filling that stands; older ones were undone."""
    (start,) = [event for event in events if event.kind == "start"]
    return [event for event in events if event.entry_id >= start.entry_id]


def grouped(rows):
    found = {}
    for row in rows:
        found.setdefault(row.vessel_id, []).append(row)
    return found


def drop_delete_triggers():
    """Let the test case empty SQLite's tables, which it does with DELETE."""
    if connection.vendor == "sqlite":
        with connection.cursor() as cursor:
            for _, drop in kept_by():
                if drop.endswith("_no_delete"):
                    cursor.execute(drop)


def recreate_triggers():
    """Put back what drop_delete_triggers took away before an earlier test's end."""
    if connection.vendor == "sqlite":
        with connection.cursor() as cursor:
            for create, _ in kept_by():
                cursor.execute(create)


def kept_by(vendor="sqlite"):
    """Yield (create, drop) of every trigger."""
    for migration in KEEPING:
        yield from migration.triggers(vendor)


def pytest_terminal_summary(terminalreporter):
    """Say plainly, at the end, which parts did not run here and how to get them."""
    reasons = {}
    for report in terminalreporter.stats.get("skipped", ()):
        reason = report.longrepr[2] if isinstance(report.longrepr, tuple) else ""
        reasons.setdefault(reason.removeprefix("Skipped: "), []).append(report.nodeid)
    if reasons:
        terminalreporter.section("not run on this machine")
    for reason, tests in reasons.items():
        terminalreporter.line(f"{len(tests)} tests: {reason}")
