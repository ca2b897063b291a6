"""Where vessels stand, what they are weighed on, and whose they are."""

from django.db import models
from django.db.models import Q
from django.urls import reverse

from inventory.calc.balance import BalanceFacts


class PlaceKind(models.TextChoices):
    ROOM = "room", "Room"
    GLOVEBOX = "glovebox", "Glovebox"
    CABINET = "cabinet", "Cabinet"
    SHELF = "shelf", "Shelf"


class Place(models.Model):
    """Somewhere vessels stand. A shelf may be within a cabinet, and so on."""

    name = models.CharField(max_length=80, unique=True)
    kind = models.CharField(max_length=10, choices=PlaceKind)
    within = models.ForeignKey(
        "self", models.PROTECT, null=True, blank=True, related_name="parts"
    )
    warmest_c = models.FloatField("warmest temperature", default=40.0)
    note = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["name"]
        constraints = [
            models.CheckConstraint(
                name="place_kind_known", condition=Q(kind__in=PlaceKind.values)
            ),
            models.CheckConstraint(
                name="place_not_within_itself", condition=~Q(within=models.F("id"))
            ),
        ]

    def __str__(self):
        return self.name

    def get_absolute_url(self):
        return reverse("place", args=[self.pk])


class Balance(models.Model):
    """A weighing instrument, as its certificate describes it. Masses in micrograms."""

    name = models.CharField(max_length=80, unique=True)
    readability_ug = models.BigIntegerField("readability")
    repeatability_ug = models.BigIntegerField("repeatability")
    nonlinearity_ug = models.BigIntegerField("non-linearity", default=0)
    capacity_ug = models.BigIntegerField("capacity")
    drift_ppm = models.FloatField("sensitivity drift", default=0.0)
    due_on = models.DateField("calibration due", null=True, blank=True)
    certificate = models.CharField(max_length=120, blank=True)
    is_in_use = models.BooleanField("in use", default=True)

    class Meta:
        ordering = ["name"]
        constraints = [
            models.CheckConstraint(
                name="balance_numbers_make_sense",
                condition=Q(
                    readability_ug__gt=0,
                    repeatability_ug__gte=0,
                    nonlinearity_ug__gte=0,
                    drift_ppm__gte=0,
                    capacity_ug__gt=0,
                ),
            )
        ]

    def __str__(self):
        return self.name

    def facts(self):
        """Return what the calculations need to know of this balance."""
        return BalanceFacts(
            name=self.name,
            readability_ug=self.readability_ug,
            repeatability_ug=self.repeatability_ug,
            nonlinearity_ug=self.nonlinearity_ug,
            capacity_ug=self.capacity_ug,
            drift_ppm=self.drift_ppm,
        )


class Laboratory(models.Model):
    """The one laboratory this copy belongs to: the supplier named on its labels."""

    name = models.CharField(max_length=120)
    address = models.CharField(max_length=200)
    phone = models.CharField("telephone", max_length=40)

    class Meta:
        verbose_name_plural = "laboratories"
        constraints = [
            models.CheckConstraint(name="laboratory_only_one", condition=Q(id=1))
        ]

    def __str__(self):
        return self.name
