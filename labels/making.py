"""A long print job, told while it goes on: the page is sent piece by piece."""

from collections.abc import Iterator
from math import ceil
from typing import Any
from uuid import UUID

from django.http import HttpRequest
from django.template.loader import render_to_string
from django.urls import reverse

from inventory.operations import labelling
from inventory.operations.errors import OperationError

from . import kept
from .jobs import Run
from .wording import CannotPrint

STEPS = 50
SEAM = "<!-- what is done so far -->"


def record(user: Any, run: Run, reason: str, job_id: UUID) -> None:
    """Draw what was laid out, write it in the log, and keep the PDF."""
    pdf = run.draw()
    signed = {"by": user, "request_id": job_id}
    if run.job.format.of_vessel:
        printed = run.printed()
        rows = labelling.record(printed, **run.job.facts(), reason=reason, **signed)
        refuse_another(rows, printed)
    else:
        named = [piece.content.full_code for piece in run.pieces]
        labelling.record_others(run.job.format.name, named, **signed)
    kept.keep(user, job_id, pdf)


def refuse_another(rows: list[Any], printed: list[Any]) -> None:
    """Refuse a form that was sent before for labels that said something else.

    Sent again for the same ones it is fine: on other places of the sheet, say.
    """
    logged = {row.vessel_id: row.content_key for row in rows}
    if logged != {each.vessel.pk: each.content_key for each in printed}:
        raise OperationError(
            "This form had been sent already, for labels that said something else. "
            "Open the page anew."
        )


def page(request: HttpRequest, run: Run, reason: str, job_id: UUID) -> Iterator[str]:
    """Yield the page: its head, how many labels are laid out, and how it ended.

    Whoever leaves before the end has printed nothing, and nothing is in the log.
    """
    count = len(run.pieces)
    whole = render_to_string("labels/making.html", {"count": count}, request)
    head, foot = whole.split(SEAM)
    yield head
    try:
        every = ceil(count / STEPS)
        for done in run.lay_out():
            if done % every == 0 or done == count:
                yield _part("step", done=done, count=count)
        record(request.user, run, reason, job_id)
    except (CannotPrint, OperationError) as error:
        yield _part("failed", error=str(error))
    else:
        href = reverse("labels:file", args=[job_id])
        pages = sum(len(each.faces) for each in run.composed)
        yield _part("done", count=count, pieces=pages, href=href)
    yield foot


def _part(kind: str, **context: Any) -> str:
    return render_to_string("labels/_making.html", {"kind": kind, **context})
