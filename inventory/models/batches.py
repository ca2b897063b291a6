"""Where a metal came from: one production, purchase or re-purification."""

from django.db import models
from django.db.models import F, FloatField, OuterRef, Q, Subquery, Sum
from django.db.models.functions import Cast, Coalesce
from django.urls import reverse

from .append_only import AppendOnlyModel


class BatchKind(models.TextChoices):
    MADE = "made", "Made here"
    BOUGHT = "bought", "Bought"
    REPURIFIED = "repurified", "Re-purified"
    COMBINED = "combined", "Combined"


class Process(models.TextChoices):
    """How a metal was made or made purer, so that like is compared with like."""

    REDUCTION = "reduction", "Reduction"
    ELECTROLYSIS = "electrolysis", "Electrolysis"
    DECOMPOSITION = "decomposition", "Thermal decomposition"
    DISTILLATION = "distillation", "Distillation"
    SUBLIMATION = "sublimation", "Sublimation"
    FILTRATION = "filtration", "Filtration of the melt"
    ALLOYING = "alloying", "Alloying"
    OTHER = "other", "Another process"


class BatchQuerySet(models.QuerySet):
    def with_filled(self):
        """Annotate `filled_ug` (all that left the batch into vessels) and `u2_filled`."""
        from .ledger import Movement

        out = Movement.objects.filter(from_batch=OuterRef("pk"), to_end="").standing()
        out = out.order_by().values("from_batch")
        u2 = Cast("u_ug", FloatField()) * Cast("u_ug", FloatField())
        return self.annotate(
            filled_ug=Coalesce(Subquery(out.values(total=Sum("mass_ug"))), 0),
            u2_filled=Coalesce(Subquery(out.values(total=Sum(u2))), 0.0),
        )

    def with_held(self):
        """Annotate `held_ug`, what the batch's vessels still hold, and `vessel_count`."""
        from .ledger import Movement
        from .vessels import Vessel

        def through(side):
            rows = Movement.objects.filter(**{f"{side}__batch": OuterRef("pk")})
            rows = rows.order_by().values(f"{side}__batch")
            return Coalesce(Subquery(rows.values(total=Sum("mass_ug"))), 0)

        vessels = Vessel.objects.filter(batch=OuterRef("pk")).order_by()
        count = vessels.values("batch").values(total=models.Count("pk"))
        return self.annotate(
            held_ug=through("to_vessel") - through("from_vessel"),
            vessel_count=Coalesce(Subquery(count), 0),
        )


class Batch(models.Model):
    """One production, purchase or re-purification of one material."""

    code = models.CharField(max_length=12, unique=True)
    material = models.ForeignKey(
        "inventory.Material", models.PROTECT, related_name="batches"
    )
    year = models.PositiveSmallIntegerField()
    run = models.PositiveIntegerField()
    kind = models.CharField(max_length=12, choices=BatchKind)
    hazard = models.ForeignKey(
        "inventory.HazardProfile", models.PROTECT, related_name="batches"
    )
    process = models.CharField(max_length=15, choices=Process, blank=True)
    made_on = models.DateField("date")
    route = models.CharField(max_length=300, blank=True)
    lot = models.CharField("supplier's lot", max_length=80, blank=True)
    purity = models.FloatField(null=True, blank=True)
    note = models.TextField(max_length=2000, blank=True)
    parents = models.ManyToManyField("self", symmetrical=False, related_name="children")

    objects = BatchQuerySet.as_manager()

    class Meta:
        ordering = ["-made_on", "-id"]
        verbose_name_plural = "batches"
        constraints = [
            models.UniqueConstraint(
                name="batch_run_once", fields=["material", "year", "run"]
            ),
            models.CheckConstraint(
                name="batch_kind_known", condition=Q(kind__in=BatchKind.values)
            ),
            models.CheckConstraint(
                name="batch_process_known",
                condition=Q(process__in=["", *Process.values]),
            ),
            models.CheckConstraint(
                name="batch_purity_is_a_fraction",
                condition=Q(purity__isnull=True) | Q(purity__gt=0, purity__lte=1),
            ),
        ]

    def __str__(self):
        return self.code

    def get_absolute_url(self):
        return reverse("batch", args=[self.code])


class ChargeRole(models.TextChoices):
    SOURCE = "source", "Metal source"
    REDUCTANT = "reductant", "Reductant"
    FLUX = "flux", "Flux"
    GETTER = "getter", "Getter"
    SOLVENT = "solvent", "Solvent"
    OTHER = "other", "Other"


class Charge(AppendOnlyModel):
    """A reagent weighed into a batch. A wrong one is withdrawn, and stays visible."""

    batch = models.ForeignKey(Batch, models.PROTECT, related_name="charges")
    formula = models.CharField(max_length=60)
    role = models.CharField(max_length=10, choices=ChargeRole)
    mass_ug = models.BigIntegerField()
    u_ug = models.BigIntegerField(default=0)
    purity = models.FloatField(default=1.0)
    # Not stated: the sums then take a one-sided bound, see calc.stoichiometry.
    u_purity = models.FloatField(null=True, blank=True)
    lot = models.CharField(max_length=80, blank=True)
    withdraws = models.OneToOneField(
        "self", models.PROTECT, null=True, blank=True, related_name="withdrawn_by"
    )
    entry = models.ForeignKey(
        "inventory.LogEntry", models.PROTECT, related_name="charges"
    )

    class Meta(AppendOnlyModel.Meta):
        abstract = False
        ordering = ["id"]
        constraints = [
            models.CheckConstraint(
                name="charge_mass_positive", condition=Q(mass_ug__gt=0, u_ug__gte=0)
            ),
            models.CheckConstraint(
                name="charge_purity_is_a_fraction",
                condition=Q(purity__gt=0, purity__lte=1),
            ),
            models.CheckConstraint(
                name="charge_u_purity_not_negative",
                condition=Q(u_purity__isnull=True) | Q(u_purity__gte=0, u_purity__lt=1),
            ),
            models.CheckConstraint(
                name="charge_role_known", condition=Q(role__in=ChargeRole.values)
            ),
            models.CheckConstraint(
                name="charge_not_withdrawing_itself",
                condition=~Q(withdraws=F("id")),
            ),
        ]

    def __str__(self):
        return f"{self.formula} for {self.batch_id}"
