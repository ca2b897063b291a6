"""Projects: who shares the metal, and what was promised and taken for each."""

from django.db.models import Q
from django.shortcuts import get_object_or_404, render
from django.utils import timezone
from django_tables2 import RequestConfig, SingleTableView

from inventory.models import BookingLine, Movement, MovementKind, Project
from inventory.models.bookings import mass_words
from inventory.operations import projects, shares
from inventory.operations.access import ALL, ASKING, KEEPING, for_roles
from inventory.web import asked, handed
from inventory.web.exports import CsvMixin
from inventory.web.fields import RecordForm
from inventory.web.forms.projects import ProjectForm
from inventory.web.submit import answer
from inventory.web.tables import BookingTable, ProjectTable
from inventory.web.theirs import get_or_404

NEWEST = 10


class ProjectList(CsvMixin, SingleTableView):
    table_class = ProjectTable
    template_name = "inventory/project_list.html"
    export_name = "projects"

    def get_queryset(self):
        return (
            Project.objects.visible_to(self.request.user)
            .with_promised(self.request.user)
            .prefetch_related("partners")
        )


project_list = for_roles(ALL)(ProjectList.as_view())


@for_roles(ALL)
def project(request, pk):
    theirs = Project.objects.visible_to(request.user)
    record = get_or_404(request, Project.objects.all(), theirs, pk=pk)
    members = list(record.memberships.select_related("user", "partner"))
    own = next((each for each in members if each.user_id == request.user.pk), None)
    bookings = record.bookings.visible_to(request.user)
    table = BookingTable(bookings.with_metals().select_related("partner"))
    requests = asked.requests().filter(project=record).visible_to(request.user)
    promised = BookingLine.objects.open().filter(booking__in=bookings)
    RequestConfig(request).configure(table)
    context = {
        "project": record,
        "table": table,
        "members": members,
        "own": own,
        "may_ask": not record.closed_on and may_ask(request.user, own),
        "promised_words": mass_words(promised.by_metal()),
        "requests": asked.open_first(requests, NEWEST),
        "standings": shares_shown(record, request.user, own),
        "ends_in": record.ends_on and (record.ends_on - timezone.localdate()).days,
        "hand_overs": handed.of_project(record, request.user),
        "movements": taken(record, request.user, own)
        .select_related("from_vessel", "to_vessel", "material", "entry")
        .order_by("-id")[:50],
    }
    return render(request, "inventory/project.html", context)


def may_ask(user, own):
    """Return whether this person may ask for metal: a partner, for an organisation."""
    if user.is_partner:
        return own.may_ask and own.partner_id is not None
    return user.role in ASKING


def shares_shown(project, user, own):
    """Return how the shares stand: to a partner, those of their organisation alone."""
    if not user.is_partner:
        return shares.standing(project)
    return shares.standing(project, [own.partner] if own.partner else [])


def taken(project, user, own):
    """Return what was taken for a project: to a partner, not what others had of it.

    And what weighings after a return found of it again.
    """
    movements = project.movements.standing()
    again = found_again(project)
    if user.is_partner:
        movements = of_theirs(movements, own)
        theirs = {"entry__returns__line__hand_over__partner": own.partner_id}
        again = again.filter(**theirs) if own.partner_id else again.none()
    return Movement.objects.filter(Q(pk__in=movements) | Q(pk__in=again))


def found_again(project):
    """Return the differences by which less was used than a partner had reported."""
    to = "entry__returns__line"
    return (
        Movement.objects.standing()
        .filter(
            kind=MovementKind.DIFFERENCE,
            to_vessel__isnull=False,
            **{
                f"{to}__hand_over__project": project,
                f"{to}__returns__kind": "reported",
            },
        )
        .exclude(entry__weighings__struck_by__isnull=False)
    )


def of_theirs(movements, own):
    """Return of the movements of a project those that a partner may see."""
    had = "booking_line__booking__partner"
    kept = "returned__line__hand_over__partner"
    of_no_one = Q(**{f"{had}__isnull": True, f"{kept}__isnull": True})
    theirs = Q(**{had: own.partner_id}) | Q(**{kept: own.partner_id})
    return movements.filter(of_no_one | theirs if own.partner_id else of_no_one)


@for_roles(KEEPING)
def start(request):
    form = ProjectForm(request.POST or None)
    return answer(
        request,
        form,
        lambda **signed: projects.start(**form.parts(), **signed),
        lambda made: f"Project {made} started.",
        "inventory/project_form.html",
    )


@for_roles(KEEPING)
def change(request, pk):
    record = get_object_or_404(Project, pk=pk)
    names = ("title", "purpose", "starts_on", "ends_on")
    initial = {name: getattr(record, name) for name in names}
    initial["partners"] = list(record.partners.values_list("pk", flat=True))
    form = ProjectForm(request.POST or None, project=record, initial=initial)
    return answer(
        request,
        form,
        lambda **signed: projects.change(record, **form.parts(), **signed),
        f"Project {record} changed.",
        "inventory/project_form.html",
        context={"project": record},
    )


@for_roles(KEEPING)
def close(request, pk):
    record = get_object_or_404(Project, pk=pk)
    form = RecordForm(request.POST or None)
    return answer(
        request,
        form,
        lambda **signed: projects.close(record, **signed),
        f"Project {record} is closed.",
        "inventory/project_close.html",
        context={"project": record},
    )
