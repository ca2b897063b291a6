"""What a run's page tells: its numbers, its readings, and what each one's mark is."""

from dataclasses import dataclass
from functools import cached_property

from django.core.paginator import Paginator
from django.utils import timezone

from inventory.calc import units
from inventory.models import Weighing, WeighingPurpose
from inventory.operations import closing, progress, run_rows

from . import axes, run_chart, run_words
from .quantities import BY_NAME, QUANTITIES

ROWS = 50
SESSION_KEY = "run_units"


@dataclass
class Story:
    """A batch's run as its page shows it; `kept` are the units last typed."""

    batch: object
    kept: dict
    page_number: str = "1"
    every_row: bool = False

    @cached_property
    def so_far(self):
        return progress.of(self.batch)

    @cached_property
    def run(self):
        return self.so_far and self.so_far.run

    @cached_property
    def words(self):
        return run_words.of(self.so_far)

    @cached_property
    def is_closed(self):
        return closing.standing(self.batch) is not None

    @cached_property
    def standing(self):
        """Every reading that counts, as it was recorded, in order of time."""
        rows = self.batch.run_readings.standing().in_order()
        return list(rows.values_list("id", "imported", *run_rows.NAMES, named=True))

    @cached_property
    def last(self):
        """Return {quantity: the newest reading that has it}."""
        found = {}
        for row in self.standing:
            for quantity in QUANTITIES:
                if getattr(row, quantity.fact) is not None:
                    found[quantity.name] = row
        return found

    @cached_property
    def untared(self):
        """Return whether what the receiver gains cannot be weighed afterwards."""
        tares = Weighing.objects.filter(
            vessel=self.run.receiver,
            purpose=WeighingPurpose.TARE,
            strikes=None,
            struck_by=None,
        )
        return self.run.receiver_id is None or not tares.exists()

    @cached_property
    def imported(self):
        """Return how many of the standing readings a file brought."""
        return sum(row.imported for row in self.standing)

    @cached_property
    def hides_imported(self):
        """Return whether a logger's many rows are left to the chart."""
        return 0 < self.imported < len(self.standing) and not self.every_row

    @cached_property
    def page(self):
        """Return a page of readings, newest first, struck ones among them."""
        rows = self.batch.run_readings.filter(strikes=None)
        if self.hides_imported:
            rows = rows.filter(imported=False)
        rows = rows.select_related("entry__by", "struck_by__entry__by")
        pages = Paginator(rows.order_by("-read_at", "-id"), ROWS)
        return pages.get_page(self.page_number)

    @property
    def lines(self):
        """Yield each reading of the page with its values, its metal and its marks."""
        for reading in self.page:
            struck = getattr(reading, "struck_by", None)
            yield {
                "reading": reading,
                "values": self.values(reading),
                "level": None if struck else self.level(reading),
                "struck": struck,
                "marks": [] if struck else self.marks(reading),
            }

    def level(self, reading):
        """Return what a reading of the receiver says of its metal, or None."""
        if reading.receiver_ul is None:
            return None
        return progress.level_of(reading, self.run, self.so_far.metal)

    def values(self, reading):
        """Return {quantity: the value in the unit last typed for it}."""
        return {
            quantity.name: quantity.shown(value, self.kept)
            for quantity in QUANTITIES
            if (value := getattr(reading, quantity.fact)) is not None
        }

    def marks(self, reading):
        """Return what is unusual about when a reading was taken."""
        run, found = self.run, []
        if reading.read_at < run.started_at:
            found.append("before the start")
        if run.ended_at and reading.read_at > run.ended_at:
            found.append("after the end")
        if reading.imported:
            found.append("imported")
        elif reading.pk in self.late:
            found.append("entered out of order")
        return found

    @cached_property
    def late(self):
        """Return the readings that were entered after one of a later time."""
        late, newest = set(), None
        for row in sorted(self.standing, key=lambda row: row.id):
            if newest and row.read_at < newest:
                late.add(row.id)
            newest = max(newest or row.read_at, row.read_at)
        return late

    @cached_property
    def charts(self):
        zone = timezone.get_current_timezone()
        return run_chart.drawn(self.series, self.run.started_at, zone)

    @cached_property
    def series(self):
        unit = BY_NAME["pressure"].unit(self.kept)
        return run_chart.Series(
            self.every("temperature_c"),
            [
                (at, float(units.converted(pa, unit)))
                for at, pa in self.every("pressure_pa")
            ],
            [
                (level.read_at, level.mass_ug, level.u_ug)
                for level in self.so_far.levels
                if level.point
            ],
            unit,
        )

    def every(self, fact):
        """Return [(moment, value)] of everything that was read of one quantity."""
        return [
            (row.read_at, value)
            for row in self.standing
            if (value := getattr(row, fact)) is not None
        ]

    @property
    def chart_words(self):
        """Return the sentence that stands for the chart."""
        zone = timezone.get_current_timezone()
        moments = self.series.moments()
        first, last = (each(moments).astimezone(zone) for each in (min, max))
        said = [
            f"From {axes.on_day(first)}, {first:%H:%M}, to {axes.on_day(last)}, {last:%H:%M}."
        ]
        for name in ("temperature", "pressure"):
            quantity = BY_NAME[name]
            values = [value for _, value in self.every(quantity.fact)]
            if values:
                lowest, highest, newest = (
                    quantity.shown(value, self.kept)
                    for value in (min(values), max(values), values[-1])
                )
                said.append(
                    f"{quantity.label} {lowest} to {highest}, in the end {newest}."
                )
        if self.so_far.collected_ug is not None:
            mass = units.show_mass(self.so_far.collected_ug, self.so_far.u_collected_ug)
            said.append(f"Collected in the end: {mass}.")
        return " ".join(said)
