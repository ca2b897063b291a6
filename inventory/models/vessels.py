"""The glass: one record for one filling."""

from django.db import models
from django.db.models import Case, Exists, F, OuterRef, Q, Subquery, Sum, Value, When
from django.db.models.functions import Coalesce
from django.urls import reverse

from inventory.calc import codes


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

        Subqueries, because two joins summed at once multiply each other's rows. What
        is in somebody else's hands is not free.
        """
        from .bookings import BookingLine
        from .ledger import Movement

        def moved(side):
            rows = Movement.objects.filter(**{side: OuterRef("pk")})
            rows = rows.order_by().values(side).values(total=Sum("mass_ug"))
            return Coalesce(Subquery(rows), 0)

        lines = BookingLine.objects.open().filter(vessel=OuterRef("pk"))
        promised = lines.order_by().values("vessel").values(total=Sum("mass_ug"))
        return self.annotate(
            remaining_ug=moved("to_vessel") - moved("from_vessel"),
            promised_ug=Coalesce(Subquery(promised), 0),
        ).annotate(
            free_ug=Case(
                When(custodian__isnull=False, then=Value(0)),
                default=F("remaining_ug") - F("promised_ug"),
            )
        )

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
        from .weighings import Weighing, WeighingPurpose

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
            self.select_related(
                "batch__material", "medium", "gas", "place", "custodian"
            )
            .with_remaining()
            .with_estimate()
            .with_tared()
        )

    def waiting(self):
        """Return the empty vessels that can be filled, and whether each is tared."""
        return self.with_tared().filter(filled_on=None, retired_on=None)

    def in_stock(self):
        """Return the vessels that hold metal, also those in a partner's hands."""
        return self.filter(filled_on__isnull=False, spent_on=None)

    def here(self):
        """Leave out the vessels that are in a partner's hands."""
        return self.filter(custodian=None)


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
    # Whoever holds it while it is not in this house.
    custodian = models.ForeignKey(
        "inventory.Partner", models.PROTECT, null=True, related_name="vessels"
    )
    heel_ug = models.BigIntegerField("what cannot be got out", default=0)
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
                name="vessel_heel_not_negative", condition=Q(heel_ug__gte=0)
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
