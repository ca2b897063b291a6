"""The hand-over sheet as PDF."""

from io import BytesIO
from typing import Any

from django.contrib import messages
from django.http import FileResponse, HttpRequest
from django.http.response import HttpResponseBase
from django.shortcuts import redirect

from inventory.models import HandOver
from inventory.operations.access import ALL, for_roles, get_or_404
from labels.content import base_url
from labels.wording import CannotPrint

from .handed import sheet
from .handover import print_hand_over
from .page import PAPERS


@for_roles(ALL)
def hand_over_sheet(request: HttpRequest, pk: int) -> HttpResponseBase:
    """Answer with the sheet of a hand-over, or with its page and why there is none."""
    theirs = HandOver.objects.visible_to(request.user)
    record: Any = get_or_404(
        request,
        HandOver.objects.all(),
        theirs.select_related("project", "partner"),
        pk=pk,
    )
    paper = PAPERS.get(request.GET.get("paper", ""), PAPERS["a4"])
    try:
        pdf = print_hand_over(sheet(record, base_url(request)), paper)
    except CannotPrint as error:
        messages.error(request, str(error))
        return redirect(record)
    return FileResponse(BytesIO(pdf), filename=f"hand-over-{pk}.pdf")
