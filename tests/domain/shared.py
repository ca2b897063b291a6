"""One row of everything about sharing, and what must never be true of it."""

from datetime import timedelta
from hashlib import sha256

from django.utils import timezone

from inventory.models import (
    Booking,
    CalendarLink,
    HandOver,
    HandOverLine,
    Inspection,
    Membership,
    MetalRequest,
    RequestStep,
    Return,
    Share,
    Vessel,
)
from tests.factories import (
    G,
    earlier,
    make_booking,
    make_partner,
    make_project,
    make_vessel,
    somebody,
)

TODAY = timezone.localdate()
# Not what is handed over already; whether there are such is asked later.
OTHERS = {"booking_line_id": 99, "vessel_id": 99}

NEVER = [
    (Booking, "booking_holds_until_needed", {"expires_on": TODAY - timedelta(days=1)}),
    (HandOverLine, "hand_over_line_mass_positive", {"mass_ug": 0, **OTHERS}),
    (HandOverLine, "hand_over_line_mass_positive", {"u_ug": -1, **OTHERS}),
    (HandOverLine, "hand_over_line_expects_by_a_day", {"expected_ug": None, **OTHERS}),
    (HandOverLine, "hand_over_line_expects_by_a_day", {"return_by": None, **OTHERS}),
    (
        HandOverLine,
        "hand_over_line_expects_by_a_day",
        {"expected_ug": 99 * G, **OTHERS},
    ),
    (Inspection, "inspection_seal_known", {"seal": "hums"}),
    (Inspection, "inspection_next_is_later", {"next_on": TODAY}),
    (Membership, "membership_role_known", {"role": "king"}),
    (MetalRequest, "request_for_an_amount", {"mass_ug": None}),
    (MetalRequest, "request_for_an_amount", {"mass_ug": 0}),
    (MetalRequest, "request_for_an_amount", {"vessel_count": 1}),
    (MetalRequest, "request_purity_is_a_fraction", {"smallest_purity": 1.01}),
    (MetalRequest, "request_state_known", {"state": "lost"}),
    (RequestStep, "request_step_amount", {"mass_ug": None, "vessel_count": 1}),
    (RequestStep, "request_step_purity", {"smallest_purity": 0.0}),
    (RequestStep, "request_step_kind_known", {"kind": "shrug"}),
    (RequestStep, "request_step_says_why", {"kind": "declined"}),
    (Return, "return_kind_known", {"kind": "gift", "is_back": True}),
    (Return, "return_mass_not_negative", {"used_ug": -1}),
    (Return, "return_mass_not_negative", {"u_ug": -1}),
    (Return, "return_is_back_unless_reported", {"kind": "empty", "is_back": False}),
    (Return, "return_use_is_a_movement", {"used_ug": 1}),
    (Share, "share_is_a_mass_or_a_number", {"mass_ug": None}),
    (Share, "share_is_a_mass_or_a_number", {"vessel_count": 3}),
    (Share, "share_purity_is_a_fraction", {"smallest_purity": 1.01}),
    (Vessel, "vessel_heel_not_negative", {"heel_ug": -1}),
]
ONCE = [
    (CalendarLink, "calendar_link_one_each", {"digest": "0" * 64}),
    (HandOverLine, "hand_over_line_vessel_once", {"booking_line_id": 99}),
    (Share, "share_once", {}),
]


def make_one_of_each():
    """Make a valid row of every model of sharing, without any operation."""
    vessel, partner = make_vessel(), make_partner()
    project = make_project(partner=partner)
    booking = make_booking(vessel, G, project=project)
    entry, material = booking.entry, vessel.batch.material
    Share.objects.create(
        project=project, partner=partner, material=material, mass_ug=10 * G
    )
    terms = {"mass_ug": G, "needed_by": TODAY}
    asked = MetalRequest.objects.create(
        project=project, material=material, asked="1 g", entry=entry, **terms
    )
    RequestStep.objects.create(metal_request=asked, kind="asked", entry=entry, **terms)
    hand_over = HandOver.objects.create(
        project=project, partner=partner, handed_at=earlier(), entry=entry
    )
    line = HandOverLine.objects.create(
        hand_over=hand_over,
        vessel=vessel,
        booking_line=booking.lines.get(),
        mass_ug=G,
        u_ug=1,
        return_by=TODAY,
        expected_ug=0,
        entry=entry,
    )
    Return.objects.create(
        line=line,
        kind="reported",
        used_ug=0,
        u_ug=0,
        is_back=False,
        happened_at=earlier(),
        entry=entry,
    )
    Inspection.objects.create(vessel=vessel, looked_on=TODAY, seal="tight", entry=entry)
    CalendarLink.objects.create(
        user=somebody(), digest=sha256(b"somewhere").hexdigest()
    )
