"""What is on record, to tell that a refusal or a repeat recorded nothing."""

from contextlib import contextmanager

import pytest
from django.apps import apps

from inventory.operations.errors import OperationError


def on_record():
    """Return every row of every table of ours, as {model: rows}."""
    models = apps.get_app_config("inventory").get_models(include_auto_created=True)
    return {model: list(model.objects.order_by("pk").values()) for model in models}


@contextmanager
def refused(sentence, field=None):
    """Expect a refusal with exactly this sentence and field, and nothing recorded."""
    before = on_record()
    with pytest.raises(OperationError) as refusal:
        yield refusal
    assert str(refusal.value) == sentence
    assert refusal.value.field == field
    assert on_record() == before
