"""Projects and who is in them."""

from django.utils import timezone

from inventory.models import BookingLine, Membership, Project, User

from . import log
from .errors import OperationError


@log.operation
def start(*, facts, members, by, request_id):
    """Start a project with `facts` for the `members` and return it."""
    if earlier := log.repeated(request_id):
        return earlier.project
    project = Project.objects.create(**facts)
    set_members(project, members)
    log.write(
        "project-start",
        f"Started project {project}",
        by=by,
        request_id=request_id,
        project=project,
    )
    return project


@log.operation
def change(project, *, facts, members, by, request_id):
    """Change a project's `facts` and `members` and return it."""
    project = log.lock(Project.objects.all(), project.pk)
    if log.repeated(request_id):
        return project
    for name, value in facts.items():
        setattr(project, name, value)
    project.save()
    set_members(project, members)
    log.write(
        "project-change",
        f"Changed project {project}",
        by=by,
        request_id=request_id,
        project=project,
    )
    return project


@log.operation
def close(project, *, by, request_id):
    """Close a project. Refused while metal is still promised to it."""
    project = log.lock(Project.objects.all(), project.pk)
    if log.repeated(request_id):
        return project
    if project.closed_on:
        raise OperationError("This project is closed already.")
    lines = BookingLine.objects.filter(booking__project=project, closed_by=None)
    if waiting := lines.count():
        raise OperationError(
            f"{waiting} {'vessel is' if waiting == 1 else 'vessels are'} still promised "
            "to this project. Serve or release those bookings first."
        )
    project.closed_on = timezone.localdate()
    project.save(update_fields=["closed_on"])
    log.write(
        "project-close",
        f"Closed project {project}",
        by=by,
        request_id=request_id,
        project=project,
    )
    return project


def set_members(project, members):
    """Make exactly these users the project's members."""
    wanted = {user.pk for user in members}
    project.memberships.exclude(user__in=wanted).delete()
    have = set(project.memberships.values_list("user", flat=True))
    new = User.objects.filter(pk__in=wanted - have)
    Membership.objects.bulk_create(Membership(project=project, user=u) for u in new)
