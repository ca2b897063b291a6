"""Which roles a page answers. Closed by default: a page that names none answers none.

And whose rows: what is not theirs answers as what does not exist, and is logged.
"""

import logging

from django.http import Http404
from django.shortcuts import get_object_or_404

from inventory.models import Role

access = logging.getLogger("inventory.access")

ALL = frozenset(Role)
INSIDE = frozenset({Role.KEEPER, Role.OPERATOR, Role.READER})
HANDLING = frozenset({Role.KEEPER, Role.OPERATOR})
KEEPING = frozenset({Role.KEEPER})
ASKING = frozenset({Role.KEEPER, Role.OPERATOR, Role.PARTNER})


def for_roles(roles):
    """Mark a view as answering these `roles`; the middleware holds it to that."""

    def mark(view):
        view.roles = roles
        return view

    return mark


def get_or_404(request, everything, theirs, **lookup):
    """Return the row of `theirs` that `lookup` names, else answer 404.

    `everything` is the same question without the person: where it finds the row and
    `theirs` does not, somebody asked for what is not theirs, and that is logged. The
    answer is the same as for a row that does not exist, so that it tells nothing.
    """
    try:
        return get_object_or_404(theirs, **lookup)
    except Http404:
        if everything.filter(**lookup).exists():
            refuse(request)
        raise


def refuse(request):
    """Log that somebody asked for an address that is not theirs."""
    access.warning(
        "%s (%s) asked for %s, which is not theirs.",
        request.user.get_username(),
        request.user.role,
        request.get_full_path(),
    )
