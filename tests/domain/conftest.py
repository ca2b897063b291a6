"""What only these tests need: a clock to set, and assertions that explain themselves."""

from datetime import datetime

import pytest
from django.utils import timezone

pytest.register_assert_rewrite("tests.domain.records")


@pytest.fixture
def clock(monkeypatch):
    """Return a function that sets the application's clock."""

    def move_to(moment):
        moment = datetime.fromisoformat(moment)
        monkeypatch.setattr(timezone, "now", lambda: moment)

    return move_to
