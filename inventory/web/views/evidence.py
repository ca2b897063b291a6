"""What vouches for a batch: assays, and the files kept with it."""

from io import BytesIO

from csp.constants import HEADER as CSP
from django.contrib import messages
from django.http import FileResponse, Http404
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.cache import get_conditional_response

from inventory.calc import purity
from inventory.models import Assay, Attachment, Batch
from inventory.operations import attachments, evidence, uploads
from inventory.operations.access import ALL, HANDLING, for_roles
from inventory.web import theirs
from inventory.web.forms.evidence import (
    AssayForm,
    AttachmentForm,
    ImpurityForm,
    ImpurityRows,
    found,
)
from inventory.web.submit import (
    answer,
    answer_with_reason,
    carry_out,
    status_of,
    summary,
)

NOT_THERE = (
    "The file of this record is not where files are kept. Whoever runs the server can "
    "bring it back from the backup."
)


@for_roles(HANDLING)
def assay(request, code):
    """Record an assay, its impurities one a row; rows with nothing are left out."""
    batch = get_object_or_404(Batch.objects.select_related("material"), code=code)
    if "more" in request.POST:
        return with_more_rows(request, batch)
    form = AssayForm(request.POST or None, batch=batch)
    rows = ImpurityRows(
        request.POST or None, form_kwargs={"symbol": batch.material.symbol}
    )
    both_valid = form.is_valid() & rows.is_valid()
    if both_valid and (made := record(request, batch, form, rows)):
        warn_of_contradiction(request, made)
        return redirect(f"{batch.get_absolute_url()}#purity")
    return assay_page(request, batch, form, rows, status=status_of(form, *rows))


def record(request, batch, form, rows):
    """Record the assay; return it, or None if it was refused."""
    facts = form.facts
    return carry_out(
        request,
        form,
        lambda: evidence.record_assay(
            batch,
            facts,
            found(rows),
            by=request.user,
            request_id=form.cleaned_data["request_id"],
        ),
        summary,
        rows=rows,
    )


def warn_of_contradiction(request, made):
    """Say that the impurities do not go with the purity; both are on record."""
    contents = [
        purity.Content(each.fraction, each.unit, each.below)
        for each in made.impurities.all()
    ]
    if sentence := purity.contradiction(made.purity, contents):
        messages.warning(request, f"{sentence} Both are recorded.")


def with_more_rows(request, batch):
    """Show what was typed again, as it was typed, with six more rows below."""
    names = ImpurityForm.base_fields
    typed = ImpurityRows(request.POST)
    rows = [{name: row[name].value() for name in names} for row in typed]
    form = AssayForm(initial=request.POST.dict(), batch=batch)
    return assay_page(request, batch, form, ImpurityRows(initial=rows))


def assay_page(request, batch, form, rows, status=200):
    context = {"form": form, "rows": rows, "batch": batch}
    return render(request, "inventory/assay_form.html", context, status=status)


@for_roles(HANDLING)
def strike_assay(request, pk):
    record = get_object_or_404(
        Assay.objects.recorded().select_related("batch", "entry"), pk=pk
    )
    return answer_with_reason(
        request,
        lambda **signed: evidence.withdraw_assay(record, **signed),
        summary,
        "inventory/assay_strike.html",
        context={"assay": record, "batch": record.batch},
        to=f"{record.batch.get_absolute_url()}#purity",
    )


@for_roles(HANDLING)
def attach(request, code):
    batch = get_object_or_404(Batch, code=code)
    form = AttachmentForm(request.POST or None, request.FILES or None)
    return answer(
        request,
        form,
        lambda **signed: attachments.attach(batch, **form.attachment(), **signed),
        summary,
        "inventory/attachment_form.html",
        context={"batch": batch},
        to=f"{batch.get_absolute_url()}#files",
    )


@for_roles(HANDLING)
def strike_attachment(request, pk):
    record = get_object_or_404(
        Attachment.objects.recorded().select_related("batch", "entry"), pk=pk
    )
    return answer_with_reason(
        request,
        lambda **signed: attachments.withdraw(record, **signed),
        summary,
        "inventory/attachment_strike.html",
        context={
            "attachment": record,
            "batch": record.batch,
            "assays": record.assays.standing(),
        },
        to=f"{record.batch.get_absolute_url()}#files",
    )


@for_roles(ALL)
def attachment(request, pk):
    """Answer with a file itself: a picture to look at, a document to be saved."""
    record = visible(request, pk)
    return served(
        request,
        record.file,
        record.sha256,
        as_attachment=not record.is_picture,
        filename=name_of(record),
        content_type=record.media_type,
    )


@for_roles(ALL)
def thumbnail(request, pk):
    record = visible(request, pk)
    if not record.thumbnail:
        raise Http404("There is no small picture of this file.")
    return served(
        request,
        record.thumbnail,
        f"{record.sha256}-small",
        filename="thumbnail.jpg",
        content_type="image/jpeg",
    )


def visible(request, pk):
    """Return the attachment, if it is one that this person may see."""
    rows = Attachment.objects.select_related("batch")
    mine = rows.visible_to(request.user)
    return theirs.get_or_404(request, rows.standing(), mine, pk=pk)


def name_of(attachment):
    """Return the name under which a file is saved: its batch, its name, its type."""
    type_ = uploads.type_of(attachment.media_type)
    name = attachment.name.replace("/", "-")  # No folder: the header drops its part.
    if uploads.ending(name) not in type_.endings:
        name = f"{name}.{type_.endings[0]}"
    return f"{attachment.batch.code} {name}"


def served(request, file, tag, **how):
    """Answer with a file that can do nothing, and that is asked for anew every time.

    On a shared computer a kept copy would be shown to whoever signs in next; so the
    browser asks, and is told if its copy is still the file.
    """
    response = get_conditional_response(request, etag=f'"{tag}"')
    if response is None:
        try:
            with file.open("rb") as kept:
                data = kept.read()
        except OSError as error:
            raise Http404(NOT_THERE) from error
        response = FileResponse(BytesIO(data), **how)
    response["ETag"] = f'"{tag}"'
    response["Cache-Control"] = "private, no-cache"
    response[CSP] = "default-src 'none'; sandbox"
    return response
