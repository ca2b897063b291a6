"""What the tests of planning and reserving share: a plan, ready to be reserved."""

from inventory.models import BookingLine
from inventory.operations import planning, reserving, taking
from tests.factories import signed, take


def asked(*requests):
    """Return the requests as planning wants them."""
    keys = [request.pk for request in requests]
    return list(planning.asked().filter(pk__in=keys).order_by("needed_by", "pk"))


def proposed(*requests, **wishes):
    return planning.propose(asked(*requests), **wishes)


def chosen(*requests, at=0, **wishes):
    """Return (takes, seen) of one plan for the requests."""
    proposal = proposed(*requests, **wishes)
    takes = proposal.plans[at].takes
    seen = reserving.Seen(
        tuple(proposal.candidates[key] for key in {t.candidate for t in takes}),
        tuple(proposal.demands[key] for key in {t.demand for t in takes}),
    )
    return takes, seen


def reserve(takes, seen, **facts):
    return reserving.reserve(takes, seen=seen, **{**signed(), **facts})


def given(takes):
    """Return {vessel key: µg} of what takes take."""
    found = {}
    for each in takes:
        found[each.candidate] = found.get(each.candidate, 0) + each.mass_ug
    return found


def some(vessel, mass_ug):
    """Take so much out of a vessel, weighed in the receiver; this opens it."""
    return take(vessel, taking.Received(mass_ug, 100))


def promised():
    """Return {request key: {vessel key: µg}} of what is booked."""
    found = {}
    for line in BookingLine.objects.open().select_related("booking"):
        found.setdefault(line.booking.request_id, {})[line.vessel_id] = line.mass_ug
    return found
