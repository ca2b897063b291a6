"""What partners ask for, and each step of the answer."""

from django.db import models
from django.db.models import Q
from django.urls import reverse

from .append_only import AppendOnlyModel

AMOUNT = Q(mass_ug__isnull=False, mass_ug__gt=0, vessel_count=None) | Q(
    mass_ug=None, vessel_count__isnull=False, vessel_count__gt=0, is_whole=True
)
"""Either metal of this mass, or this many whole vessels."""

PURITY = Q(smallest_purity=None) | Q(smallest_purity__gt=0, smallest_purity__lte=1)


class RequestState(models.TextChoices):
    ASKED = "asked", "Asked"
    GRANTED = "granted", "Granted"
    DECLINED = "declined", "Declined"
    WITHDRAWN = "withdrawn", "Taken back"


class Terms(models.Model):
    """How much of what, in which form, by when: as asked, or as granted instead."""

    mass_ug = models.BigIntegerField("mass", null=True)
    vessel_count = models.PositiveIntegerField("vessels", null=True)
    is_whole = models.BooleanField("whole vessels", default=False)
    smallest_purity = models.FloatField(null=True)
    needed_by = models.DateField()

    class Meta:
        abstract = True


class MetalRequestQuerySet(models.QuerySet):
    def visible_to(self, user):
        """Return the requests this person may see: a partner, of their projects."""
        if user.is_partner:
            return self.filter(project__memberships__user=user)
        return self

    def pending(self):
        """Return the requests that were neither declined nor taken back."""
        return self.filter(state__in=[RequestState.ASKED, RequestState.GRANTED])


class MetalRequest(Terms):
    """Metal asked for in a project. Its terms and state are those of its last step."""

    project = models.ForeignKey(
        "inventory.Project", models.PROTECT, related_name="requests"
    )
    partner = models.ForeignKey(
        "inventory.Partner", models.PROTECT, null=True, related_name="requests"
    )
    material = models.ForeignKey(
        "inventory.Material", models.PROTECT, related_name="requests"
    )
    asked = models.CharField("asked for", max_length=60)  # As typed: "25 mmol".
    purpose = models.CharField(max_length=300)
    state = models.CharField(
        max_length=10, choices=RequestState, default=RequestState.ASKED
    )
    entry = models.ForeignKey(
        "inventory.LogEntry", models.PROTECT, related_name="requests"
    )

    objects = MetalRequestQuerySet.as_manager()

    class Meta:
        ordering = ["needed_by", "id"]
        constraints = [
            models.CheckConstraint(name="request_for_an_amount", condition=AMOUNT),
            models.CheckConstraint(
                name="request_purity_is_a_fraction", condition=PURITY
            ),
            models.CheckConstraint(
                name="request_state_known", condition=Q(state__in=RequestState.values)
            ),
        ]

    def __str__(self):
        return f"Request {self.pk}"

    def get_absolute_url(self):
        return reverse("request", args=[self.pk])

    @property
    def is_pending(self):
        return self.state in (RequestState.ASKED, RequestState.GRANTED)


class StepKind(models.TextChoices):
    ASKED = "asked", "Asked"
    GRANTED = "granted", "Granted as asked"
    CHANGED = "changed", "Granted with changes"
    DECLINED = "declined", "Declined"
    WITHDRAWN = "withdrawn", "Taken back"


class RequestStep(Terms, AppendOnlyModel):
    """One step of a request, with the terms that hold from then on."""

    metal_request = models.ForeignKey(
        MetalRequest, models.PROTECT, related_name="steps"
    )
    kind = models.CharField(max_length=10, choices=StepKind)
    reason = models.CharField(max_length=300, blank=True)
    entry = models.ForeignKey(
        "inventory.LogEntry", models.PROTECT, related_name="request_steps"
    )

    class Meta(AppendOnlyModel.Meta):
        abstract = False
        ordering = ["id"]
        constraints = [
            models.CheckConstraint(name="request_step_amount", condition=AMOUNT),
            models.CheckConstraint(name="request_step_purity", condition=PURITY),
            models.CheckConstraint(
                name="request_step_kind_known", condition=Q(kind__in=StepKind.values)
            ),
            models.CheckConstraint(
                name="request_step_says_why",
                condition=~Q(kind__in=["changed", "declined"]) | ~Q(reason=""),
            ),
        ]

    def __str__(self):
        return f"{self.get_kind_display()}: request {self.metal_request_id}"
