"""What each event did to what we believe is in a vessel, and how sure we are."""

from django.db import models
from django.db.models import Q

from inventory.calc import events

from .append_only import AppendOnlyModel, AppendOnlyQuerySet

KINDS = {
    "start": events.Start,
    "observe": events.Observe,
    "change": events.Change,
    "unknown": events.Unknown,
    "emptied": events.Emptied,
}


class EventQuerySet(AppendOnlyQuerySet):
    def standing(self):
        """Leave out what a correction or a struck weighing took back."""
        return self.filter(movement__corrected_by=None, weighing__struck_by=None)

    def in_order(self):
        """Return the events as they happened, whenever they were recorded."""
        return self.order_by("happened_at", "entry_id", "place")


class Event(AppendOnlyModel):
    """One thing that happened to a vessel's contents, as the estimate takes it in.

    `facts` are the fields of the calculation's event, worked out with the numbers
    of the catalogue on the day it was recorded and frozen here, so that reading a
    history again gives the same for ever. The raw reading is on the weighing.
    """

    vessel = models.ForeignKey(
        "inventory.Vessel", models.PROTECT, related_name="events"
    )
    happened_at = models.DateTimeField()
    entry = models.ForeignKey(
        "inventory.LogEntry", models.PROTECT, related_name="events"
    )
    place = models.PositiveSmallIntegerField("place within its entry")
    kind = models.CharField(max_length=10)
    facts = models.JSONField()
    words = models.CharField(max_length=200)
    weighing = models.ForeignKey(
        "inventory.Weighing", models.PROTECT, null=True, related_name="events"
    )
    movement = models.ForeignKey(
        "inventory.Movement", models.PROTECT, null=True, related_name="events"
    )

    objects = EventQuerySet.as_manager()

    class Meta(AppendOnlyModel.Meta):
        abstract = False
        ordering = ["happened_at", "entry", "place"]
        constraints = [
            models.UniqueConstraint(
                name="event_place_once", fields=["vessel", "entry", "place"]
            ),
            models.CheckConstraint(
                name="event_kind_known", condition=Q(kind__in=list(KINDS))
            ),
        ]

    def __str__(self):
        return self.words

    def calc(self):
        """Return the calculation's event."""
        facts = dict(self.facts)
        if unknown := facts.get("unknown"):
            facts["unknown"] = events.Unknown(**unknown)
        return KINDS[self.kind](**facts)


class Estimate(AppendOnlyModel):
    """What was believed to be in a vessel after one event. Masses in µg.

    Written after every event; when a history has to be read anew, because an event
    was dated between others or taken back, all of it is written under the next
    `revision`. The newest row is what is believed now.
    """

    vessel = models.ForeignKey(
        "inventory.Vessel", models.PROTECT, related_name="estimates"
    )
    event = models.ForeignKey(Event, models.PROTECT, related_name="estimates")
    revision = models.PositiveIntegerField()
    metal_ug = models.FloatField()
    tare_ug = models.FloatField()
    liquid_ug = models.FloatField()
    var_metal = models.FloatField()
    cov_metal_tare = models.FloatField()
    cov_metal_liquid = models.FloatField()
    var_tare = models.FloatField()
    cov_tare_liquid = models.FloatField()
    var_liquid = models.FloatField()
    # The triangular root of that covariance, from which the sums go on unrounded.
    root = models.JSONField()
    undecided = models.CharField(max_length=30, blank=True)
    innovation_ug = models.FloatField(null=True)
    u_innovation_ug = models.FloatField(null=True)
    verdict = models.CharField(max_length=12, blank=True)

    class Meta(AppendOnlyModel.Meta):
        abstract = False
        ordering = ["id"]
        indexes = [models.Index(name="estimate_newest", fields=["vessel", "-id"])]
        constraints = [
            models.UniqueConstraint(
                name="estimate_once_a_revision", fields=["event", "revision"]
            ),
        ]

    def __str__(self):
        return f"{self.metal_ug:.0f} µg in {self.vessel_id}"
