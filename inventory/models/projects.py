"""Who shares the metal: projects, their members and partners, and each one's share."""

from django.db import models
from django.db.models import OuterRef, Q, Subquery, Sum
from django.db.models.functions import Coalesce
from django.urls import reverse

from .bookings import Booking, BookingLine
from .people import Role


class Partner(models.Model):
    """An organisation that metal is shared with. No person's data are needed."""

    name = models.CharField(max_length=120, unique=True)
    address = models.CharField(max_length=300, blank=True)
    email = models.EmailField("e-mail of the organisation", blank=True)
    note = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["name"]

    def __str__(self):
        return self.name


class ProjectQuerySet(models.QuerySet):
    def visible_to(self, user):
        """Return the projects this person may see: a partner, only their own."""
        if user.role == Role.PARTNER:
            return self.filter(memberships__user=user)
        return self

    def open(self):
        return self.filter(closed_on=None)

    def with_promised(self, user=None):
        """Annotate `open_ug`, what is promised to the project and not yet served.

        For a `user`, only in the bookings that they may see.
        """
        lines = BookingLine.objects.open().filter(booking__project=OuterRef("pk"))
        if user and user.is_partner:
            lines = lines.filter(booking__in=Booking.objects.visible_to(user))
        total = lines.order_by().values("booking__project")
        total = total.values(total=Sum("mass_ug"))
        return self.annotate(open_ug=Coalesce(Subquery(total), 0))


class Project(models.Model):
    """Shared work that metal is promised to."""

    title = models.CharField(max_length=120, unique=True)
    purpose = models.TextField(max_length=1000, blank=True)
    partners = models.ManyToManyField(Partner, related_name="projects", blank=True)
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


class MemberRole(models.TextChoices):
    """What a member does in a project, beside their role in the laboratory."""

    LEAD = "lead", "Leads: asks, and hears of every step"
    ASKS = "asks", "Asks for metal"
    SEES = "sees", "Sees only"


class Membership(models.Model):
    """A person in a project, on behalf of a partner organisation or of this house."""

    project = models.ForeignKey(Project, models.CASCADE, related_name="memberships")
    user = models.ForeignKey(
        "inventory.User", models.PROTECT, related_name="memberships"
    )
    role = models.CharField(max_length=10, choices=MemberRole, default=MemberRole.ASKS)
    partner = models.ForeignKey(
        Partner, models.PROTECT, null=True, blank=True, related_name="memberships"
    )

    class Meta:
        ordering = ["user__username"]
        constraints = [
            models.UniqueConstraint(name="membership_once", fields=["project", "user"]),
            models.CheckConstraint(
                name="membership_role_known",
                condition=Q(role__in=MemberRole.values),
            ),
        ]

    def __str__(self):
        return f"{self.user_id} in {self.project_id}"

    @property
    def may_ask(self):
        return self.role in (MemberRole.LEAD, MemberRole.ASKS)


class Share(models.Model):
    """What one partner may have of one metal in one project.

    Either a mass or a number of vessels. What of it is used and promised is a
    question to the record: see `operations.shares`.
    """

    project = models.ForeignKey(Project, models.PROTECT, related_name="shares")
    partner = models.ForeignKey(Partner, models.PROTECT, related_name="shares")
    material = models.ForeignKey(
        "inventory.Material", models.PROTECT, related_name="shares"
    )
    mass_ug = models.BigIntegerField("mass", null=True, blank=True)
    vessel_count = models.PositiveIntegerField("vessels", null=True, blank=True)
    smallest_purity = models.FloatField(null=True, blank=True)
    media = models.ManyToManyField(
        "inventory.Medium", related_name="+", blank=True
    )  # None named: any.
    note = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["project", "partner__name", "material"]
        constraints = [
            models.UniqueConstraint(
                name="share_once",
                fields=["project", "partner", "material"],
                violation_error_message="This partner has a share of this metal.",
            ),
            models.CheckConstraint(
                name="share_is_a_mass_or_a_number",
                condition=Q(mass_ug__isnull=False, mass_ug__gt=0, vessel_count=None)
                | Q(mass_ug=None, vessel_count__isnull=False, vessel_count__gt=0),
            ),
            models.CheckConstraint(
                name="share_purity_is_a_fraction",
                condition=Q(smallest_purity=None)
                | Q(smallest_purity__gt=0, smallest_purity__lte=1),
            ),
        ]

    def __str__(self):
        return f"Share of {self.partner_id} in {self.project_id}"
