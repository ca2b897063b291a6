"""What we know of the metals and of what surrounds them, and where it is from."""

from collections import defaultdict

from django.db import models
from django.db.models import Q
from django.db.models.functions import Now
from django.urls import reverse

from inventory.calc.density import MaterialFacts

from .append_only import AppendOnlyModel, AppendOnlyQuerySet


class Material(models.Model):
    """A metal or alloy. Its numbers are in `properties`, each with its source."""

    symbol = models.CharField(max_length=3, unique=True)
    name = models.CharField(max_length=60)
    cas = models.CharField("CAS number", max_length=12)

    class Meta:
        ordering = ["id"]

    def __str__(self):
        return f"{self.name} ({self.symbol})"

    def get_absolute_url(self):
        return reverse("material", args=[self.symbol])


class MediumKind(models.TextChoices):
    GAS = "gas", "gas"
    VACUUM = "vacuum", "vacuum"
    LIQUID = "liquid", "liquid"


class Medium(models.Model):
    """What surrounds the metal in a vessel: a gas, nothing, or a dry liquid."""

    key = models.SlugField(max_length=30, unique=True)
    name = models.CharField(max_length=60)
    kind = models.CharField(max_length=10, choices=MediumKind)

    class Meta:
        ordering = ["id"]
        verbose_name_plural = "media"
        constraints = [
            models.CheckConstraint(
                name="medium_kind_known", condition=Q(kind__in=MediumKind.values)
            )
        ]

    def __str__(self):
        return self.name

    def get_absolute_url(self):
        return reverse("medium", args=[self.key])

    @property
    def is_liquid(self):
        return self.kind == MediumKind.LIQUID


class PropertyName(models.TextChoices):
    MOLAR_MASS = "molar_mass", "Molar mass"
    DENSITY_SOLID = "density_solid", "Density of the solid at 20 °C"
    LINEAR_EXPANSION = "linear_expansion", "Linear thermal expansion"
    MELTING_POINT = "melting_point", "Melting point"
    BOILING_POINT = "boiling_point", "Boiling point"
    DENSITY_LIQUID = "density_liquid", "Density of the liquid at the melting point"
    DENSITY_LIQUID_SLOPE = "density_liquid_slope", "Fall of that density per kelvin"
    DENSITY = "density", "Density at 20 °C"


class PropertyQuerySet(AppendOnlyQuerySet):
    def in_use(self):
        """Return {(material_id, medium_id): {name: Property}} of the values in use.

        The newest own value goes before the newest shipped one, unless the own
        value was taken back (an own row without a value).
        """
        shipped, own = defaultdict(dict), defaultdict(dict)
        for row in self.order_by("id"):
            side = own if row.is_own else shipped
            side[row.material_id, row.medium_id][row.name] = row
        in_use = {holder: dict(rows) for holder, rows in shipped.items()}
        for holder, rows in own.items():
            kept = {name: row for name, row in rows.items() if row.value is not None}
            in_use.setdefault(holder, {}).update(kept)
        return in_use

    def facts(self):
        """Return {material_id: MaterialFacts} for every material, in one query."""
        return {
            material_id: rows_to_facts(rows)
            for (material_id, medium_id), rows in self.select_related("material")
            .in_use()
            .items()
            if medium_id is None
        }


def rows_to_facts(rows):
    """Return the MaterialFacts that {name: Property} rows of one material describe."""

    def value(name):
        return rows[name].value if name in rows else None

    def u(name):
        return (rows[name].uncertainty or 0.0) if name in rows else 0.0

    return MaterialFacts(
        symbol=next(iter(rows.values())).material.symbol,
        molar_mass_g_mol=value("molar_mass"),
        density_solid_kg_m3=value("density_solid"),
        u_density_solid=u("density_solid"),
        linear_expansion_per_k=value("linear_expansion") or 0.0,
        melting_point_c=value("melting_point"),
        boiling_point_c=value("boiling_point"),
        density_liquid_kg_m3=value("density_liquid"),
        u_density_liquid=u("density_liquid"),
        density_liquid_slope_kg_m3_k=value("density_liquid_slope") or 0.0,
    )


class Property(AppendOnlyModel):
    """One number about a material or medium, with its unit and source.

    Shipped rows come from the data files; own rows are this laboratory's and go
    before them. An own row without a value gives the shipped one back.
    """

    material = models.ForeignKey(
        Material, models.PROTECT, null=True, blank=True, related_name="properties"
    )
    medium = models.ForeignKey(
        Medium, models.PROTECT, null=True, blank=True, related_name="properties"
    )
    name = models.CharField(max_length=30, choices=PropertyName)
    value = models.FloatField(null=True)
    uncertainty = models.FloatField(null=True)
    unit = models.CharField(max_length=20)
    source = models.CharField(max_length=300)
    confidence = models.CharField(max_length=60, blank=True)
    is_own = models.BooleanField(default=False)
    entry = models.ForeignKey(
        "inventory.LogEntry", models.PROTECT, null=True, related_name="properties"
    )
    recorded_at = models.DateTimeField(db_default=Now(), editable=False)

    objects = PropertyQuerySet.as_manager()

    class Meta(AppendOnlyModel.Meta):
        abstract = False
        ordering = ["id"]
        verbose_name_plural = "properties"
        constraints = [
            models.CheckConstraint(
                name="property_of_one_holder",
                condition=Q(material__isnull=False, medium__isnull=True)
                | Q(material__isnull=True, medium__isnull=False),
            ),
            models.CheckConstraint(
                name="property_shipped_has_value",
                condition=Q(is_own=True) | Q(value__isnull=False),
            ),
        ]

    def __str__(self):
        return f"{self.get_name_display()}: {self.value} {self.unit}"


class MediumRule(models.Model):
    """Whether a material may be kept in a medium, why, and who says so."""

    material = models.ForeignKey(Material, models.CASCADE, related_name="rules")
    medium = models.ForeignKey(Medium, models.CASCADE, related_name="rules")
    verdict = models.CharField(max_length=10)
    reason = models.CharField(max_length=400)
    source = models.CharField(max_length=300)

    class Meta:
        ordering = ["material", "medium"]
        constraints = [
            models.UniqueConstraint(
                name="medium_rule_once", fields=["material", "medium"]
            ),
            models.CheckConstraint(
                name="medium_rule_verdict_known",
                condition=Q(verdict__in=["fine", "condition", "avoid", "never"]),
            ),
        ]

    def __str__(self):
        return f"{self.material.symbol} in {self.medium.name}: {self.verdict}"
