"""Requests: metal asked for in a project, and the keeper's answers."""

from django.shortcuts import render
from django_filters.views import FilterView
from django_tables2 import SingleTableMixin

from inventory.calc.units import show_count
from inventory.models import Material, MetalRequest, Project
from inventory.operations import asking
from inventory.operations.access import ALL, ASKING, KEEPING, for_roles
from inventory.web import asked
from inventory.web.forms.asking import AskForm, ChangeForm, GrantForm, terms_of
from inventory.web.request_list import RequestFilter, RequestTable
from inventory.web.submit import answer, answer_with_reason
from inventory.web.theirs import get_or_404


class RequestList(SingleTableMixin, FilterView):
    filterset_class = RequestFilter
    table_class = RequestTable
    template_name = "inventory/request_list.html"

    def get_queryset(self):
        return asked.requests().visible_to(self.request.user)

    def get_table_kwargs(self):
        return {"exclude": ["partner"] if self.request.user.is_partner else []}

    def get_filterset_kwargs(self, filterset_class):
        kwargs = super().get_filterset_kwargs(filterset_class)
        return {**kwargs, "data": self.request.GET}


request_list = for_roles(ALL)(RequestList.as_view())


@for_roles(ALL)
def request_page(request, pk):
    record = found(request, pk)
    context = {
        **shown(request, record),
        "history": asked.history(record, request.user),
        "may_take_back": asking.may_take_back(record, request.user),
    }
    return render(request, "inventory/request.html", context)


@for_roles(ASKING)
def add(request, pk):
    """Ask for metal in a project: a partner, for their organisation alone."""
    project = get_or_404(
        request,
        Project.objects.all(),
        Project.objects.visible_to(request.user),
        pk=pk,
    )
    theirs = None
    choices = {"organisations": project.partners.all()}
    if request.user.is_partner:
        theirs = project.memberships.select_related("partner").get(user=request.user)
        shared = Material.objects.filter(
            shares__project=project, shares__partner=theirs.partner
        )
        choices = {"materials": shared}
    initial = {name: request.GET.get(name) for name in ("material", "partner")}
    form = AskForm(request.POST or None, initial=initial, **choices)

    def operate(**signed):
        partner = theirs.partner if theirs else form.cleaned_data["partner"]
        return asking.ask(project, partner=partner, **form.wishes(), **signed)

    return answer(
        request,
        form,
        operate,
        lambda made: f"{made}: {made.entry.summary}. The keeper will answer it.",
        "inventory/request_form.html",
        context={
            "project": project,
            "member": theirs,
            "may_ask": not theirs or (theirs.may_ask and theirs.partner_id),
        },
    )


@for_roles(KEEPING)
def grant(request, pk):
    record = found(request, pk)
    form = GrantForm(request.POST or None)
    return answer(
        request,
        form,
        lambda **signed: asking.grant(record, **form.facts, **signed),
        f"{record} is granted.",
        "inventory/request_grant.html",
        context=shown(request, record),
    )


@for_roles(KEEPING)
def change(request, pk):
    record = found(request, pk)
    form = ChangeForm(request.POST or None, initial=terms_of(record))

    def operate(**signed):
        terms = form.instead(record.material)
        reason = form.cleaned_data["reason"]
        return asking.change(record, terms=terms, reason=reason, **signed)

    return answer(
        request,
        form,
        operate,
        f"{record} is granted with changes.",
        "inventory/request_change.html",
        context=shown(request, record),
    )


@for_roles(KEEPING)
def decline(request, pk):
    record = found(request, pk)
    return answer_with_reason(
        request,
        lambda **signed: asking.decline(record, **signed),
        f"{record} is declined.",
        "inventory/request_decline.html",
        context=shown(request, record),
    )


@for_roles(ASKING)
def take_back(request, pk):
    record = found(request, pk)
    form = GrantForm(request.POST or None)
    form.fields["reason"].label = "Reason"
    return answer(
        request,
        form,
        lambda **signed: asking.take_back(record, **form.facts, **signed),
        f"{record} is taken back.",
        "inventory/request_take_back.html",
        context=shown(request, record),
    )


def found(request, pk):
    """Return the request of this key, if this person may see it."""
    return get_or_404(
        request,
        MetalRequest.objects.all(),
        asked.requests().visible_to(request.user),
        pk=pk,
    )


def shown(request, record):
    """Return what every page about a request says of it.

    What is free is nothing that a partner learns.
    """
    context = {"metal_request": record, "asked_words": asked.words_of(record)}
    if not request.user.is_partner:
        context["free_ug"], count = asked.free_now(record.material)
        context["free_words"] = f"in {show_count(count, 'vessel')}"
    return context
