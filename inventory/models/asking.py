"""What partners ask for, and each step of the answer."""

from django.db import models
from django.db.models import (
    BigIntegerField,
    Case,
    Count,
    Exists,
    F,
    OuterRef,
    Q,
    Subquery,
    Sum,
    When,
)
from django.db.models.functions import Coalesce
from django.urls import reverse
from django.utils import timezone

from inventory.calc.units import show_count, show_mass, show_percent

from .append_only import AppendOnlyModel
from .bookings import BookingLine
from .handing import HandOverLine
from .ledger import Movement, MovementKind
from .people import Role

# A drawn aliquot never hits the mass that was asked for: once metal has gone out, so
# many per cent of it count as all. Our own choice, no source.
ALL_BUT = 99

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


class Where(models.TextChoices):
    """Where a request stands, by its answers and by what was booked and went out."""

    ASKED = "asked", "Asked"
    WAITING = "waiting", "Granted, waiting for metal"
    BOOKED = "booked", "Booked"
    PARTLY = "partly", "Partly booked"
    EXPIRED = "expired", "Booking expired"
    PARTLY_OVER = "partly-over", "Partly handed over"
    OVER = "over", "Handed over"
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

    @property
    def amount_words(self):
        if self.mass_ug is not None:
            return show_mass(self.mass_ug)
        return show_count(self.vessel_count, "whole vessel")

    @property
    def form_words(self):
        return "whole vessels" if self.is_whole else "a drawn aliquot"

    def words_with(self, material):
        """Return all the terms but the day: "3.000 g of rubidium, as whole vessels"."""
        words = f"{self.amount_words} of {material.name}"
        if self.mass_ug is not None:
            words += f", as {self.form_words}"
        if self.smallest_purity is not None:
            words += f", at least {show_percent(self.smallest_purity)} pure"
        return words


class MetalRequestQuerySet(models.QuerySet):
    def visible_to(self, user):
        """Return the requests this person may see.

        A partner sees those of their organisation in a project, and what they asked
        for themselves; who belongs to none there, only the latter.
        """
        if user.role != Role.PARTNER:
            return self
        theirs = Q(project__memberships__partner=F("partner")) | Q(entry__by=user)
        return self.filter(theirs, project__memberships__user=user)

    def pending(self):
        """Return the requests that were neither declined nor taken back."""
        return self.filter(state__in=[RequestState.ASKED, RequestState.GRANTED])

    def with_booked(self):
        """Annotate what is booked, was served and is missing of each request.

        `booked_ug`, `booked_count`: its bookings' open lines. `served_ug`,
        `served_count`: what was handed over for it or withdrawn against its lines.
        `missing_ug` or `missing_count` (the other is None): asked less both.
        `has_lapsed`: whether a booking for it expired.
        """
        lines = BookingLine.objects.filter(booking__request=OuterRef("pk"))
        still = BookingLine.objects.open().filter(booking__request=OuterRef("pk"))
        handed = HandOverLine.objects.filter(
            booking_line__booking__request=OuterRef("pk")
        )
        taken = Movement.objects.standing().filter(
            kind=MovementKind.WITHDRAWAL,
            booking_line__booking__request=OuterRef("pk"),
            booking_line__hand_over_line=None,
        )
        lapsed = Q(closed_by=None, booking__expires_on__lt=timezone.localdate())
        found = self.annotate(
            booked_ug=of_each(still, Sum("mass_ug"), "booking__request"),
            booked_count=of_each(still, Count("pk"), "booking__request"),
            served_ug=of_each(handed, Sum("mass_ug")) + of_each(taken, Sum("mass_ug")),
            served_count=of_each(handed, Count("pk"))
            + of_each(taken, Count("from_vessel", distinct=True)),
            has_lapsed=Exists(lines.filter(lapsed | Q(closed_by__verb="expire"))),
        )
        return found.annotate(
            missing_ug=missing("mass_ug", "booked_ug", "served_ug"),
            missing_count=missing("vessel_count", "booked_count", "served_count"),
        )

    def waiting(self):
        """Of `with_booked`, return those that somebody still has to do something for.

        In a closed project nobody does.
        """
        short = Q(missing_ug__gt=0) | Q(missing_count__gt=0)
        still = self.pending().filter(project__closed_on=None)
        return still.filter(short | Q(state=RequestState.ASKED))


def of_each(rows, total, path="booking_line__booking__request"):
    """Return `total` over the `rows` of one request, as a subquery; 0 for no row."""
    one = rows.order_by().values(path).values(total=total)
    return Coalesce(Subquery(one, output_field=BigIntegerField()), 0)


def missing(asked, booked, served):
    """Return what is asked less what is booked and served, not below 0, or None."""
    enough = Q(**{f"{served}__gt": 0}) & Q(
        **{f"{asked}__lte": (F(booked) + F(served)) * 100 / ALL_BUT}
    )
    return Case(
        When(**{f"{asked}__isnull": True}, then=None),
        When(enough | Q(**{f"{asked}__lte": F(booked) + F(served)}), then=0),
        default=F(asked) - F(booked) - F(served),
        output_field=BigIntegerField(),
    )


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

    @property
    def is_covered(self):
        """Whether nothing is missing; needs `with_booked`, as `where` does."""
        return not (self.missing_ug or self.missing_count)

    @property
    def where(self):
        """Return the Where of the request, from `with_booked`."""
        if not self.is_pending:
            return Where(self.state)
        if self.booked_ug:
            return Where.BOOKED if self.is_covered else Where.PARTLY
        if self.served_ug:
            return Where.OVER if self.is_covered else Where.PARTLY_OVER
        if self.has_lapsed:
            return Where.EXPIRED
        return Where.WAITING if self.state == RequestState.GRANTED else Where.ASKED


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
