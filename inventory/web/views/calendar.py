"""A person's calendar: the private link to it, and what other programs read there."""

from django.conf import settings
from django.contrib.auth.decorators import login_not_required
from django.http import Http404, HttpResponse
from django.urls import reverse
from django.utils.timezone import localdate as today
from django.views.decorators.http import require_safe

from inventory.operations import agenda, calendars
from inventory.operations.access import ALL, for_roles
from inventory.web import feed
from inventory.web.fields import RecordForm
from inventory.web.submit import answer

JUST_MADE = "calendar_token"
MOST_SHOWN = 30


@for_roles(ALL)
def calendar(request):
    """Show whether a link stands, and make a new one; its address is shown once."""
    form = RecordForm(request.POST or None)
    token = "" if request.method == "POST" else request.session.pop(JUST_MADE, "")
    dues = agenda.of_user(request.user, since=today(), most=MOST_SHOWN + 1)
    context = {
        "link": calendars.standing(request.user).first(),
        "address": token and base(request) + reverse("calendar-feed", args=[token]),
        "dues": dues[:MOST_SHOWN],
        "more": len(dues) > MOST_SHOWN,
    }

    def make(**signed):
        link = calendars.make_link(request.user, **signed)
        # The answer to a form sent twice may be the only one that is seen.
        if token := getattr(link, "token", ""):
            request.session[JUST_MADE] = token
        return link

    return answer(
        request,
        form,
        make,
        "A new link is made. Any earlier one opens nothing any more.",
        "inventory/calendar.html",
        context=context,
        to=reverse("calendar"),
    )


@for_roles(ALL)
def revoke(request):
    form = RecordForm(request.POST or None)
    return answer(
        request,
        form,
        lambda **signed: calendars.revoke(request.user, **signed),
        "The link is revoked. It opens nothing any more.",
        "inventory/calendar_revoke.html",
        to=reverse("calendar"),
    )


@login_not_required
@require_safe
def read(request, token):
    """Answer whoever has the link, as programs do that cannot log in."""
    owner = calendars.owner_of(token)
    if owner is None:
        raise Http404("There is no such calendar.")
    response = HttpResponse(
        feed.written(agenda.of_user(owner), "Tarebook"),
        content_type="text/calendar; charset=utf-8",
    )
    response["Cache-Control"] = "private, no-cache"
    response["Content-Disposition"] = 'inline; filename="tarebook.ics"'
    return response


def base(request):
    """Return the address under which others reach us."""
    return settings.PUBLIC_URL or f"{request.scheme}://{request.get_host()}"
