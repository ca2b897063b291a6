"""What is looked after, made by the operations that the pages use."""

from datetime import timedelta

import time_machine
from django.utils import timezone

from inventory.models import HandOver, HandOverLine
from inventory.operations import inspections
from tests.factories import earlier, make_booking, make_partner, make_project, signed


def in_days(days):
    return timezone.localdate() + timedelta(days=days)


def days_ago(days):
    """Do what is done inside so many days ago; afterwards it is today again."""
    return time_machine.travel(timezone.now() - timedelta(days=days))


def make_inspection(vessel, *, seal="tight", **facts):
    """Return a look at a vessel, today unless said otherwise."""
    facts = {"looked_on": timezone.localdate(), **facts}
    return inspections.record(vessel, seal=seal, **facts, **signed())


def lend(vessel, *, back_in, expected_ug, u_ug=0, project=None, to=None):
    """Put a vessel into a partner's hands, to be back in so many days.

    Written straight into the record: how it is handed over is tested elsewhere.
    """
    partner = to or make_partner()
    project = project or make_project(partner=partner)
    booking = make_booking(vessel, project=project, partner=partner)
    line, entry = booking.lines.get(), booking.entry
    line.closed_by = entry
    line.save()
    hand_over = HandOver.objects.create(
        project=project, partner=partner, handed_at=earlier(), entry=entry
    )
    vessel.custodian, vessel.place = partner, None
    vessel.save(update_fields=["custodian", "place"])
    return HandOverLine.objects.create(
        hand_over=hand_over,
        vessel=vessel,
        booking_line=line,
        mass_ug=line.mass_ug,
        u_ug=u_ug,
        return_by=in_days(back_in),
        expected_ug=expected_ug,
        entry=entry,
    )
