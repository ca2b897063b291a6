"""Each step of a request, asked once each: see tests.domain.asked."""

from datetime import timedelta

from django.utils import timezone

from inventory.calc.units import parse_need
from inventory.models import Material
from inventory.operations import asking
from tests.factories import make_project, make_request


def ask_ask():
    facts = {
        "partner": None,
        "material": Material.objects.get(symbol="Rb"),
        "asked": "25 mmol",
        "need": parse_need("25 mmol"),
        "needed_by": timezone.localdate() + timedelta(days=7),
        "purpose": "a run",
    }
    return asking.ask, [make_project()], facts


def ask_grant():
    return asking.grant, [make_request()], {}


def ask_change_request():
    request = make_request()
    terms = asking.terms(
        request.material, need=parse_need("2 g"), needed_by=request.needed_by
    )
    return asking.change, [request], {"terms": terms, "reason": "less is free"}


def ask_decline():
    return asking.decline, [make_request()], {"reason": "none is left"}


def ask_take_back():
    return asking.take_back, [make_request()], {"reason": "no longer needed"}
