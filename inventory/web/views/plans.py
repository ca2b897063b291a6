"""Planning which vessels serve which requests, and reserving the plan chosen."""

from django.http import Http404
from django.shortcuts import redirect, render

from inventory.models import Vessel
from inventory.operations import planning, reserving
from inventory.operations.access import KEEPING, for_roles
from inventory.operations.readings import Facts
from inventory.web import plan_cards
from inventory.web.forms.planning import ReserveForm
from inventory.web.plan_choice import MOST_REQUESTS, Choice
from inventory.web.submit import carry_out, status_of


@for_roles(KEEPING)
def plan(request):
    """Offer plans for the requests that the address names, and reserve one of them."""
    choice = Choice.read(request.GET)
    form = ReserveForm(request.POST or None, auto_id="sent-%s")
    if form.is_valid() and (made := reserve(request, form)):
        return redirect(made[0] if len(made) == 1 else made[0].project)
    if not choice.asks:
        return offer(request, form)
    requests = choice.found()
    if not requests and choice.requests:
        raise Http404
    changes = changes_of(form)
    if "beyond_share" in form.errors:
        form.suggest(planning.reason_given(requests))
    first, more = requests[:MOST_REQUESTS], len(requests) > MOST_REQUESTS
    context = {
        **proposed(first, choice, ReserveForm() if changes else form),
        "more": more,
        "form": form,
        "changes": changes,
    }
    status = 409 if changes else status_of(form)
    return render(request, "inventory/plan.html", context, status=status)


def offer(request, form):
    """Answer an address that names nobody: with the requests there are to plan for."""
    waiting = planning.asked().waiting().order_by("needed_by", "pk")
    context = {"waiting": waiting, "form": form}
    return render(request, "inventory/plan_which.html", context, status=status_of(form))


def reserve(request, form):
    """Return the bookings of the plan sent, or None with the refusal on the form."""
    data = form.cleaned_data
    takes, seen = data["plan"]
    return carry_out(
        request,
        form,
        lambda: reserving.reserve(
            takes,
            seen=seen,
            expires_on=data["expires_on"],
            beyond_share=data["beyond_share"],
            by=request.user,
            request_id=data["request_id"],
        ),
        lambda made: " ".join(f"{each}: {each.entry.summary}." for each in made),
    )


def changes_of(form):
    """Return what changed since the plan sent was made, in sentences."""
    refusal = getattr(form, "refusal", None)
    return refusal.changes if isinstance(refusal, reserving.StockChanged) else []


def proposed(requests, choice, sent):
    """Return what the page shows of the plans for `requests`."""
    proposal = planning.propose(
        requests, pinned=choice.pinned, excluded=choice.left_out, sure=choice.sure
    )
    named = Vessel.objects.in_bulk(choice.left_out | choice.pinned)
    cards, common = plan_cards.cards(
        proposal, requests, choice, named=named, facts=Facts.read(), sent=sent
    )
    return {
        "choice": choice,
        "requests": requests,
        "proposal": proposal,
        "cards": cards,
        "common": common,
        "stands": any(card.form is sent for card in cards),
        "pinned": [
            (named[key], choice.unpin(key))
            for key in sorted(choice.pinned & named.keys())
        ],
        "left_out": [
            (named[key], choice.allow(key))
            for key in sorted(choice.left_out & named.keys())
        ],
    }
