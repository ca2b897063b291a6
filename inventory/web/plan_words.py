"""The planner's reasons in words."""

from inventory.calc.planning import Aim, Idle, Lack, Why
from inventory.calc.units import show_count, show_mass, show_percent
from inventory.operations.planning import TIME_LIMIT_S

TITLES = {
    Aim.FEWEST: "Fewest openings",
    Aim.LEAST: "Least left over",
    Aim.OLDEST: "Oldest stock first",
}

WHY = {
    Why.PINNED: "pinned",
    Why.ONLY: "the only one that suits",
    Why.OPEN: "open already",
    Why.STAYS_SEALED: "stays closed",
    Why.FITS: "fits exactly",
    Why.OLDEST: "first to be used",
    Why.LARGEST: "largest of the closed ones",
    Why.TOGETHER: "fits with the others",
}


LACK = {
    Lack.LEFT_OUT: "Every vessel that suits was left out. Allow one above.",
    Lack.NO_MATERIAL: "No vessel of {metal} here has anything free.",
    Lack.NOT_PURE: "No vessel of {metal} is known to be {purity} pure.",
    Lack.OTHER_MEDIUM: "No vessel that is pure enough is kept in {media}.",
    Lack.NOTHING_FREE: "The vessels that suit have nothing left to draw.",
    Lack.REMNANTS: "What is free lies in remnants below {least}, too small to draw.",
    Lack.SHARED: "There is enough for it alone, but not for the others too.",
    Lack.NOT_ENOUGH: "{there_is}.",
}
NONE_WHOLE = (
    "Each vessel that suits was opened, or something of it is promised: none can go "
    "whole. An opened one goes whole only if it is pinned."
)


def lack(missing, demand, metal, media):
    """Say why a request is not served in full. `media` are names by key."""
    sentence = LACK[missing.reason]
    if demand.whole and missing.reason == Lack.NOTHING_FREE:
        sentence = NONE_WHOLE
    return sentence.format(
        metal=metal,
        purity=show_percent(demand.smallest_purity),
        media=" or ".join(sorted(media[key] for key in demand.media)),
        least=show_mass(demand.least_draw_ug),
        there_is=there_is(missing, demand),
    )


def there_is(missing, demand):
    """Say how much those vessels have that suit a request."""
    count = missing.free_vessels
    if demand.is_counted:
        return f"Only {counted(count)} can go whole"
    one = count == 1
    return (
        f"The {'one vessel that suits has' if one else f'{count} that suit have'} "
        f"{show_mass(missing.free_ug)} to {'hand over whole' if demand.whole else 'draw'}"
    )


def counted(count):
    return show_count(count, "vessel") if count else "no vessel"


IDLE = {
    Idle.UNKNOWN: "nothing of it is free, or it is not here",
    Idle.EXCLUDED: "it is left out",
    Idle.NO_REQUEST: "no request is for its metal",
    Idle.NOT_PURE: "it is not known to be pure enough",
    Idle.OTHER_MEDIUM: "its medium is not allowed",
    Idle.NOTHING_FREE: "it cannot go whole and has too little to draw",
    Idle.NOT_NEEDED: "the other pinned ones leave nothing to be served",
}


def solved(plan):
    """Say how good a plan is known to be, and how long that took."""
    took = f"{plan.seconds:.1f} s" if plan.seconds >= 0.1 else "less than 0.1 s"
    if not plan.is_proven:
        return (
            f"Stopped after {took}, the limit being {TIME_LIMIT_S:.0f} s: "
            f"{distance(plan.gap)}."
        )
    if plan.gap:
        return f"Solved to {show_gap(plan.gap)} in {took}."
    if plan.last_gap:
        return (
            f"Proven to be the best of its kind in {took}; chosen among equals to "
            f"{show_gap(plan.last_gap)}."
        )
    return f"Proven to be the best of its kind, in {took}."


def distance(gap):
    if gap >= 1:
        return "how far it is from the best is not known"
    return f"it may be up to {show_gap(gap)} from the best"


def show_gap(gap):
    """Show a relative gap with two digits, "0.02 %"; never as nothing."""
    return f"{max(gap * 100, 0.001):.2g} %"
