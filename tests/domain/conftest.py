"""What only these tests need: a clock to set, and assertions that explain themselves."""

from datetime import datetime

import pytest
from django.core import mail
from django.utils import timezone

from tests.factories import make_request

pytest.register_assert_rewrite("tests.domain.records")

from tests.domain.kept import record_everything  # noqa: E402
from tests.domain.records import on_record  # noqa: E402


@pytest.fixture
def clock(monkeypatch):
    """Return a function that sets the application's clock."""

    def move_to(moment):
        moment = datetime.fromisoformat(moment)
        monkeypatch.setattr(timezone, "now", lambda: moment)

    return move_to


@pytest.fixture
def kept():
    """Record something of everything, and check in the end that it is all there."""
    record_everything()
    before = on_record()
    yield
    assert on_record() == before


@pytest.fixture
def sent(django_capture_on_commit_callbacks):
    """Return a function that does something and gives {address: letter} of it."""

    def sent(do, *given, **facts):
        mail.outbox.clear()
        with django_capture_on_commit_callbacks(execute=True):
            do(*given, **facts)
        assert all(len(letter.to) == 1 for letter in mail.outbox)
        found = {letter.to[0]: letter for letter in mail.outbox}
        assert len(found) == len(mail.outbox), "somebody was written to twice"
        return found

    return sent


@pytest.fixture
def ask(films, group, partner):
    """Return a function with which the partner asks."""

    def ask(need="3 g", **facts):
        return make_request(films, need, **{"partner": group, "by": partner, **facts})

    return ask
