"""Accounts: who may sign in, and as what."""

from django.db.models import Q

from inventory.models import Role, User

from . import log
from .errors import OperationError


@log.operation
def add(*, username, role, password, email="", by, request_id):
    """Add an account and return it. `by` is None for the first, made by a command."""
    if log.repeated(request_id):
        return User.objects.get(username=username)
    if User.objects.filter(username__iexact=username).exists():
        raise OperationError("This name is taken.", "username")
    user = User.objects.create_user(username, email, password, role=role)
    log.write("person-add", f"Added {username} as {role}", by=by, request_id=request_id)
    return user


@log.operation
def change(user, *, role, is_active, email=None, password="", by, request_id):
    """Change what an account may do, and where its letters go.

    A `password` replaces the old one; an `email` of None stays as it is.
    """
    lock_keepers(user)
    user = User.objects.get(pk=user.pk)
    if log.repeated(request_id):
        return user
    stays_keeper = role == Role.KEEPER and is_active
    others = User.objects.filter(role=Role.KEEPER, is_active=True).exclude(pk=user.pk)
    if user.is_keeper and not stays_keeper and not others.exists():
        raise OperationError("Somebody has to be keeper, and no one else is.", "role")
    user.role, user.is_active = role, is_active
    user.email = user.email if email is None else email
    if password:
        user.set_password(password)
    user.save()
    log.write(
        "person-change",
        f"Changed {user}: {role}, {'active' if is_active else 'cannot sign in'}"
        + (", new password" if password else ""),
        by=by,
        request_id=request_id,
    )
    return user


def lock_keepers(user):
    """Lock `user` and every keeper: two who step down at once would leave none."""
    rows = User.objects.select_for_update(of=("self",), no_key=True)
    list(rows.filter(Q(role=Role.KEEPER) | Q(pk=user.pk)).order_by("pk"))
