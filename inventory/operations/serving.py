"""More or less metal than a booking's line promises: what serves it, and what is left.

A drawn aliquot never hits its mass. Within 2 % or twice the uncertainty of what was
taken, whichever is more, it counts as what was promised; this is our own choice.
"""

from inventory.calc.units import show_mass
from inventory.models import Vessel

from . import bookings, shares
from .errors import NotEnough, OperationError

HIT = 0.02


def is_clear(difference_ug, line, u_ug):
    """Return whether a mass differs clearly from what a line promises."""
    return difference_ug > max(HIT * line.mass_ug, 2 * u_ug)


def refuse_surplus(line, vessel, mass_ug, u_ug, *, held=True):
    """Refuse clearly more than a line promises, unless the partner's share allows it.

    Return what is taken beyond the line, in µg, 0 if that is not clear. The surplus
    is held to the share even where the booking went beyond it with a reason: that
    was for what the booking promised. `held` locks the share, in a transaction.
    """
    surplus_ug = mass_ug - line.mass_ug
    if not is_clear(surplus_ug, line, u_ug):
        return 0
    booking = line.booking
    if held:
        shares.hold(booking.project, booking.partner)
    against = shares.against(
        booking.project, booking.partner, [(vessel, surplus_ug, False)], would="take"
    )
    if against:
        raise NotEnough(
            f"{booking} promises {show_mass(line.mass_ug)} of {vessel}; this is "
            f"{show_mass(surplus_ug)} more. {' '.join(against)} Have the keeper book "
            "more first.",
            wanted_ug=mass_ug,
            available_ug=line.mass_ug,
        )
    return surplus_ug


def go_with(line, source, drawn, u_ug, *, settle):
    """Let a closed line's promise go with an aliquot, `drawn` into a vessel of its own.

    What the line promised and was clearly not drawn stays promised in the `source`,
    unless this settles it.
    """
    bookings.promise_drawn(line, drawn)
    mass_ug = Vessel.objects.with_remaining().get(pk=drawn.pk).remaining_ug
    if settle or not is_clear(line.mass_ug - mass_ug, line, u_ug):
        return
    booking = line.booking
    # The rest is promised already; but of one vessel it may make two.
    if not booking.beyond_share and (
        against := shares.too_many(booking.project, booking.partner, source)
    ):
        raise OperationError(
            f"{' '.join(against)} Tick that this settles the booking.", "settle"
        )
    bookings.keep_rest(line, mass_ug)
