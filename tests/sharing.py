"""Projects, partners, their shares, requests and bookings: the least that is valid."""

from datetime import timedelta
from uuid import uuid4

from django.utils import timezone

from inventory.calc import units
from inventory.models import Material, Partner
from inventory.operations import asking, bookings, projects, shares
from tests.signing import G, signed


def make_partner(name=""):
    """Return a partner organisation, of this name if it is given."""
    partner, _ = Partner.objects.get_or_create(name=name or f"Group {uuid4().hex[:6]}")
    return partner


def make_project(*members, partner=None, **facts):
    """Return a project. Its members may ask, for its `partner` if it has one."""
    if isinstance(partner, str):
        partner = make_partner(partner)
    return projects.start(
        facts={"title": f"Project {uuid4().hex[:6]}", **facts},
        partners=[partner] if partner else [],
        members=[projects.Member(user, partner=partner) for user in members],
        **signed(),
    )


def make_share(project, partner, symbol="Rb", *, media=(), **facts):
    """Return a partner's share of a metal in a project, 100 g unless said otherwise."""
    facts = {
        "mass_ug": None if "vessel_count" in facts else 100 * G,
        "vessel_count": None,
        "smallest_purity": None,
        "note": "",
        **facts,
    }
    material = Material.objects.get(symbol=symbol)
    return shares.set_share(
        project, partner, material, facts=facts, media=media, **signed()
    )


def make_request(project=None, need="3 g", *, partner=None, symbol="Rb", by=None, **facts):  # fmt: skip
    """Return a request for `need`, by a keeper unless `by` says who asked."""
    facts = {
        "purpose": "an experiment",
        "needed_by": timezone.localdate() + timedelta(days=7),
        "asked": need or "vessels",
        **facts,
    }
    return asking.ask(
        project or make_project(),
        partner=partner,
        material=Material.objects.get(symbol=symbol),
        need=units.parse_need(need) if need else None,
        **facts,
        **signed(**({"by": by} if by else {})),
    )


def make_booking(vessel, mass_ug=None, *, project=None, **facts):
    """Return a booking of `mass_ug`, or of all that is free, from one vessel."""
    return bookings.book(
        project or make_project(),
        wishes=[(vessel, mass_ug)],
        purpose="an experiment",
        **{"needed_by": timezone.localdate() + timedelta(days=7), **facts},
        **signed(),
    )
