"""Projects: who shares the metal, and what was promised and taken for each."""

from django.shortcuts import get_object_or_404, render
from django_tables2 import RequestConfig, SingleTableView

from inventory.models import Project
from inventory.operations import projects
from inventory.operations.access import ALL, KEEPING, for_roles
from inventory.web.exports import CsvMixin
from inventory.web.fields import RecordForm
from inventory.web.forms.projects import ProjectForm
from inventory.web.submit import answer
from inventory.web.tables import BookingTable, ProjectTable


class ProjectList(CsvMixin, SingleTableView):
    table_class = ProjectTable
    template_name = "inventory/project_list.html"
    export_name = "projects"

    def get_queryset(self):
        return (
            Project.objects.visible_to(self.request.user)
            .with_promised()
            .prefetch_related("partners")
        )


project_list = for_roles(ALL)(ProjectList.as_view())


@for_roles(ALL)
def project(request, pk):
    record = get_object_or_404(
        Project.objects.visible_to(request.user).with_promised(), pk=pk
    )
    table = BookingTable(record.bookings.with_open().prefetch_related("lines__vessel"))
    RequestConfig(request).configure(table)
    context = {
        "project": record,
        "table": table,
        "members": record.memberships.select_related("user"),
        "movements": record.movements.standing()
        .select_related("from_vessel", "material", "entry")
        .order_by("-id")[:50],
    }
    return render(request, "inventory/project.html", context)


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
    initial["members"] = [m.user.username for m in record.memberships.all()]
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
