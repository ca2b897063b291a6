"""A project's report as PDF."""

from io import BytesIO
from typing import Any

from django.http import FileResponse, HttpRequest
from django.http.response import HttpResponseBase
from django.shortcuts import render

from inventory.models import Project
from inventory.operations import reporting
from inventory.operations.access import ALL, for_roles, get_or_404
from labels.wording import CannotPrint

from .forms import ReportForm
from .project import print_report
from .reported import project_report


@for_roles(ALL)
def report(request: HttpRequest, pk: int) -> HttpResponseBase:
    """Answer with the report; a partner gets the part of their own organisation.

    Where there is none, with the reason, and the fields that asked for it.
    """
    theirs = Project.objects.visible_to(request.user)
    project: Any = get_or_404(request, Project.objects.all(), theirs, pk=pk)
    form = ReportForm.of_query(request.GET)
    if form.is_valid():
        partners = reporting.own_partners(project, request.user)
        period = form.cleaned_data["period"]
        found = reporting.of(project, partners=partners, period=period)
        try:
            pdf = print_report(
                project_report(project, found), form.cleaned_data["paper"]
            )
        except CannotPrint as error:
            form.add_error(None, str(error))
        else:
            return FileResponse(BytesIO(pdf), filename=f"project-{pk}-report.pdf")
    context = {"project": project, "form": form}
    return render(request, "labels/project_report.html", context, status=422)
