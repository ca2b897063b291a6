"""What a run's numbers are in words: for its page and for its batch's."""

from datetime import timedelta

from django.utils import timezone

from inventory.calc.units import show_count, show_in, show_rate, show_yield
from inventory.operations import progress, run_rows

MINUTE = timedelta(minutes=1)


def of(now):
    """Return {what: words} of a progress.SoFar; what is not known is left out."""
    found = {
        "last": last_words(now),
        "receiver": receiver_words(now.run),
    }
    if now.level_at:
        found["level"] = f"as read {clock(now.level_at)}, {ago(now.level_at)}"
    if now.yield_fraction is not None:
        found["yield"] = show_yield(now.yield_fraction, now.u_yield)
    if now.rate_ug_per_h is not None:
        found["rate"] = show_rate(now.rate_ug_per_h, now.u_rate)
    if now.run.worth_ug_per_h:
        found["worth"] = show_rate(now.run.worth_ug_per_h)
    if now.falls_below_at:
        found["falls_below"] = falls_below_words(now)
    return found


def summary(batch, account, facts):
    """Return what a batch's page says of its run: {} if it has none."""
    theoretical = account.theoretical_ug, account.u_theoretical_ug
    now = progress.of(batch, facts=facts, theoretical=theoretical)
    return {"run_now": now, "run_words": of(now)} if now else {}


def last_words(now):
    if now.read_at is None:
        return "none yet"
    number = show_count(now.readings, "reading")
    return f"{clock(now.read_at)}, {ago(now.read_at)}; {number} in all"


def falls_below_words(now):
    """Return when the rate falls, or fell, below what is worth it, with k = 2."""
    spread = 2 * now.u_falls_below
    if spread < timedelta(hours=2):
        margin = f"{max(round(spread / MINUTE), 1)} min"
    else:
        margin = f"{spread / timedelta(hours=1):.1f} h"
    return f"about {clock(now.falls_below_at)} ± {margin} (k = 2)"


def receiver_words(run):
    """Return what the run runs into."""
    holds_ul = run_rows.receiver_volume(run)
    if holds_ul is None:
        return "not said"
    glass = f"{run.receiver}, " if run.receiver_id else ""
    holds, read_to = (show_in(ul, "mL") for ul in (holds_ul, 2 * run.u_receiver_ul))
    return f"{glass}{holds} mL, read to ± {read_to} mL (k = 2)"


def clock(when):
    """Return a moment by the clock on the wall, with its day unless it is today's."""
    when = timezone.localtime(when)
    today = when.date() == timezone.localdate()
    return f"{when:%H:%M}" if today else run_rows.clock(when)


def ago(when, now=None):
    """Return how long ago a moment is, in words; one ahead of the clock is now."""
    gone = (now or timezone.now()) - when
    minutes = gone // MINUTE
    if minutes < 1:
        return "just now"
    if minutes < 60:
        return f"{minutes} min ago"
    hours, minutes = divmod(minutes, 60)
    if hours < 24:
        return f"{hours} h {minutes} min ago"
    return f"{hours // 24} d {hours % 24} h ago"
