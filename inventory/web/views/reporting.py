"""What a project was given: the page, and the same for a spreadsheet."""

from django.http import Http404, HttpResponse, QueryDict
from django.shortcuts import render
from django.utils.http import content_disposition_header

from inventory.models import Project
from inventory.operations import reporting
from inventory.operations.access import ALL, for_roles, get_or_404
from inventory.web import report_sheets
from inventory.web.forms.reporting import PeriodForm
from inventory.web.submit import status_of

XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


@for_roles(ALL)
def report(request, pk):
    """Show who got what; to a partner, the part of their own organisation."""
    return page(request, *asked_for(request, pk))


@for_roles(ALL)
def sheet(request, pk, name):
    """Answer with one table of the report as CSV."""
    if name not in report_sheets.SHEETS:
        raise Http404("The report has no such table.")
    record, form = asked_for(request, pk)
    if not form.is_valid():
        return page(request, record, form)
    content = report_sheets.csv(drawn_up(request, record, form), name)
    return file(content, "text/csv; charset=utf-8", f"project-{pk}-{name}.csv")


@for_roles(ALL)
def workbook(request, pk):
    """Answer with all tables of the report as one XLSX."""
    record, form = asked_for(request, pk)
    if not form.is_valid():
        return page(request, record, form)
    content = report_sheets.workbook(record, drawn_up(request, record, form))
    return file(content, XLSX, f"project-{pk}-report.xlsx")


def asked_for(request, pk):
    """Return the project, and the form with the period that the address names."""
    theirs = Project.objects.visible_to(request.user)
    record = get_or_404(request, Project.objects.all(), theirs, pk=pk)
    return record, PeriodForm(request.GET)


def drawn_up(request, record, form):
    return reporting.of(
        record,
        partners=reporting.own_partners(record, request.user),
        period=form.cleaned_data["period"],
    )


def page(request, record, form):
    context = {"project": record, "form": form, "house": reporting.HOUSE}
    if form.is_valid():
        found = drawn_up(request, record, form)
        context |= {
            "report": found,
            "query": query(found.period),
        }
    template = "inventory/project_report.html"
    return render(request, template, context, status=status_of(form))


def query(period):
    """Return the query that asks for the same days, with its question mark, or ""."""
    days = {"since": period.since, "until": period.until}
    asked = QueryDict(mutable=True)
    asked.update({name: day.isoformat() for name, day in days.items() if day})
    return f"?{asked.urlencode()}" if asked else ""


def file(content, kind, name):
    """Return a file to keep, of this content type and name."""
    headers = {"Content-Disposition": content_disposition_header(True, name)}
    return HttpResponse(content, content_type=kind, headers=headers)
