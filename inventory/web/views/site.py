"""The home page, finding a code, the link on a label, and the guide."""

from django.contrib import messages
from django.http import Http404
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone

from inventory.calc import codes
from inventory.models import (
    Batch,
    Booking,
    BookingLine,
    Material,
    Project,
    Vessel,
)
from inventory.operations.access import ALL, INSIDE, KEEPING, for_roles
from inventory.operations.readings import Facts
from inventory.web import overview
from inventory.web.forms.needs import EnoughForm
from inventory.web.patterns import examples


@for_roles(ALL)
def home(request):
    """Answer the three daily uses at a glance; a partner sees their own projects."""
    if request.user.is_partner:
        return partner_home(request)
    facts = Facts.read()
    asked = request.GET if request.GET.get("need") else None
    form = EnoughForm(asked, materials=Material.objects.all())
    answer = None
    if form.is_valid():
        data = form.cleaned_data
        answer = overview.enough(data["material"], data["need"], facts)
    context = {
        "holdings": overview.holdings(facts),
        "form": form,
        "answer": answer,
        "attention": overview.attention(),
        "today": timezone.localdate(),
    }
    return render(request, "inventory/home.html", context)


def partner_home(request):
    projects = Project.objects.visible_to(request.user).open()
    bookings = (
        Booking.objects.with_open()
        .filter(project__in=projects, is_open=True)
        .select_related("project")
    )
    context = {"projects": projects, "bookings": bookings}
    return render(request, "inventory/home_partner.html", context)


@for_roles(INSIDE)
def find(request):
    """Go to the vessel or batch that a typed code names, or search with the text."""
    text = request.GET.get("q", "").strip()
    try:
        parsed = codes.parse_code(text)
    except codes.CodeError as error:
        if text and Vessel.objects.filter(glass_mark__iexact=text).exists():
            return redirect(reverse("vessel-list", query={"q": text}))
        messages.error(request, f"“{text[:40]}” was not found. {error}")
        return redirect(reverse("vessel-list", query={"state": "all"}))
    batch = Batch.objects.filter(code=parsed.batch).first()
    if batch is None:
        messages.error(request, f"There is no batch {parsed.batch} here.")
        return redirect("batch-list")
    if parsed.number is None:
        return redirect(batch)
    vessel = batch.vessels.filter(number=parsed.number).first()
    if vessel is None:
        messages.error(request, f"Batch {batch} has no vessel number {parsed.number}.")
        return redirect(batch)
    return redirect(vessel)


@for_roles(ALL)
def scanned(request, batch, number=None):
    """Open the batch record that a label's code leads to, its vessel marked.

    What is not theirs answers a partner as what does not exist.
    """
    record = get_object_or_404(Batch, code=batch.upper())
    theirs = record.vessels.all()
    if request.user.is_partner:
        theirs = theirs.filter(pk__in=BookingLine.objects.offered_to(request.user))
        if not theirs:
            raise Http404("There is no such batch among what is booked for you.")
    if number is None:
        return redirect(record)
    vessel = theirs.filter(number=number).first()
    if vessel is None:
        raise Http404(f"Batch {record} has no vessel number {number}.")
    return redirect(
        reverse(
            "batch",
            args=[record.code],
            query={"vessel": vessel.number},
            fragment=f"vessel-{vessel.number}",
        )
    )


@for_roles(INSIDE)
def scanned_place(request, pk):
    """Open the place that a sign's code leads to."""
    return redirect("place", pk=pk)


@for_roles(ALL)
def guide(request):
    return render(request, "inventory/guide.html")


@for_roles(KEEPING)
def patterns(request):
    """Show every component in every state, for whoever changes the look."""
    return render(request, "inventory/patterns.html", examples(request))


def forbidden(request, exception=None):
    return render(request, "403.html", status=403)


def not_found(request, exception=None):
    """Say in our words why, where we know; Django's own reasons are for machines."""
    reason = exception.args[0] if exception and exception.args else ""
    known = isinstance(reason, str) and not reason.startswith("No ")
    return render(request, "404.html", {"why": reason if known else ""}, status=404)
