"""What was handed over, as the pages show it."""

from django.db.models import Count, Exists, OuterRef, Prefetch, Q

from inventory.models import (
    BookingLine,
    HandOverLine,
    Membership,
    Return,
    Vessel,
)
from inventory.models.bookings import by_metal, mass_words
from inventory.operations import given, picking, returning


def of_project(project, user):
    """Return the hand-overs of a project, each with its metals and what is still out."""
    lines = HandOverLine.objects.select_related("vessel__batch__material")
    found = list(
        project.hand_overs.visible_to(user)
        .select_related("partner")
        .annotate(
            vessel_count=Count("lines"),
            has_out=Exists(HandOverLine.objects.out().filter(hand_over=OuterRef("pk"))),
        )
        .prefetch_related(Prefetch("lines", lines, to_attr="known_lines"))
        .order_by("-id")
    )
    for hand_over in found:
        hand_over.metal_words = mass_words(by_metal(hand_over.known_lines))
    return found


def lines_of(hand_over):
    """Ask for a hand-over's lines with all that came back or was reported of each."""
    returns = Return.objects.select_related("movement__corrected_by", "entry__by")
    return (
        hand_over.lines.select_related("vessel__batch__material", "vessel__medium")
        .prefetch_related(Prefetch("returns", returns.order_by("id")))
        .order_by("id")
    )


def told(hand_over):
    """Return what stands of each line: the line, whether it is out, its returns.

    A return that showed less used than was reported has `contradicts`, the words of
    the project's report, and `less_ug`.
    """
    lines = list(lines_of(hand_over))
    found = {back.key: back for back in given.returns_of(lines)}
    rows = []
    for line in lines:
        returns = list(line.returns.all())
        for each in returns:
            back = found.get(each.pk)
            if back and back.used_ug < 0:
                each.contradicts, each.less_ug = back.words, -back.used_ug
        is_out = not any(each.is_back for each in returns)
        rows.append({"line": line, "is_out": is_out, "returns": returns})
    return rows


def still_out(vessel):
    """Return the line by which a vessel is in its custodian's hands, or None.

    With `reported_ug`, what the partner says was used of it.
    """
    if not vessel.custodian_id:
        return None
    lines = HandOverLine.objects.out().filter(vessel=vessel)
    line = lines.select_related("hand_over__partner").last()
    if line:
        line.reported_ug = returning.reported_ug(line)
    return line


def may_report(user, hand_over):
    """Return whether somebody may say what was used of the vessels handed over.

    Whoever handles metal here may, and a partner who may ask for it.
    """
    if not user.is_partner:
        return user.is_staff_member
    members = Membership.objects.filter(user=user, project=hand_over.project_id)
    return any(member.may_ask for member in members)


def ready(project, named=()):
    """Return the picked promises of a project, and those a sent form names."""
    picked = Q(booking__project=project, picked_by__isnull=False)
    open_now = BookingLine.objects.open().filter(picked)
    lines = open_now | BookingLine.objects.filter(picked, pk__in=named)
    return lines.distinct().select_related("booking__partner").order_by("id")


def with_vessels(lines):
    """Give lines their vessels, as in a list, and where each stood; return them."""
    lines = list(lines)
    vessels = Vessel.objects.for_list().select_related("place__within")
    vessels = vessels.in_bulk([line.vessel_id for line in lines])
    for line in lines:
        line.vessel = vessels[line.vessel_id]
        line.where = picking.where(line.vessel)
    return lines
