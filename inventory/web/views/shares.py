"""Partner organisations, and their shares of the metal in a project."""

from django.contrib import messages
from django.http import Http404
from django.shortcuts import get_object_or_404, redirect
from django_tables2 import SingleTableView

from inventory.models import Partner, Project, Share
from inventory.operations import partners, shares
from inventory.operations.access import KEEPING, for_roles
from inventory.web.forms.shares import (
    NewShareForm,
    PartnerForm,
    ShareForm,
    terms_typed,
)
from inventory.web.forms.vessels import ReasonForm
from inventory.web.submit import answer, answer_with_reason
from inventory.web.tables import PartnerTable


class PartnerList(SingleTableView):
    table_class = PartnerTable
    queryset = Partner.objects.prefetch_related("projects")
    template_name = "inventory/partner_list.html"


partner_list = for_roles(KEEPING)(PartnerList.as_view())


@for_roles(KEEPING)
def partner_add(request):
    form = PartnerForm(request.POST or None)
    return answer(
        request,
        form,
        lambda **signed: partners.add(form.record_facts, **signed),
        lambda made: f"{made} can be a partner of projects now.",
        "inventory/register_form.html",
        context={"words": "partner", "back": "partner-list"},
        to="partner-list",
    )


@for_roles(KEEPING)
def partner_change(request, pk):
    record = get_object_or_404(Partner, pk=pk)
    names = ("name", "address", "email", "note")
    initial = {name: getattr(record, name) for name in names}
    form = PartnerForm(request.POST or None, record=record, initial=initial)
    return answer(
        request,
        form,
        lambda **signed: partners.change(record, form.record_facts, **signed),
        lambda made: f"{made} changed.",
        "inventory/register_form.html",
        context={"words": "partner", "record": record, "back": "partner-list"},
        to="partner-list",
    )


@for_roles(KEEPING)
def agree(request, pk):
    """Agree on a new share."""
    project = get_object_or_404(Project.objects.prefetch_related("partners"), pk=pk)
    form = NewShareForm(request.POST or None, project=project)
    return answer(
        request,
        form,
        lambda **signed: shares.set_share(
            project,
            form.cleaned_data["partner"],
            form.cleaned_data["material"],
            **form.terms(),
            **signed,
        ),
        lambda share: f"{share.partner} may have {shares.total(share)}.",
        "inventory/share_form.html",
        context={"project": project},
        to=project,
    )


@for_roles(KEEPING)
def change(request, pk):
    share = get_object_or_404(wanted(), pk=pk)
    form = ShareForm(request.POST or None, initial=terms_typed(share))
    return answer(
        request,
        form,
        lambda **signed: shares.set_share(
            share.project, share.partner, share.material, **form.terms(), **signed
        ),
        lambda changed: f"{changed.partner} may have {shares.total(changed)}.",
        "inventory/share_form.html",
        context={"project": share.project, "share": share},
        to=share.project,
    )


@for_roles(KEEPING)
def drop(request, pk):
    """Take a share back. A form that was sent before finds it gone already."""
    share = wanted().filter(pk=pk).first()
    if share is None:
        return dropped(request, pk)
    return answer_with_reason(
        request,
        lambda **signed: shares.drop(share, **signed),
        f"{share.partner} has no share of {share.material.name} any more.",
        "inventory/share_drop.html",
        context={"share": share},
    )


def dropped(request, pk):
    """Answer a form that was sent a second time, for a share that it took back."""
    entry = ReasonForm(request.POST).earlier
    if entry is None or (entry.verb, entry.subject_id) != ("share-drop", pk):
        raise Http404("There is no such share.")
    messages.warning(
        request,
        f"This form had been sent already: {entry.summary}. Nothing was recorded a "
        "second time.",
    )
    return redirect(entry.project)


def wanted():
    return Share.objects.select_related("project", "partner", "material")
