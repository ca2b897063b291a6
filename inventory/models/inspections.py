"""Looking after what stands on the shelf, and the private link to what is due."""

from django.db import models
from django.db.models import Exists, OuterRef, Q
from django.db.models.functions import Now

from .append_only import AppendOnlyModel, AppendOnlyQuerySet


class Seal(models.TextChoices):
    TIGHT = "tight", "Tight"
    DOUBTFUL = "doubtful", "Doubtful"
    LEAKS = "leaks", "Leaks"


class InspectionQuerySet(AppendOnlyQuerySet):
    def newest(self):
        """Return of each vessel its last inspection."""
        later = self.model.objects.filter(vessel=OuterRef("vessel"))
        return self.filter(~Exists(later.filter(pk__gt=OuterRef("pk"))))


class Inspection(AppendOnlyModel):
    """One look at a vessel: its seal, the metal, and when to look again."""

    vessel = models.ForeignKey(
        "inventory.Vessel", models.PROTECT, related_name="inspections"
    )
    looked_on = models.DateField()
    seal = models.CharField(max_length=10, choices=Seal)
    look = models.CharField("how the metal looks", max_length=200, blank=True)
    next_on = models.DateField("look again on", null=True)
    note = models.CharField(max_length=300, blank=True)
    entry = models.ForeignKey(
        "inventory.LogEntry", models.PROTECT, related_name="inspections"
    )

    objects = InspectionQuerySet.as_manager()

    class Meta(AppendOnlyModel.Meta):
        abstract = False
        ordering = ["-id"]
        indexes = [
            models.Index(name="inspection_newest", fields=["vessel", "-id"]),
            models.Index(
                name="inspection_due",
                fields=["next_on"],
                condition=Q(next_on__isnull=False),
            ),
        ]
        constraints = [
            models.CheckConstraint(
                name="inspection_seal_known", condition=Q(seal__in=Seal.values)
            ),
            models.CheckConstraint(
                name="inspection_next_is_later",
                condition=Q(next_on=None) | Q(next_on__gt=models.F("looked_on")),
            ),
        ]

    def __str__(self):
        return f"{self.get_seal_display()}: {self.vessel_id}"


class CalendarLink(models.Model):
    """A private address of somebody's calendar. Only the digest of it is kept."""

    user = models.ForeignKey(
        "inventory.User", models.CASCADE, related_name="calendar_links"
    )
    digest = models.CharField(max_length=64, unique=True, editable=False)
    made_at = models.DateTimeField(db_default=Now(), editable=False)
    revoked_at = models.DateTimeField(null=True, editable=False)

    class Meta:
        ordering = ["-id"]
        constraints = [
            models.UniqueConstraint(
                name="calendar_link_one_each",
                fields=["user"],
                condition=Q(revoked_at=None),
            )
        ]

    def __str__(self):
        return f"Calendar link of {self.user_id}"
