"""The tags that draw numbers: bars, charts over time, uncertainty budgets.

They belong to the library of `ui`, which takes them in.
"""

from django import template
from django.utils import timezone

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
