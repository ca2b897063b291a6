"""The page of a print job, what will come out of it, and the PDF."""

from typing import Any, cast
from uuid import UUID

from django.http import (
    FileResponse,
    Http404,
    HttpRequest,
    HttpResponse,
    QueryDict,
    StreamingHttpResponse,
)
from django.http.response import HttpResponseBase
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from inventory.models import LabelPrint
from inventory.operations import addresses
from inventory.operations.access import HANDLING, for_roles
from inventory.operations.errors import OperationError
from labels import kept, making, shown
from labels.content import base_url
from labels.forms.jobs import DEFAULTS, KEPT, JobForm
from labels.forms.reasons import ReasonForm
from labels.jobs import Job, Run
from labels.wording import CannotPrint

MOST_TICKS = 200
# More labels than these are laid out under the eyes of whoever waits for them.
AT_ONCE = 40


@for_roles(HANDLING)
@require_http_methods(["GET", "POST"])
def print_labels(request: HttpRequest) -> HttpResponseBase:
    """Show the job that the address asks for; or print what was shown."""
    if request.method == "POST":
        return make(request)
    form = job_form(request, request.GET)
    return page(request, form)


def job_form(request: HttpRequest, query: QueryDict) -> JobForm:
    hosts = addresses.hosts(request.get_host())
    return JobForm(asked(request, query), hosts=hosts)


def asked(request: HttpRequest, query: QueryDict) -> QueryDict:
    """Return what was asked for; what was not is as in the last job."""
    data = query.copy()
    last = {} if "format" in data else request.session.get("labels", {})
    for name, value in {**DEFAULTS, **last}.items():
        data.setdefault(name, value)
    return data


def page(
    request: HttpRequest, form: JobForm, reason: ReasonForm | None = None
) -> HttpResponse:
    """Answer with the page; 422 where something of it was refused."""
    context = {"form": form, **outcome(request, form, reason)}
    wrong = form.errors or (reason and reason.errors)
    return render(request, "labels/print.html", context, status=422 if wrong else 200)


@for_roles(HANDLING)
def preview(request: HttpRequest) -> HttpResponse:
    """Answer the page's script with the part that shows what will come out."""
    form = job_form(request, request.GET)
    context = {"form": form, **outcome(request, form)}
    return render(request, "labels/_outcome.html", context)


def outcome(
    request: HttpRequest, form: JobForm, reason: ReasonForm | None = None
) -> dict[str, Any]:
    """Return what is shown of a job: its labels, its sheet, and how to print it."""
    form.is_valid()
    found: dict[str, Any] = {"count": form.count, "ticks": None}
    if 0 < form.count <= MOST_TICKS:
        found["ticks"] = list(form.choice.vessels())
        form.data = spelt_out(form, found["ticks"])
    if form.errors:
        return found
    if not form.count:
        return {"nothing_chosen": True}
    job = form.job
    vessels = shown.page_of(job, form.data.get("page"))
    try:
        labels = shown.shown(job, list(vessels), base_url(request))
    except CannotPrint as error:
        return {**found, "stopped": str(error)}
    again = had_labels(job)
    return {
        **found,
        "job": job,
        "vessels": vessels,
        "labels": labels,
        "reason": reason or ReasonForm(again=again, initial=first_reason(labels)),
        "again": again,
        "spots": shown.spots(job.sheet, job.used),
        "query": query_of(form),
    }


def spelt_out(form: JobForm, ticks: list[Any]) -> QueryDict:
    """Return the job with every vessel named: those are ticked, and can be unticked.

    What was refused stays as it was typed.
    """
    data = sent(form).copy()
    data.setlist("vessel", [str(vessel.pk) for vessel in ticks])
    for name in ("codes", "batch", "place"):
        if name not in form.errors:
            data.pop(name, None)
    return data


def sent(form: JobForm) -> QueryDict:
    """Return what a form was sent with: `asked` made it."""
    return cast(QueryDict, form.data)


def first_reason(labels: list[shown.Shown]) -> dict[str, str]:
    """Suggest why: where every label here was overtaken, that is the reason."""
    changed = all(label.state and label.state.is_out_of_date for label in labels)
    return {"reason": "changed"} if changed else {}


def had_labels(job: Job) -> bool:
    """Whether a vessel of the job had a label before; boxes and places need no why."""
    if not job.format.of_vessel:
        return False
    keys = job.vessels.order_by().values("pk")
    return bool(LabelPrint.objects.filter(vessel__in=keys).exists())


def query_of(form: JobForm) -> list[tuple[str, str]]:
    """Return the job as hidden fields, so that what is shown is what is printed."""
    left_out = {"used", "page", "csrfmiddlewaretoken", "request_id", "reason", "other"}
    return [
        (name, value)
        for name, values in sent(form).lists()
        for value in values
        if name in form.fields and name not in left_out and value
    ]


def make(request: HttpRequest) -> HttpResponseBase:
    """Print the job: one entry in the log for each label, and the PDF."""
    form = job_form(request, request.POST)
    if form.is_valid() and not form.count:
        form.add_error(None, "Choose at least one vessel that holds metal.")
    again = form.is_valid() and had_labels(form.job)
    reason = ReasonForm(request.POST, again=again)
    if not (form.is_valid() and reason.is_valid()):
        return page(request, form, reason)
    job_id = reason.cleaned_data["request_id"]
    run = Run(form.job, base_url(request))
    try:
        count = run.read()
        remember(request, form)
        if count > AT_ONCE:
            steps = making.page(request, run, reason.words, job_id)
            return StreamingHttpResponse(steps)
        finish(request, run, reason)
    except CannotPrint as error:
        form.add_error(None, str(error))
    except OperationError as error:
        reason.add_error(error.field, str(error))
    else:
        return redirect("labels:file", job=job_id)
    return page(request, form, reason)


def finish(request: HttpRequest, run: Run, reason: ReasonForm) -> None:
    """Lay everything out, draw it, and only then record that it was printed."""
    for _ in run.lay_out():
        pass
    making.record(request.user, run, reason.words, reason.cleaned_data["request_id"])


def remember(request: HttpRequest, form: JobForm) -> None:
    """Begin the next job as this one was."""
    request.session["labels"] = {
        name: form.data[name] for name in KEPT if form.data.get(name)
    }


@for_roles(HANDLING)
def file(request: HttpRequest, job: UUID) -> FileResponse:
    """Answer with a finished PDF, to whoever made it and for an hour."""
    path = kept.find(request.user, job)
    if path is None:
        raise Http404(
            "This PDF is not kept any more, or it is somebody else's. The log says "
            "what was printed; print it again from there."
        )
    name = f"labels-{timezone.localdate():%Y-%m-%d}.pdf"
    return FileResponse(path.open("rb"), filename=name)
