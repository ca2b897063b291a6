"""The ledger: where every microgram went. Rows are added and never changed."""

from django.db import models
from django.db.models import F, Q, Sum

from .append_only import AppendOnlyModel, AppendOnlyQuerySet


class MovementKind(models.TextChoices):
    FILL = "fill", "Filling"
    WITHDRAWAL = "withdrawal", "Withdrawal"
    TRANSFER = "transfer", "Transfer"
    DESTRUCTION = "destruction", "Destruction"
    LOSS = "loss", "Loss"
    DIFFERENCE = "difference", "Difference found by weighing"
    CORRECTION = "correction", "Correction"


class Method(models.TextChoices):
    WEIGHED = "weighed", "weighed"
    VOLUME = "volume", "by volume"
    RECEIVER = "receiver", "weighed in the receiver"
    PIECES = "pieces", "by counted pieces"
    WHOLE = "whole", "the whole contents"
    STATED = "stated", "as stated"
    REPORTED = "reported", "as the partner reported, not measured"


class End(models.TextChoices):
    """Where metal goes when it is in no vessel any more."""

    EXPERIMENT = "experiment", "experiment"
    LOSS = "loss", "loss"
    DESTROYED = "destroyed", "destroyed"
    UNACCOUNTED = "unaccounted", "unaccounted"


def exactly_one(side):
    """Return the condition that a movement's `side` names one place, and only one."""
    names = {
        f"{side}_batch": Q(**{f"{side}_batch__isnull": False}),
        f"{side}_vessel": Q(**{f"{side}_vessel__isnull": False}),
        f"{side}_end": ~Q(**{f"{side}_end": ""}),
    }
    one_of = Q()
    for chosen in names:
        this = Q()
        for name, present in names.items():
            this &= present if name == chosen else ~present
        one_of |= this
    return one_of


class MovementQuerySet(AppendOnlyQuerySet):
    def held(self):
        """Return {material_id: µg held in vessels}, summed over the whole ledger."""

        def total(side):
            rows = self.filter(**{f"{side}__isnull": False}).order_by()
            return dict(rows.values_list("material").annotate(Sum("mass_ug")))

        came, went = total("to_vessel"), total("from_vessel")
        return {key: mass - went.get(key, 0) for key, mass in came.items()}

    def standing(self):
        """Leave out corrected movements and their corrections, which cancel."""
        return self.filter(corrects=None, corrected_by=None)


class Movement(AppendOnlyModel):
    """Metal going from one place to another, in whole micrograms.

    Each side is exactly one of a batch, a vessel or an end. A mistake is put
    right by a correction: the same mass back, naming the movement it undoes.
    """

    kind = models.CharField(max_length=12, choices=MovementKind)
    method = models.CharField(max_length=10, choices=Method)
    material = models.ForeignKey(
        "inventory.Material", models.PROTECT, related_name="movements"
    )
    mass_ug = models.BigIntegerField("mass")
    u_ug = models.BigIntegerField("standard uncertainty")
    happened_at = models.DateTimeField()
    from_batch = models.ForeignKey(
        "inventory.Batch", models.PROTECT, null=True, related_name="movements_out"
    )
    from_vessel = models.ForeignKey(
        "inventory.Vessel", models.PROTECT, null=True, related_name="movements_out"
    )
    from_end = models.CharField(max_length=12, choices=End, blank=True)
    to_batch = models.ForeignKey(
        "inventory.Batch", models.PROTECT, null=True, related_name="movements_in"
    )
    to_vessel = models.ForeignKey(
        "inventory.Vessel", models.PROTECT, null=True, related_name="movements_in"
    )
    to_end = models.CharField(max_length=12, choices=End, blank=True)
    purpose = models.CharField(max_length=300, blank=True)
    project = models.ForeignKey(
        "inventory.Project", models.PROTECT, null=True, related_name="movements"
    )
    booking_line = models.ForeignKey(
        "inventory.BookingLine", models.PROTECT, null=True, related_name="movements"
    )
    light = models.ForeignKey(
        "inventory.Weighing",
        models.PROTECT,
        null=True,
        related_name="+",
        help_text="The weighing without the metal that moved: tare, or after taking.",
    )
    heavy = models.ForeignKey(
        "inventory.Weighing",
        models.PROTECT,
        null=True,
        related_name="+",
        help_text="The weighing with the metal that moved: gross, or before taking.",
    )
    volume_ul = models.BigIntegerField(null=True)
    u_volume_ul = models.BigIntegerField(null=True)
    temperature_c = models.FloatField(null=True)
    receiver_empty_ug = models.BigIntegerField(null=True)
    receiver_full_ug = models.BigIntegerField(null=True)
    receiver_balance = models.ForeignKey(
        "inventory.Balance", models.PROTECT, null=True, related_name="+"
    )
    pieces = models.PositiveIntegerField(null=True)
    piece_ug = models.BigIntegerField(null=True)
    corrects = models.OneToOneField(
        "self", models.PROTECT, null=True, related_name="corrected_by"
    )
    entry = models.ForeignKey(
        "inventory.LogEntry", models.PROTECT, related_name="movements"
    )

    objects = MovementQuerySet.as_manager()

    class Meta(AppendOnlyModel.Meta):
        abstract = False
        ordering = ["id"]
        indexes = [
            models.Index(
                name="movement_into_vessels",
                fields=["material", "mass_ug"],
                condition=Q(to_vessel__isnull=False),
            ),
            models.Index(
                name="movement_out_of_vessels",
                fields=["material", "mass_ug"],
                condition=Q(from_vessel__isnull=False),
            ),
        ]
        constraints = [
            models.CheckConstraint(
                name="movement_mass_positive", condition=Q(mass_ug__gt=0, u_ug__gte=0)
            ),
            models.CheckConstraint(
                name="movement_from_one_place", condition=exactly_one("from")
            ),
            models.CheckConstraint(
                name="movement_to_one_place", condition=exactly_one("to")
            ),
            models.CheckConstraint(
                name="movement_goes_somewhere",
                condition=Q(from_vessel=None)
                | Q(to_vessel=None)
                | ~Q(from_vessel=F("to_vessel")),
            ),
            models.CheckConstraint(
                name="movement_kind_known", condition=Q(kind__in=MovementKind.values)
            ),
            models.CheckConstraint(
                name="movement_method_known", condition=Q(method__in=Method.values)
            ),
            models.CheckConstraint(
                name="movement_ends_known",
                condition=Q(from_end__in=["", *End.values])
                & Q(to_end__in=["", *End.values]),
            ),
            models.CheckConstraint(
                name="movement_correction_names_its_target",
                condition=Q(kind="correction", corrects__isnull=False)
                | (~Q(kind="correction") & Q(corrects=None)),
            ),
        ]

    def __str__(self):
        return f"{self.get_kind_display()} of {self.mass_ug} µg"
