"""The tags that draw numbers: bars, charts over time, uncertainty budgets.

They belong to the library of `ui`, which takes them in.
"""

from django import template
from django.utils import timezone

from inventory.calc import units
from inventory.operations import shares
from inventory.web import budget as budgets
from inventory.web import charts

register = template.Library()


@register.inclusion_tag("components/mass_bar.html")
def mass_bar(remaining, promised=0, total=None, size="large"):
    """`{% mass_bar remaining_ug promised_ug total=filled_ug size="small" %}`.

    The bar is as long as `total` (what was once filled in), or else `remaining`.
    """
    promised = min(max(promised, 0), max(remaining, 0))
    free = max(remaining, 0) - promised
    scale = max(total or 0, remaining, 1)
    return {
        "remaining_ug": remaining,
        "promised_ug": promised,
        "free_ug": free,
        "total_ug": total,
        "promised_percent": round(100 * promised / scale, 3),
        "free_percent": round(100 * free / scale, 3),
        "size": size,
    }


@register.inclusion_tag("components/share_bar.html")
def share_bar(standing):
    """`{% share_bar standing %}`: what of a share is used, promised and free.

    The bar is as long as the share, or as what went beyond it.
    """
    used, promised, free, total = standing.parts
    scale = max(total, used + promised, 1)
    show = str if standing.share.mass_ug is None else units.show_mass
    return {
        "used": show(used),
        "promised": show(promised),
        "free": show(free),
        "used_percent": round(100 * used / scale, 3),
        "promised_percent": round(100 * promised / scale, 3),
        "free_percent": round(100 * free / scale, 3),
        "before_free_percent": round(100 * (used + promised) / scale, 3),
    }


@register.filter
def share_total(share):
    """Show how much a share is: `20.00 g`, `6 vessels`."""
    return shares.show(share, share.mass_ug or share.vessel_count)


@register.filter
def share_beyond(standing):
    """Show how much more than the share is used and promised, or nothing."""
    return shares.show(standing.share, standing.beyond) if standing.beyond else ""


@register.inclusion_tag("components/chart_remaining.html")
def remaining_chart(points, label="", until=None):
    """`{% remaining_chart points label=vessel.full_code until=now %}`.

    `points` are charts.Point in order of time; without any, nothing is drawn. The
    last value is drawn on `until` then.
    """
    return charts.drawn(points, label, until, timezone.get_current_timezone())


@register.inclusion_tag("components/budget.html")
def budget(lines):
    """`{% budget how.net.budget %}`: where an uncertainty comes from, with bars."""
    return {"budget": budgets.drawn(lines)}
