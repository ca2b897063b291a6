"""Batches of one metal and process side by side: rows, and what their yields say."""

from collections import defaultdict
from dataclasses import dataclass, field
from datetime import datetime, time
from statistics import mean

from django.db.models import Count, F, Max, Min, Window
from django.db.models.functions import RowNumber
from django.utils import timezone

from inventory.calc import comparison
from inventory.calc.units import show_yield
from inventory.models import Batch, Process, RunLog, RunReading
from inventory.operations import accounts

NEWEST = 40
DIFFERS = 2.0  # times u(D), as everywhere here


@dataclass(frozen=True, slots=True)
class Row:
    """A batch of the comparison with its account and the conditions of its run.

    °C, Pa and hours; None is what was not read.
    """

    batch: Batch
    account: accounts.Account
    hottest_c: float | None = None
    usual_c: float | None = None
    lowest_pa: float | None = None
    hours: float | None = None

    @property
    def result(self):
        """The yield as it stands, or None; of an open batch it may still change."""
        if self.account.yield_fraction is None:
            return None
        return comparison.Result(self.account.yield_fraction, self.account.u_yield)

    @property
    def at(self):
        """Midnight of the batch's day, for a time axis."""
        return timezone.make_aware(datetime.combine(self.batch.made_on, time()))


@dataclass(frozen=True, slots=True)
class Said:
    """What the yields say together: of those before the newest, and of the newest."""

    newest: Row
    difference: comparison.Difference
    sentences: list[str] = field(default_factory=list)


def alike(material, process, word=""):
    """Return the newest batches of one metal and process; `word` is in their route."""
    rows = Batch.objects.filter(material=material, process=process)
    if word:
        rows = rows.filter(route__icontains=word)
    return rows.select_related("material").order_by("-made_on", "-id")


def groups():
    """Return (metal, process, its words, how many) of what can be compared."""
    rows = Batch.objects.exclude(process="").order_by("material__name", "process")
    counted = rows.values_list("material__symbol", "material__name", "process")
    return [
        {"symbol": symbol, "metal": name, "process": Process(process), "count": count}
        for symbol, name, process, count in counted.annotate(Count("pk"))
    ]


def rows_of(batches):
    """Return a Row for each batch, in a fixed number of questions."""
    found, run = accounts.of_all(batches), conditions(batches)
    return [Row(batch, found[batch.pk], **run[batch.pk]) for batch in batches]


def conditions(batches):
    """Return {batch key: the conditions of its run} from every reading that stands."""
    standing = RunReading.objects.filter(batch__in=batches).standing().order_by()
    extremes = standing.values_list("batch").annotate(
        Max("temperature_c"), Min("pressure_pa"), Max("read_at")
    )
    read = {key: found for key, *found in extremes}
    usual = usual_temperatures(standing)
    logs = {log.batch_id: log for log in RunLog.objects.filter(batch__in=batches)}
    found = {}
    for batch in batches:
        hottest_c, lowest_pa, last_at = read.get(batch.pk, (None, None, None))
        found[batch.pk] = {
            "hottest_c": hottest_c,
            "usual_c": usual.get(batch.pk),
            "lowest_pa": lowest_pa,
            "hours": hours(logs.get(batch.pk), last_at),
        }
    return found


def usual_temperatures(readings):
    """Return {batch key: the median of its temperatures in °C, whole}.

    The database leaves of each batch the middle one, or the two in the middle: a
    logger's file may hold tens of thousands.
    """
    warm, key = readings.filter(temperature_c__isnull=False), F("batch")
    in_the_middle = warm.annotate(
        place=2 * Window(RowNumber(), partition_by=key, order_by="temperature_c"),
        count=Window(Count("pk"), partition_by=key),
    ).filter(place__gte=F("count"), place__lte=F("count") + 2)
    middle = defaultdict(list)
    for batch, celsius in in_the_middle.values_list("batch", "temperature_c"):
        middle[batch].append(celsius)
    return {batch: round(mean(both)) for batch, both in middle.items()}


def hours(log, last_at):
    """Return how long a run took: to its end, or to the last that was read."""
    last = log and (log.ended_at or last_at)
    if not last or last < log.started_at:
        return None
    return (last - log.started_at).total_seconds() / 3600


def said_of(rows):
    """Return what rows, newest first, say together; None of fewer than 2 that count.

    Only closed batches count: one that is still being filled has no result yet.
    """
    compared = [row for row in rows if row.result and row.account.closing]
    if len(compared) < 2:
        return None
    newest, *before = compared
    difference = comparison.difference(newest.result, [row.result for row in before])
    return Said(newest, difference, in_words(newest, difference))


def left_out(rows):
    """Return the sentence that names the open batches, newest first, or ""."""
    still = [str(row.batch) for row in rows if row.result and not row.account.closing]
    if not still:
        return ""
    if len(still) == 1:
        return f"{still[0]} is still open and is left out of the sums."
    named = f"{', '.join(still[:-1])} and {still[-1]}"
    return f"{named} are still open and are left out of the sums."


def in_words(newest, found):
    """Return the sentences, cautious ones, that stand beside the numbers."""
    mean = found.mean
    those = "The one before it" if mean.count == 1 else f"The {mean.count} before it"
    gives = "gave" if mean.count == 1 else "together give"
    said = [
        f"{newest.batch} gave {show_yield(newest.result.value, newest.result.u)}. "
        f"{those} {gives} {show_yield(mean.value, mean.u)}."
    ]
    if mean.between:
        said.append(
            f"They differ from one to the next by more than weighing explains "
            f"(χ² {mean.chi2:.1f} with {mean.freedom} degrees of freedom); a spread of "
            f"{mean.between * 100:.2g} % between runs is taken in."
        )
    size = f"{abs(found.d) * 100:.2f} % ± {found.u * 200:.2f} % (k = 2)"
    more = "more" if found.d > 0 else "less"
    if found.ratio <= DIFFERS:
        said.append(
            f"The difference, {size} {more}, is within its uncertainty: no change "
            "shows in these numbers. That does not prove that there is none."
        )
    else:
        said.append(
            f"The difference, {size} {more}, is {found.ratio:.1f} times its standard "
            "uncertainty: something may have changed. Look at what else was different "
            "before the procedure gets the credit or the blame."
        )
    if mean.count < comparison.FEWEST:
        said.append("So few runs say little about how much one differs from the next.")
    return said
