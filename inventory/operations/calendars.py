"""The private link to somebody's calendar. Whoever has it reads on, until it is revoked.

Only a digest of the link is kept, so that nobody who reads the database can use it.
"""

import secrets
from hashlib import sha256

from django.utils import timezone

from inventory.models import CalendarLink, User

from . import log
from .errors import OperationError


@log.operation
def make_link(user, *, by, request_id):
    """Make a new link for `user`, in place of one that stands, and return it.

    Its `token` is told this once: a repeated request gives the link without it.
    """
    log.lock(User.objects.all(), user.pk)
    if earlier := log.repeated(request_id):
        return CalendarLink.objects.get(pk=earlier.subject_id)
    end_standing(user)
    token = secrets.token_urlsafe(32)
    link = CalendarLink.objects.create(user=user, digest=digest(token))
    log.write(
        "calendar-link",
        f"Made a calendar link for {user}",
        by=by,
        request_id=request_id,
        subject_id=link.pk,
    )
    link.token = token
    return link


@log.operation
def revoke(user, *, by, request_id):
    """Revoke the link that stands for `user`, and return them."""
    user = log.lock(User.objects.all(), user.pk)
    if log.repeated(request_id):
        return user
    if not end_standing(user):
        raise OperationError("There is no link to revoke.")
    log.write(
        "calendar-revoke",
        f"Revoked the calendar link of {user}",
        by=by,
        request_id=request_id,
    )
    return user


def end_standing(user):
    """Revoke what stands; return how many links that were, one or none."""
    return standing(user).update(revoked_at=timezone.now())


def standing(user):
    return CalendarLink.objects.filter(user=user, revoked_at=None)


def owner_of(token):
    """Return whose calendar the link opens, or None if it opens nothing any more."""
    links = CalendarLink.objects.filter(digest=digest(token), revoked_at=None)
    link = links.filter(user__is_active=True).select_related("user").first()
    return link and link.user


def digest(token):
    return sha256(token.encode()).hexdigest()
