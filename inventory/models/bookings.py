"""Promises of metal: to whom, until when, and from which vessels."""

from collections import Counter

from django.db import models
from django.db.models import Exists, F, OuterRef, Prefetch, Q, Subquery, Sum
from django.urls import reverse
from django.utils import timezone
from django.utils.functional import cached_property

from inventory.calc.units import show_mass


class BookingQuerySet(models.QuerySet):
    def visible_to(self, user):
        """Return the bookings this person may see.

        A partner sees those of their projects that name their own organisation, or
        none: those are for everybody in the project.
        """
        if not user.is_partner:
            return self
        return self.filter(
            Q(partner=None) | Q(partner=F("project__memberships__partner")),
            project__memberships__user=user,
        )

    def with_open(self):
        """Annotate `is_open` and `open_ug`: whether, and how much, is still promised."""
        lines = BookingLine.objects.open().filter(booking=OuterRef("pk"))
        total = lines.order_by().values("booking").values(total=Sum("mass_ug"))
        return self.annotate(is_open=Exists(lines), open_ug=Subquery(total))

    def with_metals(self):
        """Read the lines and their metals along, for `promised` and the words."""
        lines = BookingLine.objects.select_related("vessel__batch__material")
        return self.prefetch_related(Prefetch("lines", lines, to_attr="known_lines"))


class Booking(models.Model):
    """A promise of metal, from chosen vessels, to a project or one of its partners.

    It holds until the end of the day `expires_on`; from the next day on it promises
    nothing, whether or not anybody recorded that.
    """

    project = models.ForeignKey(
        "inventory.Project", models.PROTECT, related_name="bookings"
    )
    partner = models.ForeignKey(
        "inventory.Partner", models.PROTECT, null=True, related_name="bookings"
    )
    request = models.ForeignKey(
        "inventory.MetalRequest", models.PROTECT, null=True, related_name="bookings"
    )
    purpose = models.CharField(max_length=300)
    needed_by = models.DateField()
    expires_on = models.DateField()
    note = models.CharField(max_length=300, blank=True)
    # Why a keeper promised more than the partner's share.
    beyond_share = models.CharField(max_length=300, blank=True)
    entry = models.ForeignKey(
        "inventory.LogEntry", models.PROTECT, related_name="bookings"
    )

    objects = BookingQuerySet.as_manager()

    class Meta:
        ordering = ["needed_by", "id"]
        constraints = [
            models.CheckConstraint(
                name="booking_holds_until_needed",
                condition=Q(expires_on__gte=F("needed_by")),
            )
        ]

    def __str__(self):
        return f"Booking {self.pk}"

    def get_absolute_url(self):
        return reverse("booking", args=[self.pk])

    @property
    def has_expired(self):
        return self.expires_on < timezone.localdate()

    @cached_property
    def known_lines(self):
        """All lines with their metals; of many bookings, `with_metals` reads them."""
        return list(self.lines.select_related("vessel__batch__material"))

    @property
    def promised(self):
        """Return {name of a metal: µg} of what is still promised."""
        return by_metal(line for line in self.known_lines if line.is_open)

    @property
    def promised_words(self):
        """Say what is still promised: "2.000 g of rubidium, 1.000 g of caesium"."""
        return mass_words(self.promised)

    @property
    def metal_words(self):
        """Name the metals it promises, or once promised: "rubidium and caesium"."""
        return " and ".join(self.promised or by_metal(self.known_lines))


def by_metal(lines):
    """Return {name of a metal: µg} of lines with their vessels."""
    found = Counter()
    for line in lines:
        found[line.vessel.batch.material.name] += line.mass_ug
    return found


def mass_words(masses):
    """Say {name: µg} metal by metal: grams of different metals are never added."""
    parts = [f"{show_mass(ug)} of {name}" for name, ug in masses.items()]
    return ", ".join(parts) or "nothing"


def total_words(masses):
    """Say {name: µg} as one mass if it is of one metal, else metal by metal."""
    return mass_words(masses) if len(masses) > 1 else show_mass(sum(masses.values()))


class BookingLineQuerySet(models.QuerySet):
    def open(self, on=None):
        """Return what is still promised on a day, today unless said otherwise."""
        day = on or timezone.localdate()
        return self.filter(closed_by=None, booking__expires_on__gte=day)

    def lapsed(self):
        """Return the promises whose day has passed and that nobody closed yet."""
        return self.filter(closed_by=None, booking__expires_on__lt=timezone.localdate())

    def by_metal(self):
        """Return {name of a metal: µg} of these lines."""
        metal = "vessel__batch__material__name"
        rows = self.order_by().values_list(metal).annotate(total=Sum("mass_ug"))
        return dict(rows.order_by(metal))

    def offered_to(self, user):
        """Return the keys of vessels booked, now or before, where a partner may see."""
        theirs = Booking.objects.visible_to(user)
        return self.filter(booking__in=theirs).values("vessel")


class BookingLine(models.Model):
    """The metal promised from one vessel. The mass of a line never changes.

    A line is closed once: by the withdrawal or hand-over that served it, by its
    release, or when its day has passed. What a withdrawal leaves open becomes a new
    line; so does an aliquot that was drawn into a vessel of its own.
    """

    booking = models.ForeignKey(Booking, models.PROTECT, related_name="lines")
    vessel = models.ForeignKey(
        "inventory.Vessel", models.PROTECT, related_name="booking_lines"
    )
    mass_ug = models.BigIntegerField()
    is_whole = models.BooleanField(default=False)
    # Taken from its place, its code compared: ready to be handed over.
    picked_by = models.ForeignKey(
        "inventory.LogEntry", models.PROTECT, null=True, related_name="picked_lines"
    )
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

    @property
    def is_open(self):
        return self.closed_by_id is None and not self.booking.has_expired
