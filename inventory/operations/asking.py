"""Metal asked for in a project: each request, and each step of the answer."""

from dataclasses import asdict

from inventory.models import (
    BookingLine,
    MetalRequest,
    Project,
    RequestState,
    RequestStep,
    StepKind,
)

from . import days, letters, log, shares
from .errors import OperationError
from .wanted import Terms, refuse_terms, terms

__all__ = [
    "Terms",
    "ask",
    "change",
    "decline",
    "grant",
    "grant_within",
    "hold",
    "may_take_back",
    "take_back",
    "terms",
]

LEADS_TO = {
    StepKind.ASKED: RequestState.ASKED,
    StepKind.GRANTED: RequestState.GRANTED,
    StepKind.CHANGED: RequestState.GRANTED,
    StepKind.DECLINED: RequestState.DECLINED,
    StepKind.WITHDRAWN: RequestState.WITHDRAWN,
}
VERBS = {
    StepKind.GRANTED: "request-grant",
    StepKind.CHANGED: "request-change",
    StepKind.DECLINED: "request-decline",
    StepKind.WITHDRAWN: "request-take-back",
}


@log.operation
def ask(
    project, *, partner, material, asked, need=None, vessel_count=None, is_whole=False,
    smallest_purity=None, needed_by, purpose, by, request_id,
):  # fmt: skip
    """Ask for metal for a `partner` of a project, or for this house; return the request.

    How much is a `need` of calc.units or a `vessel_count`; `asked` is how it was
    typed. A partner asks within the share of their own organisation.
    """
    project = log.lock(Project.objects.all(), project.pk)
    if earlier := log.repeated(request_id):
        return earlier.requests.get()
    refuse_asker(project, partner, by)
    wanted = terms(
        material,
        need=need,
        vessel_count=vessel_count,
        is_whole=is_whole,
        smallest_purity=smallest_purity,
        needed_by=needed_by,
    )
    refuse_terms(wanted)
    days.refuse(project, needed_by=wanted.needed_by)
    if partner:
        shares.refuse_asking(
            project,
            partner,
            material,
            mass_ug=wanted.mass_ug,
            vessel_count=wanted.vessel_count,
            smallest_purity=wanted.smallest_purity,
        )
    entry = log.write(
        "ask",
        f"Asked for {asked} of {material.name} for {partner or project}",
        by=by,
        request_id=request_id,
        project=project,
    )
    metal_request = MetalRequest.objects.create(
        project=project,
        partner=partner,
        material=material,
        asked=asked,
        purpose=purpose,
        entry=entry,
        **asdict(wanted),
    )
    letters.stepped(add_step(metal_request, StepKind.ASKED, wanted, entry=entry))
    return metal_request


def refuse_asker(project, partner, by):
    """Refuse a closed project, and whoever may not ask in it or for this partner."""
    refuse_closed(project)
    if partner and not project.partners.filter(pk=partner.pk).exists():
        raise OperationError(f"{partner} is no partner of this project.", "partner")
    if not by.is_partner:
        return
    member = project.memberships.filter(user=by).first()
    if member is None or not member.may_ask:
        raise OperationError("You may see this project, but not ask for metal in it.")
    if member.partner_id is None:
        raise OperationError(
            "Your organisation in this project is not noted yet. The keeper can add it."
        )
    if partner is None or partner.pk != member.partner_id:
        raise OperationError("Ask for your own organisation.", "partner")


def refuse_closed(project):
    if project.closed_on:
        raise OperationError("This project is closed.")


@log.operation
def grant(metal_request, *, reason="", by, request_id):
    """Grant a request as it was asked, and return it."""
    metal_request = lock(metal_request)
    if log.repeated(request_id):
        return metal_request
    refuse_answered(metal_request)
    refuse_closed(metal_request.project)
    if metal_request.state == RequestState.GRANTED:
        raise OperationError("This request is granted already.")
    return step(
        metal_request,
        StepKind.GRANTED,
        f"Granted request {metal_request.pk} as asked",
        reason=reason,
        by=by,
        request_id=request_id,
    )


@log.operation
def change(metal_request, *, terms, reason, by, request_id):
    """Grant a request on other `terms` (Terms), with the reason, and return it.

    This may go beyond the partner's share: the keeper decides, and says why.
    """
    metal_request = lock(metal_request)
    if log.repeated(request_id):
        return metal_request
    refuse_answered(metal_request)
    refuse_closed(metal_request.project)
    refuse_terms(terms)
    days.refuse(metal_request.project, needed_by=terms.needed_by)
    if terms == Terms.of(metal_request):
        raise OperationError("Nothing is changed. Grant it as asked instead.")
    return step(
        metal_request,
        StepKind.CHANGED,
        f"Granted request {metal_request.pk} with changes",
        wanted=terms,
        reason=reason,
        by=by,
        request_id=request_id,
    )


@log.operation
def decline(metal_request, *, reason, by, request_id):
    """Decline a request, and return it. Not while metal is booked for it."""
    metal_request = lock(metal_request)
    if log.repeated(request_id):
        return metal_request
    refuse_answered(metal_request)
    refuse_served(metal_request)
    return step(
        metal_request,
        StepKind.DECLINED,
        f"Declined request {metal_request.pk}",
        reason=reason,
        by=by,
        request_id=request_id,
    )


@log.operation
def take_back(metal_request, *, reason="", by, request_id):
    """Take a request back, by who asked or the keeper, and return it."""
    metal_request = lock(metal_request)
    if log.repeated(request_id):
        return metal_request
    if not may_take_back(metal_request, by):
        raise OperationError("Only who asked, or the keeper, may take a request back.")
    refuse_answered(metal_request)
    refuse_served(metal_request)
    return step(
        metal_request,
        StepKind.WITHDRAWN,
        f"Took back request {metal_request.pk}",
        reason=reason,
        by=by,
        request_id=request_id,
    )


def may_take_back(metal_request, user):
    """Return whether this person asked for it, or is the keeper."""
    return user.is_keeper or metal_request.entry.by_id == user.pk


def hold(metal_request, *, project, partner, material_ids):
    """Lock a request that metal is about to be booked for, and return it.

    Refuses one that was answered meanwhile, and metal, a project or a partner other
    than it asks for. The caller has locked the vessels already.
    """
    metal_request = lock(metal_request)
    refuse_answered(metal_request)
    theirs = (metal_request.project_id, metal_request.partner_id)
    if theirs != (project.pk, partner and partner.pk):
        raise OperationError(f"{metal_request} is of another project or partner.")
    if set(material_ids) - {metal_request.material_id}:
        raise OperationError(f"{metal_request} is for {metal_request.material.name}.")
    return metal_request


def grant_within(metal_request, *, entry):
    """Grant a locked request by what another log entry records, if it was only asked.

    No letter: the booking's own says more.
    """
    if metal_request.state == RequestState.ASKED:
        add_step(metal_request, StepKind.GRANTED, Terms.of(metal_request), entry=entry)


def lock(metal_request):
    """Return the request, held against other steps until the transaction ends."""
    rows = MetalRequest.objects.select_related("project", "partner", "material")
    return log.lock(rows.select_related("entry"), metal_request.pk)


def refuse_answered(metal_request):
    """Refuse a step on a request that was declined or taken back."""
    if not metal_request.is_pending:
        was = metal_request.get_state_display().lower()
        raise OperationError(f"This request was {was} already.")


def refuse_served(metal_request):
    """Refuse to end a request that metal is booked or was handed over for."""
    lines = BookingLine.objects.open().filter(booking__request=metal_request)
    if lines.exists():
        raise OperationError(
            "Metal is booked for this request. Have the booking released first."
        )
    now = MetalRequest.objects.with_booked().get(pk=metal_request.pk)
    if now.served_ug:
        raise OperationError(
            "Metal went out for this request already. It can only be granted with "
            "changes, to what went out."
        )


def step(metal_request, kind, summary, *, wanted=None, reason, by, request_id):
    """Record one step with its log entry, and return the request as it is now."""
    entry = log.write(
        VERBS[kind],
        f"{summary}: {reason}" if reason else summary,
        by=by,
        request_id=request_id,
        project=metal_request.project,
        subject_id=metal_request.pk,
    )
    wanted = wanted or Terms.of(metal_request)
    letters.stepped(add_step(metal_request, kind, wanted, entry=entry, reason=reason))
    return metal_request


def add_step(metal_request, kind, wanted, *, entry, reason=""):
    """Record a step, and return it; the request takes its terms and state."""
    for name, value in asdict(wanted).items():
        setattr(metal_request, name, value)
    metal_request.state = LEADS_TO[kind]
    metal_request.save(update_fields=[*Terms.__slots__, "state"])
    return RequestStep.objects.create(
        metal_request=metal_request,
        kind=kind,
        reason=reason,
        entry=entry,
        **asdict(wanted),
    )
