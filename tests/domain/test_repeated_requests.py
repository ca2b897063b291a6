"""The same request sent twice records once, whatever it asks for."""

import importlib
import inspect
import pkgutil
from uuid import uuid4

import pytest

from inventory import operations
from inventory.models import LogEntry
from inventory.operations import handing, reserving
from tests.domain.asked import ASKED, ask_add_laboratory
from tests.domain.records import on_record
from tests.factories import somebody

# One line for the whole, and one for each vessel or request it is about.
TELLS_OF_EACH = {handing.hand_over, reserving.reserve}

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shipped")]


@pytest.mark.parametrize("ask", ASKED, ids=lambda ask: ask.__name__[4:])
def test_a_request_sent_twice_records_once_and_answers_the_same(ask):
    operation, given, facts = ask()
    facts |= {"by": somebody(), "request_id": uuid4()}
    before = on_record()
    first = operation(*given, **facts)
    once = on_record()

    second = operation(*given, **facts)

    assert once != before
    assert on_record() == once
    assert type(second) is type(first)
    assert second == first


@pytest.mark.parametrize("ask", ASKED, ids=lambda ask: ask.__name__[4:])
def test_every_request_leaves_one_line_in_the_log_that_names_who(ask):
    operation, given, facts = ask()
    user, request_id = somebody(), uuid4()
    before = log_lines()

    operation(*given, **facts, by=user, request_id=request_id)

    lines = log_lines() - before
    assert (request_id, user.pk) in lines
    # Nobody else is named by the further lines either.
    assert {by for _, by in lines} == {user.pk}
    assert len(lines) == 1 or operation in TELLS_OF_EACH


def log_lines():
    return set(LogEntry.objects.values_list("request_id", "by"))


def test_every_operation_is_asked_twice_here():
    modules = [
        importlib.import_module(f"{operations.__name__}.{found.name}")
        for found in pkgutil.iter_modules(operations.__path__)
    ]
    written = {
        value
        for module in modules
        for value in vars(module).values()
        if inspect.isfunction(value)
        and hasattr(value, "__wrapped__")
        and "request_id" in inspect.signature(value).parameters
    }

    assert {ask()[0] for ask in ASKED if ask is not ask_add_laboratory} == written
