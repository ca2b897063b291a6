"""What a partner may see: the rest answers as what does not exist, and is logged."""

from inventory.models import BookingLine, Vessel
from inventory.operations.access import get_or_404, refuse

__all__ = ["batches", "get_or_404", "refuse", "vessels"]


def batches(rows, user):
    """Return the batches of `rows` that a person may see: a partner, of their vessels."""
    if not user.is_partner:
        return rows
    return rows.filter(pk__in=vessels(user).values("batch"))


def vessels(user):
    """Return the vessels that a person may see: a partner, what is booked for them."""
    if not user.is_partner:
        return Vessel.objects.all()
    return Vessel.objects.filter(pk__in=BookingLine.objects.offered_to(user))
