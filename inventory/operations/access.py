"""Which roles a page answers. Closed by default: a page that names none answers none."""

from inventory.models import Role

ALL = frozenset(Role)
INSIDE = frozenset({Role.KEEPER, Role.OPERATOR, Role.READER})
HANDLING = frozenset({Role.KEEPER, Role.OPERATOR})
KEEPING = frozenset({Role.KEEPER})


def for_roles(roles):
    """Mark a view as answering these `roles`; the middleware holds it to that."""

    def mark(view):
        view.roles = roles
        return view

    return mark
