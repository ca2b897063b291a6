"""Metal that left the house in its glass, and what came back or was reported of it."""

from django.db import models
from django.db.models import Exists, F, OuterRef, Q
from django.urls import reverse

from .append_only import AppendOnlyModel, AppendOnlyQuerySet


class HandOverQuerySet(AppendOnlyQuerySet):
    def visible_to(self, user):
        """Return the hand-overs this person may see: a partner, their organisation's.

        That of their membership in the hand-over's project.
        """
        if user.is_partner:
            return self.filter(
                project__memberships__user=user,
                project__memberships__partner=F("partner"),
            )
        return self


class HandOver(AppendOnlyModel):
    """Vessels that passed into a partner's custody, signed for on paper."""

    project = models.ForeignKey(
        "inventory.Project", models.PROTECT, related_name="hand_overs"
    )
    partner = models.ForeignKey(
        "inventory.Partner", models.PROTECT, related_name="hand_overs"
    )
    handed_at = models.DateTimeField()
    carried = models.CharField("how it travels", max_length=200, blank=True)
    note = models.CharField(max_length=300, blank=True)
    entry = models.ForeignKey(
        "inventory.LogEntry", models.PROTECT, related_name="hand_overs"
    )

    objects = HandOverQuerySet.as_manager()

    class Meta(AppendOnlyModel.Meta):
        abstract = False
        ordering = ["-id"]

    def __str__(self):
        return f"Hand-over {self.pk}"

    def get_absolute_url(self):
        return reverse("hand-over", args=[self.pk])


class HandOverLineQuerySet(AppendOnlyQuerySet):
    def out(self):
        """Leave out the lines whose vessels are in this house again."""
        back = Return.objects.filter(line=OuterRef("pk"), is_back=True)
        return self.filter(~Exists(back))


class HandOverLine(AppendOnlyModel):
    """One vessel handed over, with what it held then, in µg, and u at k = 1."""

    hand_over = models.ForeignKey(HandOver, models.PROTECT, related_name="lines")
    vessel = models.ForeignKey(
        "inventory.Vessel", models.PROTECT, related_name="hand_over_lines"
    )
    booking_line = models.OneToOneField(
        "inventory.BookingLine", models.PROTECT, related_name="hand_over_line"
    )
    mass_ug = models.BigIntegerField()
    u_ug = models.BigIntegerField()
    # A vessel that is lent comes back by a day with about so much metal in it.
    return_by = models.DateField(null=True)
    expected_ug = models.BigIntegerField("expected back", null=True)
    entry = models.ForeignKey(
        "inventory.LogEntry", models.PROTECT, related_name="hand_over_lines"
    )

    objects = HandOverLineQuerySet.as_manager()

    class Meta(AppendOnlyModel.Meta):
        abstract = False
        ordering = ["id"]
        constraints = [
            models.CheckConstraint(
                name="hand_over_line_mass_positive",
                condition=Q(mass_ug__gt=0, u_ug__gte=0),
            ),
            models.CheckConstraint(
                name="hand_over_line_expects_by_a_day",
                condition=Q(return_by=None, expected_ug=None)
                | Q(
                    return_by__isnull=False,
                    expected_ug__isnull=False,
                    expected_ug__gte=0,
                    expected_ug__lte=F("mass_ug"),
                ),
            ),
            models.UniqueConstraint(
                name="hand_over_line_vessel_once", fields=["hand_over", "vessel"]
            ),
        ]

    def __str__(self):
        return f"{self.vessel_id} in {self.hand_over_id}"


class ReturnKind(models.TextChoices):
    EMPTY = "empty", "Came back empty"
    PARTLY = "partly", "Came back, weighed again"
    REPORTED = "reported", "Use reported, not measured"


class Return(AppendOnlyModel):
    """What came back of a handed-over vessel, or what the partner reported of it.

    `used_ug` is what the partner used: measured, or only reported. `is_back` says
    that the glass is in this house again.
    """

    line = models.ForeignKey(HandOverLine, models.PROTECT, related_name="returns")
    kind = models.CharField(max_length=10, choices=ReturnKind)
    used_ug = models.BigIntegerField()
    u_ug = models.BigIntegerField()
    is_back = models.BooleanField()
    happened_at = models.DateTimeField()
    note = models.CharField(max_length=300, blank=True)
    movement = models.OneToOneField(
        "inventory.Movement", models.PROTECT, null=True, related_name="returned"
    )
    entry = models.ForeignKey(
        "inventory.LogEntry", models.PROTECT, related_name="returns"
    )

    class Meta(AppendOnlyModel.Meta):
        abstract = False
        ordering = ["id"]
        constraints = [
            models.CheckConstraint(
                name="return_kind_known", condition=Q(kind__in=ReturnKind.values)
            ),
            models.CheckConstraint(
                name="return_mass_not_negative",
                condition=Q(used_ug__gte=0, u_ug__gte=0),
            ),
            models.CheckConstraint(
                name="return_is_back_unless_reported",
                condition=Q(kind="reported") | Q(is_back=True),
            ),
            models.CheckConstraint(
                name="return_use_is_a_movement",
                condition=Q(used_ug=0, movement=None)
                | Q(used_ug__gt=0, movement__isnull=False),
            ),
        ]

    def __str__(self):
        return f"{self.get_kind_display()}: {self.line_id}"
