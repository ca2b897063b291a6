"""What a vessel's page says of its label."""

from typing import Any

from django import template

from inventory.models import LabelPrint
from labels import outdated
from labels.content import printable
from labels.own import every_sheet
from labels.shelf import Shelf
from labels.views.log import row
from labels.wording import CannotPrint

register = template.Library()
NEWEST = 5


@register.inclusion_tag("labels/_labels.html", takes_context=True)
def labels_of(context: dict[str, Any], vessel: Any) -> dict[str, Any]:
    """`{% labels_of vessel %}`: whether its label still holds, and the newest ones."""
    prints = LabelPrint.objects.filter(vessel=vessel).select_related(
        "vessel", "entry__by"
    )
    sheets = {key: sheet.name for key, sheet in every_sheet().items()}
    rows = [
        row(printed, sheets, context["user"])
        for printed in prints.order_by("-id")[:NEWEST]
    ]
    state, why_not = None, ""
    if vessel.filled_on and not vessel.spent_on:
        state, why_not = _state(vessel)
    return {
        "vessel": vessel,
        "user": context["user"],
        "rows": rows,
        "state": state,
        "why_not": why_not,
    }


def _state(vessel: Any) -> tuple[outdated.State | None, str]:
    vessels = list(printable(type(vessel).objects.filter(pk=vessel.pk)))
    try:
        return outdated.states(vessels, Shelf.read(vessels))[vessel.pk], ""
    except CannotPrint as error:
        return None, str(error)
