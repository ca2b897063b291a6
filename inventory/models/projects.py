"""Who shares the metal, and what has been promised to whom."""

from django.db import models
from django.db.models import Exists, OuterRef, Q, Subquery, Sum
from django.db.models.functions import Coalesce
from django.urls import reverse

from .people import Role


class ProjectQuerySet(models.QuerySet):
    def visible_to(self, user):
        """Return the projects this person may see: a partner, only their own."""
        if user.role == Role.PARTNER:
            return self.filter(memberships__user=user)
        return self

    def open(self):
        return self.filter(closed_on=None)

    def with_promised(self):
        """Annotate `open_ug`, what is promised to the project and not yet served."""
        lines = BookingLine.objects.filter(
            booking__project=OuterRef("pk"), closed_by=None
        )
        total = lines.order_by().values("booking__project")
        total = total.values(total=Sum("mass_ug"))
        return self.annotate(open_ug=Coalesce(Subquery(total), 0))


class Project(models.Model):
    """Shared work that metal is promised to."""

    title = models.CharField(max_length=120, unique=True)
    purpose = models.TextField(max_length=1000, blank=True)
    partner = models.CharField("partner organisation", max_length=120, blank=True)
    starts_on = models.DateField(null=True, blank=True)
    ends_on = models.DateField(null=True, blank=True)
    closed_on = models.DateField(null=True, blank=True)

    objects = ProjectQuerySet.as_manager()

    class Meta:
        ordering = ["title"]
        constraints = [
            models.CheckConstraint(
                name="project_ends_after_it_starts",
                condition=Q(starts_on=None)
                | Q(ends_on=None)
                | Q(ends_on__gte=models.F("starts_on")),
                violation_error_message="The project ends before it starts.",
            )
        ]

    def __str__(self):
        return self.title

    def get_absolute_url(self):
        return reverse("project", args=[self.pk])


class Membership(models.Model):
    """A person in a project."""

    project = models.ForeignKey(Project, models.CASCADE, related_name="memberships")
    user = models.ForeignKey(
        "inventory.User", models.PROTECT, related_name="memberships"
    )

    class Meta:
        ordering = ["user__username"]
        constraints = [
            models.UniqueConstraint(name="membership_once", fields=["project", "user"])
        ]

    def __str__(self):
        return f"{self.user_id} in {self.project_id}"


class BookingQuerySet(models.QuerySet):
    def with_open(self):
        """Annotate `is_open` and `open_ug`: whether, and how much, is still promised."""
        lines = BookingLine.objects.filter(booking=OuterRef("pk"), closed_by=None)
        total = lines.order_by().values("booking").values(total=Sum("mass_ug"))
        return self.annotate(is_open=Exists(lines), open_ug=Subquery(total))


class Booking(models.Model):
    """A promise of metal, from chosen vessels, to a project."""

    project = models.ForeignKey(Project, models.PROTECT, related_name="bookings")
    purpose = models.CharField(max_length=300)
    needed_by = models.DateField()
    note = models.CharField(max_length=300, blank=True)
    entry = models.ForeignKey(
        "inventory.LogEntry", models.PROTECT, related_name="bookings"
    )

    objects = BookingQuerySet.as_manager()

    class Meta:
        ordering = ["needed_by", "id"]

    def __str__(self):
        return f"Booking {self.pk}"

    def get_absolute_url(self):
        return reverse("booking", args=[self.pk])


class BookingLineQuerySet(models.QuerySet):
    def offered_to(self, user):
        """Return the keys of vessels booked, now or before, for a partner's projects."""
        return self.filter(booking__project__memberships__user=user).values("vessel")


class BookingLine(models.Model):
    """The metal promised from one vessel. The mass of a line never changes.

    A line is closed once: by the withdrawal that served it, or by its release.
    What a withdrawal leaves open becomes a new line.
    """

    booking = models.ForeignKey(Booking, models.PROTECT, related_name="lines")
    vessel = models.ForeignKey(
        "inventory.Vessel", models.PROTECT, related_name="booking_lines"
    )
    mass_ug = models.BigIntegerField()
    is_whole = models.BooleanField(default=False)
    closed_by = models.ForeignKey(
        "inventory.LogEntry", models.PROTECT, null=True, related_name="closed_lines"
    )

    objects = BookingLineQuerySet.as_manager()

    class Meta:
        ordering = ["id"]
        indexes = [
            models.Index(
                name="bookingline_open",
                fields=["vessel", "mass_ug"],
                condition=Q(closed_by=None),
            )
        ]
        constraints = [
            models.CheckConstraint(
                name="booking_line_mass_positive", condition=Q(mass_ug__gt=0)
            ),
            models.UniqueConstraint(
                name="booking_line_open_once",
                fields=["booking", "vessel"],
                condition=Q(closed_by=None),
            ),
        ]

    def __str__(self):
        return f"{self.mass_ug} µg from {self.vessel_id}"
