"""What the partner of the invented laboratory asks for, and what the keeper answers."""

from datetime import timedelta

from django.utils import timezone

from inventory.calc.units import parse_need
from inventory.models import Material, Project, User
from inventory.operations import asking

from .scenario import request_id


def play(scene, project):
    """Ask for metal four times: to be answered, granted, changed and declined."""
    project = Project.objects.get(title=project)
    ask(scene, project, "Rb", "25 mmol", "Film series 5, five substrates", 16)
    granted = ask(scene, project, "Ba", "1 vessel", "Flash getter, second chamber", 9)
    asking.grant(granted, **signed(scene, "grant"))
    changed = ask(scene, project, "Rb", "2 mL", "Reservoir of the new source", 25)
    asking.change(
        changed,
        terms=asking.terms(
            changed.material, need=parse_need("2.5 g"), needed_by=changed.needed_by
        ),
        reason="2.5 g fits the reservoir, and leaves one ampoule closed.",
        **signed(scene, "change"),
    )
    declined = ask(scene, project, "Rb", "200 mg", "A tracer for the leak test", 4)
    asking.decline(
        declined,
        reason="Rubidium is no good for that. Helium does it without a risk.",
        **signed(scene, "decline"),
    )


def ask(scene, project, symbol, asked, purpose, in_days):
    """Return the request of the partner for so much of a metal."""
    partner = User.objects.get(username="partner")
    counted = asked.endswith("vessel")
    return asking.ask(
        project,
        partner=project.memberships.get(user=partner).partner,
        material=Material.objects.get(symbol=symbol),
        asked=asked,
        need=None if counted else parse_need(asked),
        vessel_count=int(asked.split()[0]) if counted else None,
        needed_by=timezone.localdate() + timedelta(days=in_days),
        purpose=purpose,
        by=partner,
        request_id=request_id(f"ask {symbol} {asked}"),
    )


def signed(scene, step):
    return {"by": scene.keeper, "request_id": request_id(f"request {step}")}
