"""The glass: one record for one filling, and every balance reading of it."""

from django.db import models
from django.db.models import Exists, F, OuterRef, Q, Subquery, Sum
from django.db.models.functions import Coalesce
from django.urls import reverse

from inventory.calc import codes

from .append_only import AppendOnlyModel


class VesselKind(models.TextChoices):
    AMPOULE = "ampoule", "Ampoule"
    VIAL = "vial", "Vial"
    SCHLENK_TUBE = "schlenk_tube", "Schlenk tube"
    SCHLENK_FLASK = "schlenk_flask", "Schlenk flask"
    BULB = "bulb", "Bulb"
    BOTTLE = "bottle", "Bottle"


class Closure(models.TextChoices):
    FLAME_SEALED = "flame_sealed", "Flame-sealed"
    STOPCOCK = "stopcock", "Stopcock and stopper"
    STOPPER = "stopper", "Ground stopper"
    SCREW_CAP = "screw_cap", "Screw cap"


USUAL_CLOSURE = {
    VesselKind.AMPOULE: Closure.FLAME_SEALED,
    VesselKind.VIAL: Closure.SCREW_CAP,
    VesselKind.SCHLENK_TUBE: Closure.STOPCOCK,
    VesselKind.SCHLENK_FLASK: Closure.STOPCOCK,
    VesselKind.BULB: Closure.STOPCOCK,
    VesselKind.BOTTLE: Closure.SCREW_CAP,
}
"""What a form assumes of a kind until somebody says otherwise."""


class VesselQuerySet(models.QuerySet):
    def with_remaining(self):
        """Annotate `remaining_ug`, `promised_ug` and `free_ug`: questions to the ledger.

        Subqueries, because two joins summed at once multiply each other's rows.
        """
        from .ledger import Movement
        from .projects import BookingLine

        def moved(side):
            rows = Movement.objects.filter(**{side: OuterRef("pk")})
            rows = rows.order_by().values(side).values(total=Sum("mass_ug"))
            return Coalesce(Subquery(rows), 0)

        lines = BookingLine.objects.filter(vessel=OuterRef("pk"), closed_by=None)
        promised = lines.order_by().values("vessel").values(total=Sum("mass_ug"))
        return self.annotate(
            remaining_ug=moved("to_vessel") - moved("from_vessel"),
            promised_ug=Coalesce(Subquery(promised), 0),
        ).annotate(free_ug=F("remaining_ug") - F("promised_ug"))

    def with_estimate(self):
        """Annotate `u2_ug2`, the metal's variance, and `liquid_ug`, as estimated now.

        The newest snapshot is the last one written: a history that is read anew
        is written anew.
        """
        from .estimates import Estimate

        newest = Estimate.objects.filter(vessel=OuterRef("pk")).order_by("-id")
        return self.annotate(
            u2_ug2=Coalesce(Subquery(newest.values("var_metal")[:1]), 0.0),
            liquid_ug=Coalesce(Subquery(newest.values("liquid_ug")[:1]), 0.0),
        )

    def with_tared(self):
        """Annotate `is_tared`: a tare that stands says how heavy the glass is."""
        tares = Weighing.objects.filter(purpose=WeighingPurpose.TARE, struck_by=None)
        return self.annotate(is_tared=Exists(tares.filter(vessel=OuterRef("pk"))))

    def with_last_movement(self):
        """Annotate `last_moved_at`, when metal last went in or out."""
        from .ledger import Movement

        newest = Movement.objects.filter(
            Q(to_vessel=OuterRef("pk")) | Q(from_vessel=OuterRef("pk"))
        ).order_by("-happened_at")
        return self.annotate(last_moved_at=Subquery(newest.values("happened_at")[:1]))

    def for_list(self):
        """Return what the vessel list shows, without a further query per row."""
        return (
            self.select_related("batch__material", "medium", "gas", "place")
            .with_remaining()
            .with_estimate()
            .with_tared()
        )

    def waiting(self):
        """Return the empty vessels that can be filled, and whether each is tared."""
        return self.with_tared().filter(filled_on=None, retired_on=None)

    def in_stock(self):
        """Return the vessels that hold metal."""
        return self.filter(filled_on__isnull=False, spent_on=None)


class Vessel(models.Model):
    """One container for one filling.

    Glass that is used again becomes a new vessel naming the same glass mark, so
    that a printed code never changes its meaning. What it holds is a question to
    the ledger: see `with_remaining`.
    """

    batch = models.ForeignKey(
        "inventory.Batch", models.PROTECT, null=True, blank=True, related_name="vessels"
    )
    number = models.PositiveIntegerField(null=True, blank=True)
    code = models.CharField(max_length=20, unique=True, null=True, blank=True)
    glass_mark = models.CharField(max_length=30, blank=True)
    kind = models.CharField(max_length=15, choices=VesselKind)
    capacity_ul = models.BigIntegerField("inner volume")
    outer_volume_ul = models.BigIntegerField("outer volume", null=True, blank=True)
    closure = models.CharField(max_length=15, choices=Closure, blank=True)
    medium = models.ForeignKey(
        "inventory.Medium", models.PROTECT, null=True, blank=True, related_name="+"
    )
    gas = models.ForeignKey(
        "inventory.Medium", models.PROTECT, null=True, blank=True, related_name="+"
    )
    place = models.ForeignKey(
        "inventory.Place", models.PROTECT, null=True, blank=True, related_name="vessels"
    )
    filled_on = models.DateField(null=True, blank=True)
    opened_on = models.DateField(null=True, blank=True)
    # Set while the ledger says that a filled vessel holds nothing any more, so that
    # lists need not ask the ledger about every vessel there ever was.
    spent_on = models.DateField(null=True, blank=True)
    retired_on = models.DateField(null=True, blank=True)
    note = models.CharField(max_length=300, blank=True)

    objects = VesselQuerySet.as_manager()

    class Meta:
        ordering = ["-batch", "number", "id"]
        indexes = [
            models.Index(name="vessel_by_code", fields=["-batch", "number", "id"]),
            models.Index(
                name="vessel_in_stock",
                fields=["-batch", "number", "id"],
                condition=Q(filled_on__isnull=False, spent_on=None),
            ),
        ]
        constraints = [
            models.UniqueConstraint(
                name="vessel_number_once", fields=["batch", "number"]
            ),
            # Two people at once cannot give the same mark; afterwards it is for the
            # operations to say who has it.
            models.UniqueConstraint(
                name="vessel_glass_mark_waits_once",
                fields=["glass_mark"],
                condition=Q(filled_on=None, retired_on=None) & ~Q(glass_mark=""),
            ),
            models.CheckConstraint(
                name="vessel_code_comes_with_batch",
                condition=Q(batch=None, number=None, code=None)
                | Q(batch__isnull=False, number__isnull=False, code__isnull=False),
            ),
            models.CheckConstraint(
                name="vessel_without_batch_has_a_glass_mark",
                condition=Q(batch__isnull=False) | ~Q(glass_mark=""),
            ),
            models.CheckConstraint(
                name="vessel_capacity_positive", condition=Q(capacity_ul__gt=0)
            ),
            models.CheckConstraint(
                name="vessel_kind_known", condition=Q(kind__in=VesselKind.values)
            ),
            models.CheckConstraint(
                name="vessel_filled_has_batch_and_medium",
                condition=Q(filled_on=None)
                | Q(batch__isnull=False, medium__isnull=False),
            ),
            models.CheckConstraint(
                name="vessel_spent_was_filled",
                condition=Q(spent_on=None) | Q(filled_on__isnull=False),
            ),
            models.CheckConstraint(
                name="vessel_retired_is_empty",
                condition=Q(retired_on=None)
                | Q(filled_on=None)
                | Q(spent_on__isnull=False),
            ),
        ]

    def __str__(self):
        return self.code or f"glass {self.glass_mark}"

    def get_absolute_url(self):
        return reverse("vessel", args=[self.pk])

    @property
    def full_code(self):
        """The code with its check character, for typing by hand."""
        if not self.code:
            return ""
        return f"{self.code}-{codes.check_character(self.code)}"

    @property
    def u_ug(self):
        """The standard uncertainty of what remains, for one from `with_estimate`."""
        return self.u2_ug2**0.5

    @property
    def closure_words(self):
        """How it is closed, in words; a flame seal is gone once it was opened."""
        if self.closure == Closure.FLAME_SEALED and self.opened_on:
            return "seal opened"
        return self.get_closure_display()

    @property
    def is_sealed(self):
        return self.closure == Closure.FLAME_SEALED and self.opened_on is None


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

    vessel = models.ForeignKey(Vessel, models.PROTECT, related_name="weighings")
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
