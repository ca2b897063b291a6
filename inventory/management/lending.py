"""What left the invented laboratory in its glass, what came back, and who looked."""

from datetime import timedelta

from django.utils import timezone

from inventory.models import Project
from inventory.operations import handing, inspections, picking, returning

from .scenario import G, at, request_id


def play(scene, project, caesium, barium, alloy):
    """Hand three ampoules over: one is back, of one a use is reported, one is lent."""
    project = Project.objects.get(title=project)
    booking = scene.book(
        project,
        [(caesium[0], None), (caesium[1], None), (barium[1], None)],
        "Loading from the vapour",
        2,
    )
    lines = list(booking.lines.order_by("pk"))
    for line in lines:
        picking.pick(
            line,
            code=line.vessel.full_code,
            by=scene.operator,
            request_id=request_id(f"pick {line.vessel}"),
        )
    back_on = timezone.localdate() + timedelta(days=10)
    made = handing.hand_over(
        project,
        project.partners.get(),
        lines,
        handed_at=at(9, 16),
        carried="by car, by trained staff of the partner",
        returns={lines[1].pk: (back_on, round(0.4 * G))},
        by=scene.operator,
        request_id=request_id("hand over caesium"),
    )
    out = {line.vessel_id: line for line in made.lines.all()}
    returning.report(
        out[caesium[0].pk],
        used_ug=round(0.35 * G),
        note="Two loadings, by the length of the capillary",
        happened_at=at(4, 16),
        by=scene.operator,
        request_id=request_id("report caesium"),
    )
    returning.take_back(
        out[barium[1].pk],
        returning.Empty(at(1, 9)),
        place=scene.shelf,
        by=scene.operator,
        request_id=request_id("return barium"),
    )
    inspections.record(
        alloy,
        looked_on=at(3).date(),
        seal="doubtful",
        look="Liquid, bright; grease of the stopcock streaky",
        next_on=timezone.localdate() + timedelta(days=4),
        by=scene.operator,
        request_id=request_id("look at the alloy"),
    )
