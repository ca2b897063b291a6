"""Who does things in tests, when, and in which units."""

from datetime import timedelta
from uuid import uuid4

from django.utils import timezone

from inventory.models import Role, User

G = 1_000_000
ML = 1_000
# Noted, so that the air adds little to an uncertainty.
ROOM = {"air_temperature_c": 20.0, "air_pressure_pa": 101_325.0, "air_humidity": 0.5}


def somebody():
    """Return a keeper who does things in tests where it matters not who."""
    user, _ = User.objects.get_or_create(
        username="somebody", defaults={"role": Role.KEEPER}
    )
    return user


def signed(**more):
    """Return the facts that every operation takes: who, and a fresh request."""
    return {"by": somebody(), "request_id": uuid4(), **more}


def earlier(**ago):
    return timezone.now() - timedelta(**(ago or {"hours": 1}))
