"""What is agreed with partners, asked once each: see tests.domain.asked."""

from inventory.models import Material
from inventory.operations import partners, shares
from tests.factories import G, make_partner, make_project, make_share

ORGANISATION = {"name": "Films", "address": "", "email": "", "note": ""}


def ask_add_partner():
    return partners.add, [ORGANISATION], {}


def ask_change_partner():
    return partners.change, [make_partner(), ORGANISATION], {}


def ask_set_share():
    partner = make_partner()
    facts = {"mass_ug": G, "vessel_count": None, "smallest_purity": 0.99, "note": ""}
    given = [make_project(partner=partner), partner, Material.objects.get(symbol="Rb")]
    return shares.set_share, given, {"facts": facts}


def ask_drop_share():
    partner = make_partner()
    share = make_share(make_project(partner=partner), partner)
    return shares.drop, [share], {"reason": "the work is over"}
