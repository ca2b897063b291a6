"""Picking, handing over, and what comes back or is reported."""

from django.core.exceptions import PermissionDenied
from django.shortcuts import get_object_or_404, redirect, render

from inventory.calc.keys import keys
from inventory.models import Booking, HandOver, HandOverLine, Partner, Project
from inventory.operations import addresses, handing, ledger, picking, returning
from inventory.operations.access import (
    ALL,
    ASKING,
    HANDLING,
    for_roles,
    get_or_404,
)
from inventory.operations.readings import Facts
from inventory.web import handed, pick_list
from inventory.web.contents import drawing
from inventory.web.forms.handing import (
    HandOverForm,
    PickForm,
    ReportForm,
    ReturnForm,
)
from inventory.web.submit import answer, carry_out, status_of, summary


@for_roles(HANDLING)
def pick(request, pk):
    """Take a booking's vessels from their places, comparing the code of each."""
    booking = get_object_or_404(
        Booking.objects.select_related("project", "partner"), pk=pk
    )
    if "stop" in request.POST:
        pick_list.end(request)
        return redirect(booking)
    pick_list.begin(request, booking)
    rows = pick_list.rows(booking, Facts.read())
    scanned = pick_list.scanned(request.GET.get("code", ""), rows)
    found = scanned and scanned.row
    form = PickForm(
        request.POST or None,
        hosts=addresses.hosts(request.get_host()),
        initial={"code": scanned.code if found else ""},
    )
    if "put-back" in request.POST:
        form.fields["code"].required = False
    if rows and form.is_valid() and tick(request, form, rows):
        return redirect("booking-pick", pk=pk)
    if not found:
        # A hand scanner types into whatever has the focus.
        form.fields["code"].widget.attrs |= {"autofocus": True, "data-scan": True}
    context = {
        "booking": booking,
        "form": form,
        "rows": rows,
        "places": pick_list.by_place(rows),
        "expected": pick_list.expected(rows) if rows else None,
        "ticked": sum(row.is_ticked for row in rows),
        "scanned": None if form.is_bound else scanned,
        "to_draw": any(not row.is_whole for row in rows),
    }
    return render(request, "inventory/pick.html", context, status=status_of(form))


def tick(request, form, rows):
    """Tick what was scanned, or take a tick back; return the line, None if refused."""
    signed = {"by": request.user, "request_id": form.cleaned_data["request_id"]}
    put_back = keys(request.POST.getlist("put-back"))
    if put_back:
        (line,) = [row.line for row in rows if row.line.pk in put_back] or [
            rows[0].line
        ]
        return carry_out(
            request,
            form,
            lambda: picking.unpick(line, **signed),
            lambda line: f"{line.vessel} is not ticked any more.",
        )
    expected = pick_list.expected(rows).line
    code = form.cleaned_data["code"]
    return carry_out(
        request,
        form,
        lambda: picking.pick(expected, code=code, **signed),
        lambda line: f"{line.vessel} is ticked.",
    )


@for_roles(HANDLING)
def hand_over(request, pk):
    """Hand picked vessels of a project over to one of its partners."""
    project = get_object_or_404(Project, pk=pk)
    named = keys(name.removeprefix("line_") for name in request.POST)
    lines = handed.with_vessels(handed.ready(project, named))
    partner = receiver(request, lines)
    shown = [line for line in lines if line.booking.partner_id in (None, partner)]
    form = HandOverForm(
        request.POST or None,
        lines=shown,
        partners=receivers(project, shown),
        initial={"partner": partner},
    )
    facts = Facts.read()
    context = {
        "project": project,
        "rows": [(*row, drawing(row[0].vessel, facts, "small")) for row in form.rows()],
        "others": others(lines, shown),
        "waiting": waiting(project),
    }
    return answer(
        request,
        form,
        lambda **signed: handing.hand_over(
            project,
            form.cleaned_data["partner"],
            form.chosen(),
            handed_at=form.cleaned_data["handed_at"],
            carried=form.cleaned_data["carried"],
            note=form.cleaned_data["note"],
            returns=form.returns(),
            beyond_share=form.cleaned_data["beyond_share"],
            **signed,
        ),
        summary,
        "inventory/hand_over_form.html",
        context=context,
    )


def receiver(request, lines):
    """Return the key of the partner to hand over to: as asked, or of the first line."""
    asked = keys([request.POST.get("partner") or request.GET.get("partner", "")])
    booking = keys([request.GET.get("booking", "")])
    if asked:
        return asked.pop()
    of_it = [line for line in lines if line.booking_id in booking] or lines
    found = [line.booking.partner_id for line in of_it if line.booking.partner_id]
    return found[0] if found else None


def receivers(project, lines):
    """Return the partners that these lines may go to."""
    named = {line.booking.partner_id for line in lines} - {None}
    partners = Partner.objects.filter(projects=project)
    return partners.filter(pk__in=named) if named else partners


def others(lines, shown):
    """Return the other partners that something is ready for."""
    left = [line for line in lines if line not in shown]
    return list(dict.fromkeys(line.booking.partner for line in left))


def waiting(project):
    """Return the bookings of a project of which something is still to be picked."""
    bookings = project.bookings.with_open().filter(
        is_open=True, lines__closed_by=None, lines__picked_by=None
    )
    return bookings.select_related("partner").distinct()


@for_roles(ALL)
def hand_over_page(request, pk):
    """Show one hand-over: what left, what came back, and what was reported."""
    record = get_or_404(
        request,
        HandOver.objects.all(),
        HandOver.objects.visible_to(request.user).select_related(
            "project", "partner", "entry__by"
        ),
        pk=pk,
    )
    context = {
        "hand_over": record,
        "rows": handed.told(record),
        "may_report": handed.may_report(request.user, record),
    }
    return render(request, "inventory/hand_over.html", context)


def line_of(request, pk):
    """Return the line of a hand-over that is theirs to see."""
    theirs = HandOver.objects.visible_to(request.user)
    rows = HandOverLine.objects.select_related(
        "hand_over__project", "hand_over__partner", "vessel"
    )
    return get_or_404(
        request, HandOverLine.objects.all(), rows.filter(hand_over__in=theirs), pk=pk
    )


@for_roles(HANDLING)
def take_back(request, pk):
    """Record that a vessel is back: empty, or weighed again."""
    line = line_of(request, pk)
    vessel = ledger.read(line.vessel_id)
    form = ReturnForm(request.POST or None, vessel=vessel)
    return answer(
        request,
        form,
        lambda **signed: returning.take_back(
            line,
            form.how(),
            place=form.cleaned_data["place"],
            note=form.cleaned_data["note"],
            **signed,
        ),
        summary,
        "inventory/return_form.html",
        context={
            "line": line,
            "vessel": vessel,
            "reported_ug": returning.reported_ug(line),
        },
        to=line.hand_over,
    )


@for_roles(ASKING)
def report(request, pk):
    """Record what a partner says was used of a vessel in their hands."""
    line = line_of(request, pk)
    if not handed.may_report(request.user, line.hand_over):
        raise PermissionDenied
    vessel = ledger.read(line.vessel_id)
    form = ReportForm(request.POST or None, material=vessel.batch.material)
    return answer(
        request,
        form,
        lambda **signed: returning.report(line, **form.facts_of_use(), **signed),
        summary,
        "inventory/report_form.html",
        context={"line": line, "vessel": vessel},
        to=line.hand_over,
    )
