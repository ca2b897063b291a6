"""Letters about requests and bookings, by e-mail, to those whom they concern.

A letter goes out after what it tells of is on record, and its failure changes nothing:
it is logged. Each goes to one person or organisation, so that nobody learns the
addresses of others. Without an address nobody is written to.
"""

import logging

from django.conf import settings
from django.core import mail
from django.db import transaction
from django.db.models import Q

from inventory.calc.units import show_mass
from inventory.models import MemberRole, Role, StepKind, User
from inventory.models.bookings import mass_words

log = logging.getLogger("inventory.letters")

DAY = "{0.day} {0:%b %Y}"
SAFETY = (
    "The metal catches fire in air and reacts violently with water. The label and the "
    "hand-over sheet say how it is handled. Your own safety office's rules come first."
)


def stepped(step):
    """Tell of one step of a request: to the leads, who asked, and the organisation.

    The keepers hear of a new one too.
    """
    metal_request = step.metal_request
    by = step.entry.by
    to = concerned(metal_request.project, metal_request.partner, metal_request.entry.by)
    if step.kind == StepKind.ASKED:
        keepers = User.objects.filter(role=Role.KEEPER, is_active=True)
        to |= addresses(keepers.exclude(pk=by and by.pk))
    lines = [
        f"{metal_request} in the project {metal_request.project}: "
        f"{step.get_kind_display().lower()}.",
        "",
        f"Metal: {step.words_with(metal_request.material)}",
        f"Needed by: {day(step.needed_by)}",
        f"Purpose: {metal_request.purpose}",
    ]
    if step.reason:
        lines += [f"Reason: {step.reason}"]
    send(
        f"{metal_request}: {step.get_kind_display().lower()}", lines, metal_request, to
    )


def booked(booking):
    """Tell of a booking just made: what is promised, and until when."""
    about_booking(
        booking,
        "booked",
        f"{promised(booking)} is promised to you in the project {booking.project}.",
        f"The promise holds until the end of {day(booking.expires_on)}.",
    )


def expiring(booking):
    """Tell that a booking ends soon."""
    about_booking(
        booking,
        "ends soon",
        f"The promise of {promised(booking)} in the project {booking.project} ends "
        f"with {day(booking.expires_on)}.",
        "What was not fetched by then is free for others. The keeper can extend it.",
    )


def expired(booking):
    """Tell that a booking has ended."""
    about_booking(
        booking,
        "has ended",
        f"The promise in the project {booking.project} ended with "
        f"{day(booking.expires_on)}. What was not fetched is free for others now.",
        "If the metal is still needed, ask for it again.",
    )


def handed_over(hand_over):
    """Tell that vessels passed into a partner's hands, and what comes back when."""
    rows = hand_over.lines.select_related("vessel__batch__material").order_by("id")
    lines = [
        f"Handed over in the project {hand_over.project}, to {hand_over.partner}:",
        "",
    ]
    for row in rows:
        metal = row.vessel.batch.material.name
        back = f", back by {day(row.return_by)}" if row.return_by else ""
        lines.append(
            f"- {row.vessel}: {show_mass(row.mass_ug, row.u_ug)} of {metal}{back}"
        )
    to = concerned(hand_over.project, hand_over.partner, None)
    send(f"{hand_over}: with you now", [*lines, "", SAFETY], hand_over, to)


def about_booking(booking, what, *sentences):
    """Send a letter about a booking to whom it concerns."""
    asker = booking.request and booking.request.entry.by
    lines = [*sentences, "", f"For: {booking.purpose}"]
    lines += [f"Needed by: {day(booking.needed_by)}"]
    to = concerned(booking.project, booking.partner, asker)
    send(f"{booking}: {what}", lines, booking, to)


def promised(booking):
    """Return the words for what a booking still promises."""
    lines = booking.lines.filter(closed_by=None)
    return mass_words(lines.by_metal())


def day(when):
    """Return a day as it is written on the pages."""
    return DAY.format(when)


def concerned(project, partner, asker):
    """Return the addresses of the leads, of who asked, and of the organisation.

    A lead of another organisation is told nothing.
    """
    leads = project.memberships.filter(role=MemberRole.LEAD)
    ours = Q(partner=partner) | ~Q(user__role=Role.PARTNER)
    people = User.objects.filter(memberships__in=leads.filter(ours))
    if asker:
        people = people | User.objects.filter(pk=asker.pk)
    found = addresses(people.filter(is_active=True))
    if partner and partner.email:
        found[partner.email.lower()] = partner.email
    return found


def addresses(people):
    """Return {folded address: address} of those who have one."""
    rows = people.exclude(email="").values_list("email", flat=True)
    return {email.lower(): email for email in rows}


def send(subject, lines, about, to):
    """Write to each address once what is told is on record."""
    subject = " ".join(f"Tarebook: {subject}".split())
    link = settings.PUBLIC_URL and settings.PUBLIC_URL + about.get_absolute_url()
    body = "\n".join([*lines, "", *([link, ""] if link else [])])
    letters = [
        mail.EmailMessage(subject, body, to=[address]) for address in to.values()
    ]
    if letters:
        transaction.on_commit(lambda: deliver(letters), robust=True)


def deliver(letters):
    """Send letters one by one: one bad address keeps no other from arriving."""
    try:
        with mail.get_connection() as connection:
            for letter in letters:
                try:
                    connection.send_messages([letter])
                except (OSError, ValueError):
                    log.exception("The letter “%s” was not sent.", letter.subject)
    except OSError:
        log.exception("%d letters were not sent: no mail server.", len(letters))
