"""Reserving a plan: bookings for all its requests at once, or nothing."""

from dataclasses import dataclass
from uuid import uuid5

from django.utils import timezone

from inventory.calc.planning import Candidate, Demand
from inventory.models import Booking, MetalRequest, Project, Vessel

from . import asking, bookings, log, planning, shares, stock_changes
from .errors import OperationError


@dataclass(frozen=True, slots=True)
class Seen:
    """What a plan rests on, as its page showed it: its vessels and its requests."""

    candidates: tuple[Candidate, ...]
    demands: tuple[Demand, ...]


class StockChanged(OperationError):
    """What a plan rests on is no longer so; `changes` say what, one sentence each."""

    def __init__(self, changes):
        super().__init__("The stock changed since this was planned.")
        self.changes = changes


@log.operation
def reserve(takes, *, seen, expires_on=None, beyond_share="", by, request_id):
    """Book what a plan's `takes` say, one booking a request; return the bookings.

    `seen` is what the plan was made from: StockChanged if any of it is no longer so.
    A request that was only asked is granted by this. Locks the vessels in the order
    of their keys, then the requests, then their projects, each in the same order.
    `expires_on` and the reason `beyond_share` are as in `bookings.book`; the reason
    is kept where it is needed.
    """
    if not takes:
        raise OperationError("This plan takes nothing: there is nothing to book.")
    locked = bookings.lock_vessels([Vessel(pk=take.candidate) for take in takes])
    requests = locked_requests({take.demand for take in takes})
    ids = entry_ids(requests, request_id)
    if log.repeated(request_id):
        made = Booking.objects.filter(entry__request_id__in=ids.values())
        return list(made.order_by("request"))
    refuse_closed(requests)
    refuse_changed(seen, locked, requests)
    return [
        book(
            request,
            [take for take in takes if take.demand == request.pk],
            locked,
            expires_on=expires_on,
            beyond_share=beyond_share,
            by=by,
            request_id=ids[request.pk],
        )
        for request in requests
    ]


def locked_requests(keys):
    """Return the requests, locked in the order of their keys, then their projects."""
    rows = MetalRequest.objects.select_for_update(of=("self",), no_key=True)
    list(rows.filter(pk__in=keys).order_by("pk"))
    found = list(planning.asked().filter(pk__in=keys).order_by("pk"))
    held = Project.objects.select_for_update(of=("self",), no_key=True)
    held = held.filter(pk__in={request.project_id for request in found})
    projects = {project.pk: project for project in held.order_by("pk")}
    for request in found:
        request.project = projects[request.project_id]
    return found


def entry_ids(requests, request_id):
    """Return {request key: the id of its booking's log entry}; the first is as sent."""
    first, *others = [request.pk for request in requests]
    return {first: request_id} | {pk: uuid5(request_id, str(pk)) for pk in others}


def refuse_closed(requests):
    for request in requests:
        if request.project.closed_on:
            raise OperationError(f"{request.project} is closed.")


def refuse_changed(seen, locked, requests):
    """Refuse when a vessel or a request is not as the plan saw it, and say how."""
    changes = stock_changes.of_vessels(seen.candidates, locked)
    changes += stock_changes.of_requests(seen.demands, planning.demands(requests))
    if changes:
        raise StockChanged(changes)


def book(request, takes, locked, *, expires_on, beyond_share, by, request_id):
    """Grant a request if it was only asked, and book its takes; return the booking.

    A request whose day has passed is booked for today.
    """
    needed_by = max(request.needed_by, timezone.localdate())
    # One day for requests of several projects: each holds no longer than its own.
    expires_on = expires_on and bookings.no_longer(request.project, expires_on)
    bookings.refuse_dates(request.project, needed_by, expires_on)
    expires_on = expires_on or bookings.usual_end(request.project, needed_by)
    promises = [promise(locked[take.candidate], take) for take in takes]
    needed = shares.refuse_beyond(
        request.project, request.partner, promises, reason=beyond_share
    )
    booking = bookings.record(
        promises,
        project=request.project,
        partner=request.partner,
        request=request,
        purpose=request.purpose,
        needed_by=needed_by,
        expires_on=expires_on,
        beyond_share=needed,
        by=by,
        request_id=request_id,
    )
    asking.grant_within(request, entry=booking.entry)
    return booking


def promise(vessel, take):
    """Return the promise of a take; what it leaves free is what the next one finds."""
    made = bookings.promise(vessel, None if take.is_whole else take.mass_ug)
    vessel.promised_ug += made[1]
    vessel.free_ug -= made[1]
    return made
