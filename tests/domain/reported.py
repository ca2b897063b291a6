"""What a project was given, in one line each."""

from inventory.operations import taking
from tests.domain.handed import hand_over, make_line, pick
from tests.factories import G, earlier, make_vessel

MG = 1_000


def stated(batch=None, *, holding_ug=5 * G, u_ug=3 * MG):
    """Return a vessel filled two days ago, its mass stated."""
    return make_vessel(
        batch,
        holding_ug=holding_ug,
        u_ug=u_ug,
        filled_at=earlier(days=2),
        read_at=earlier(days=2),
    )


def give(project, partner, *vessels, **facts):
    """Hand vessels over to a partner; return their lines."""
    lines = [
        pick(make_line(vessel, partner=partner, project=project)) for vessel in vessels
    ]
    made = hand_over(lines, partner=partner, project=project, **facts)
    return list(made.lines.select_related("hand_over__partner", "vessel"))


def received(mass_ug, u_ug):
    return taking.Received(mass_ug, u_ug)
