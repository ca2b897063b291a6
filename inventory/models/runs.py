"""How a batch is being made: the run's log, and how the batch was closed."""

from django.db import models
from django.db.models import F, Q

from .append_only import AppendOnlyModel, AppendOnlyQuerySet
from .ledger import Method


class RunLog(models.Model):
    """What is noted once about a run: when, into what, and when it stops paying.

    The receiver may be a tared vessel of the batch, or glass that is only known by
    the volume it is graduated for.
    """

    batch = models.OneToOneField(
        "inventory.Batch", models.PROTECT, related_name="run_log"
    )
    started_at = models.DateTimeField("started")
    ended_at = models.DateTimeField("ended", null=True, blank=True)
    receiver = models.ForeignKey(
        "inventory.Vessel", models.PROTECT, null=True, blank=True, related_name="+"
    )
    receiver_ul = models.BigIntegerField("receiver's volume", null=True, blank=True)
    u_receiver_ul = models.BigIntegerField(
        "standard uncertainty of a receiver reading", default=0
    )
    worth_ug_per_h = models.BigIntegerField("worth going on", null=True, blank=True)

    class Meta:
        constraints = [
            models.CheckConstraint(
                name="run_log_volumes_positive",
                condition=(Q(receiver_ul=None) | Q(receiver_ul__gt=0))
                & Q(u_receiver_ul__gte=0),
            ),
            models.CheckConstraint(
                name="run_log_worth_positive",
                condition=Q(worth_ug_per_h=None) | Q(worth_ug_per_h__gt=0),
            ),
            models.CheckConstraint(
                name="run_log_ends_after_it_starts",
                condition=Q(ended_at=None) | Q(ended_at__gte=F("started_at")),
            ),
        ]

    def __str__(self):
        return f"Run of {self.batch_id}"


class RunReadingQuerySet(AppendOnlyQuerySet):
    def standing(self):
        """Leave out what was struck out, and what strikes it out."""
        return self.filter(strikes=None, struck_by=None)

    def in_order(self):
        return self.order_by("read_at", "id")


class RunReading(AppendOnlyModel):
    """One line of the run's log: whatever was read at that moment.

    A wrong one is struck out by a further row, and stays visible.
    """

    batch = models.ForeignKey(
        "inventory.Batch", models.PROTECT, related_name="run_readings"
    )
    read_at = models.DateTimeField()
    temperature_c = models.FloatField("temperature of the charge", null=True)
    pressure_pa = models.FloatField("pressure", null=True)
    receiver_ul = models.BigIntegerField("receiver reading", null=True)
    receiver_c = models.FloatField("temperature of the receiver", null=True)
    drip_s = models.FloatField("time from drop to drop", null=True)
    note = models.CharField(max_length=300, blank=True)
    imported = models.BooleanField(default=False)
    strikes = models.OneToOneField(
        "self", models.PROTECT, null=True, related_name="struck_by"
    )
    entry = models.ForeignKey(
        "inventory.LogEntry", models.PROTECT, related_name="run_readings"
    )

    objects = RunReadingQuerySet.as_manager()

    class Meta(AppendOnlyModel.Meta):
        abstract = False
        ordering = ["id"]
        indexes = [
            models.Index(name="run_reading_in_order", fields=["batch", "read_at", "id"])
        ]
        constraints = [
            models.CheckConstraint(
                name="run_reading_says_something",
                condition=Q(temperature_c__isnull=False)
                | Q(pressure_pa__isnull=False)
                | Q(receiver_ul__isnull=False)
                | Q(drip_s__isnull=False)
                | ~Q(note=""),
            ),
            models.CheckConstraint(
                name="run_reading_numbers_possible",
                condition=(Q(pressure_pa=None) | Q(pressure_pa__gt=0))
                & (Q(receiver_ul=None) | Q(receiver_ul__gte=0))
                & (Q(drip_s=None) | Q(drip_s__gt=0)),
            ),
        ]

    def __str__(self):
        return f"Run reading of {self.batch_id} at {self.read_at:%H:%M}"


class Closing(AppendOnlyModel):
    """A batch declared done: what was collected, and why if it was not weighed.

    A further row that `reopens` it takes it back.
    """

    batch = models.ForeignKey(
        "inventory.Batch", models.PROTECT, related_name="closings"
    )
    collected_ug = models.BigIntegerField("collected")
    u_collected_ug = models.BigIntegerField(default=0)
    method = models.CharField(max_length=10, choices=Method)
    lost_ug = models.BigIntegerField("lost", default=0)
    u_lost_ug = models.BigIntegerField(default=0)
    reason = models.CharField(max_length=300, blank=True)
    reopens = models.OneToOneField(
        "self", models.PROTECT, null=True, related_name="reopened_by"
    )
    entry = models.ForeignKey(
        "inventory.LogEntry", models.PROTECT, related_name="closings"
    )

    class Meta(AppendOnlyModel.Meta):
        abstract = False
        ordering = ["id"]
        constraints = [
            models.CheckConstraint(
                name="closing_masses_not_negative",
                condition=Q(
                    collected_ug__gte=0,
                    u_collected_ug__gte=0,
                    lost_ug__gte=0,
                    u_lost_ug__gte=0,
                ),
            ),
            models.CheckConstraint(
                name="closing_method_known", condition=Q(method__in=Method.values)
            ),
        ]

    def __str__(self):
        return f"Closing of {self.batch_id}"
