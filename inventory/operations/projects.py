"""Projects, who is in them, and the organisations they share metal with."""

from dataclasses import dataclass

from django.utils import timezone

from inventory.models import (
    BookingLine,
    MemberRole,
    Membership,
    MetalRequest,
    Partner,
    Project,
    User,
)

from . import log
from .errors import OperationError


@dataclass(frozen=True, slots=True)
class Member:
    """A person of a project: what they do in it, and for which organisation."""

    user: User
    role: str = MemberRole.ASKS
    partner: Partner | None = None


@log.operation
def start(*, facts, members, partners=(), by, request_id):
    """Start a project with `facts` for `members` and `partners`, and return it."""
    if earlier := log.repeated(request_id):
        return earlier.project
    project = Project.objects.create(**facts)
    set_partners(project, partners)
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
def change(project, *, facts, members, partners=(), by, request_id):
    """Change a project's `facts`, `members` and `partners`, and return it."""
    project = log.lock(Project.objects.all(), project.pk)
    if log.repeated(request_id):
        return project
    for name, value in facts.items():
        setattr(project, name, value)
    project.save()
    set_partners(project, partners)
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
    """Close a project. Refused while it waits for metal, or some is promised to it."""
    project = log.lock(Project.objects.all(), project.pk)
    if log.repeated(request_id):
        return project
    if project.closed_on:
        raise OperationError("This project is closed already.")
    lines = BookingLine.objects.open().filter(booking__project=project)
    if waiting := lines.count():
        raise OperationError(
            f"{waiting} {'vessel is' if waiting == 1 else 'vessels are'} still promised "
            "to this project. Serve or release those bookings first."
        )
    asked = MetalRequest.objects.filter(project=project).with_booked().waiting()
    if still := asked.count():
        raise OperationError(
            f"{still} {'request is' if still == 1 else 'requests are'} still open: "
            f"answer {'it' if still == 1 else 'them'} first."
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


def set_partners(project, partners):
    """Make exactly these organisations the project's partners.

    Refused for one that goes while a share, a request or a member still names it.
    """
    wanted = {partner.pk for partner in partners}
    for partner in project.partners.exclude(pk__in=wanted):
        refuse_to_part(project, partner)
    project.partners.set(wanted)


def refuse_to_part(project, partner):
    """Refuse to take a partner off a project that still owes it something."""
    named = {
        "has a share": partner.shares.filter(project=project),
        "has asked for metal": partner.requests.filter(project=project).pending(),
        "holds a booking": partner.bookings.filter(project=project)
        .with_open()
        .filter(is_open=True),
        "has vessels of it": partner.vessels.filter(
            hand_over_lines__hand_over__project=project
        ),
    }
    for words, rows in named.items():
        if rows.exists():
            raise OperationError(f"{partner} {words} in this project.", "partners")


def set_members(project, members):
    """Make exactly these the project's members.

    A member's organisation has to be a partner of the project.
    """
    partners = set(project.partners.values_list("pk", flat=True))
    for member in members:
        if member.partner and member.partner.pk not in partners:
            raise OperationError(
                f"{member.partner} is no partner of this project.", "members"
            )
    project.memberships.exclude(user__in=[m.user.pk for m in members]).delete()
    for member in members:
        Membership.objects.update_or_create(
            project=project,
            user=member.user,
            defaults={"role": member.role, "partner": member.partner},
        )
