"""The home page, finding a code, the link on a label, and the guide."""

from django.contrib import messages
from django.http import Http404
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone

from inventory.calc import codes
from inventory.models import (
    Batch,
    Material,
    Vessel,
)
from inventory.operations import addresses
from inventory.operations.access import ALL, INSIDE, KEEPING, for_roles
from inventory.operations.readings import Facts
from inventory.web import overview, pick_list, theirs, with_partner
from inventory.web.forms.needs import EnoughForm
from inventory.web.patterns import examples


@for_roles(ALL)
def home(request):
    """Answer the three daily uses at a glance; a partner sees their own projects."""
    if request.user.is_partner:
        context = with_partner.home(request.user)
        return render(request, "inventory/home_partner.html", context)
    facts = Facts.read()
    asked = request.GET if request.GET.get("need") else None
    form = EnoughForm(asked, materials=Material.objects.all())
    answer = None
    if form.is_valid():
        data = form.cleaned_data
        answer = overview.enough(data["material"], data["need"], facts, data["on"])
    context = {
        "holdings": overview.holdings(facts),
        "form": form,
        "answer": answer,
        "attention": overview.attention(),
        "today": timezone.localdate(),
    }
    return render(request, "inventory/home.html", context)


@for_roles(INSIDE)
def find(request):
    """Go to the vessel or batch that a typed code names, or search with the text."""
    text = request.GET.get("q", "").strip()
    try:
        parsed = codes.parse_code(text, addresses.hosts(request.get_host()))
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
    rows = Batch.objects.all()
    mine = theirs.batches(rows, request.user)
    record = theirs.get_or_404(request, rows, mine, code=batch.upper())
    if number is None:
        return redirect(record)
    vessel = theirs.vessels(request.user).filter(batch=record, number=number).first()
    if vessel is None:
        if record.vessels.filter(number=number).exists():
            theirs.refuse(request)
        raise Http404(f"Batch {record} has no vessel number {number}.")
    if request.user.is_staff_member and (booking := pick_list.under_way(request)):
        code = {"code": vessel.code}
        return redirect(reverse("booking-pick", args=[booking], query=code))
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
