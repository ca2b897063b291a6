"""Balance readings, raw, and what each was for."""

from django.db import models
from django.db.models import Q

from .append_only import AppendOnlyModel


class WeighingPurpose(models.TextChoices):
    TARE = "tare", "Tare"
    GROSS = "gross", "Gross"
    BEFORE = "before", "Before taking"
    AFTER = "after", "After taking"
    CHECK = "check", "Check"


class Cause(models.TextChoices):
    """What a person decided a disagreeing weighing shows: that part is let go."""

    METAL = "metal", "Metal went in or out and was not recorded"
    LIQUID = "liquid", "Liquid medium went in or out"
    TARE = "tare", "Another closure, broken glass, or another gas inside"
    UNKNOWN = "unknown", "Not known: take the mean of both, weighted"


class Weighing(AppendOnlyModel):
    """A balance reading, raw, with its instrument and what was inside.

    A condition that was not noted is null; the sums then use an honest default
    with a wide uncertainty.
    """

    vessel = models.ForeignKey(
        "inventory.Vessel", models.PROTECT, related_name="weighings"
    )
    purpose = models.CharField(max_length=10, choices=WeighingPurpose)
    reading_ug = models.BigIntegerField()
    balance = models.ForeignKey("inventory.Balance", models.PROTECT, related_name="+")
    read_at = models.DateTimeField()
    air_temperature_c = models.FloatField(null=True, blank=True)
    air_pressure_pa = models.FloatField(null=True, blank=True)
    air_humidity = models.FloatField(null=True, blank=True)
    gas = models.ForeignKey("inventory.Medium", models.PROTECT, related_name="+")
    liquid_ug = models.BigIntegerField("liquid medium inside", default=0)
    # Of the liquid's change since the weighing before: what was in all along
    # cancels in a difference, and so does its uncertainty.
    u_liquid_ug = models.BigIntegerField(default=0)
    note = models.CharField(max_length=300, blank=True)
    # What the balance's record said against it at the time: overdue, overloaded.
    reservation = models.CharField(max_length=200, blank=True)
    cause = models.CharField(max_length=10, choices=Cause, blank=True)
    strikes = models.OneToOneField(
        "self", models.PROTECT, null=True, blank=True, related_name="struck_by"
    )
    entry = models.ForeignKey(
        "inventory.LogEntry", models.PROTECT, related_name="weighings"
    )

    class Meta(AppendOnlyModel.Meta):
        abstract = False
        ordering = ["id"]
        constraints = [
            models.CheckConstraint(
                name="weighing_cause_known",
                condition=Q(cause__in=["", *Cause.values]),
            ),
            models.CheckConstraint(
                name="weighing_reading_positive",
                condition=Q(reading_ug__gt=0, liquid_ug__gte=0, u_liquid_ug__gte=0),
            ),
            models.CheckConstraint(
                name="weighing_purpose_known",
                condition=Q(purpose__in=WeighingPurpose.values),
            ),
        ]

    def __str__(self):
        return f"{self.get_purpose_display()} of {self.vessel_id}"
