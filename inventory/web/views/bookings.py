"""The bookings that promise metal from chosen vessels."""

from django.db.models import F
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone

from inventory.calc.keys import keys
from inventory.models import Booking, BookingLine, Material, Vessel
from inventory.operations import bookings, expiring
from inventory.operations.access import ALL, KEEPING, for_roles
from inventory.operations.readings import Facts
from inventory.web import chances
from inventory.web.contents import drawing
from inventory.web.forms.bookings import BookingForm
from inventory.web.submit import answer_with_reason, carry_out, status_of
from inventory.web.theirs import get_or_404

MOST_TO_BOOK_FROM = 100


@for_roles(KEEPING)
def book(request):
    """Promise metal from chosen vessels, or from any that holds the chosen metal."""
    chosen = keys(request.GET.getlist("vessel"))
    material = Material.objects.filter(symbol=request.GET.get("material", "")).first()
    vessels = to_book_from(chosen, material, request.POST)
    form = BookingForm(
        request.POST or None,
        vessels=vessels,
        chosen=chosen,
        initial={"project": request.GET.get("project")},
    )
    if form.is_valid():
        data = form.cleaned_data
        made = carry_out(
            request,
            form,
            lambda: bookings.book(
                data["project"],
                wishes=form.wishes(),
                purpose=data["purpose"],
                needed_by=data["needed_by"],
                expires_on=data["expires_on"],
                partner=data["partner"],
                beyond_share=data["beyond_share"],
                note=data["note"],
                by=request.user,
                request_id=data["request_id"],
            ),
            lambda made: f"{made}: {made.entry.summary}.",
        )
        if made:
            return redirect(made)
    facts = Facts.read()
    context = {
        "form": form,
        "rows": [
            (vessel, tick, mass, drawing(vessel, facts, size="small"))
            for vessel, tick, mass in form.rows()
        ],
        "material": material,
        "materials": Material.objects.all(),
        "project": request.GET.get("project", ""),
    }
    return render(request, "inventory/book.html", context, status=status_of(form))


def to_book_from(chosen, material, posted):
    """Return the vessels a booking is made from, the opened ones first.

    Those that a sent form names, or that were chosen, stay even if nothing is free
    in them any more: the refusal needs its row.
    """
    vessels = Vessel.objects.for_list().filter(filled_on__isnull=False)
    named = keys(name.removeprefix("mass_") for name in posted)
    if named or chosen:
        vessels = vessels.filter(pk__in=named or chosen)
    elif material:
        vessels = vessels.filter(batch__material=material, free_ug__gt=0)
    else:
        return []
    return list(
        vessels.order_by(F("opened_on").asc(nulls_last=True), "pk")[:MOST_TO_BOOK_FROM]
    )


@for_roles(ALL)
def booking(request, pk):
    theirs = Booking.objects.visible_to(request.user).with_open()
    record = get_or_404(
        request,
        Booking.objects.all(),
        theirs.select_related("project", "partner", "entry__by"),
        pk=pk,
    )
    lines = record.lines.select_related("closed_by", "hand_over_line__hand_over")
    lines = list(lines.prefetch_related("movements"))
    vessels = Vessel.objects.for_list().in_bulk({line.vessel_id for line in lines})
    for line in lines:
        line.vessel = vessels[line.vessel_id]
        line.booking = record
        line.closed_at = closed_at(line)
        line.chance = chances.for_line(line) if line.is_open else None
    context = {
        "booking": record,
        "lines": lines,
        "can_go_on": any(map(expiring.can_go_on, lines)),
        "ends_in": ends_in(record),
    }
    return render(request, "inventory/booking.html", context)


def closed_at(line):
    """Return when what closed a line happened, which may be before it was recorded."""
    if line.closed_by is None:
        return None
    if hasattr(line, "hand_over_line"):
        return line.hand_over_line.hand_over.handed_at
    of_it = [
        each for each in line.movements.all() if each.entry_id == line.closed_by_id
    ]
    return of_it[0].happened_at if of_it else line.closed_by.recorded_at


def ends_in(booking):
    """Return how many days a booking still holds; None if that is longer than a week."""
    days = (booking.expires_on - timezone.localdate()).days
    return days if days <= expiring.SOON.days else None


@for_roles(KEEPING)
def release(request, pk):
    line = get_object_or_404(
        BookingLine.objects.select_related("vessel", "booking__project"), pk=pk
    )
    return answer_with_reason(
        request,
        lambda **signed: bookings.release(line, **signed),
        lambda line: line.closed_by.summary + ".",
        "inventory/release.html",
        context={"line": line},
        to=line.booking,
    )
