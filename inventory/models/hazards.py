"""How a metal, a liquid around it, or one lot of metal is classified and labelled."""

from django.db import models
from django.db.models import F, Q

from inventory.calc.hazards import Profile, Transport, split_codes

from .append_only import AppendOnlyModel, AppendOnlyQuerySet

SIGNAL_WORDS = ("", "Danger", "Warning")


class Classified(models.Model):
    """The classification and what follows from it on a label. Codes parted by '; '."""

    signal_word = models.CharField(max_length=10, blank=True)
    hazard_classes = models.CharField(max_length=200, blank=True)
    h = models.CharField(max_length=100, blank=True)
    euh = models.CharField(max_length=60, blank=True)
    p = models.CharField(max_length=200, blank=True)
    pictograms = models.CharField(max_length=60, blank=True)
    un_number = models.CharField("UN number", max_length=10, blank=True)
    proper_shipping_name = models.CharField(max_length=120, blank=True)
    transport_class = models.CharField(max_length=20, blank=True)
    packing_group = models.CharField(max_length=10, blank=True)

    class Meta:
        abstract = True

    def codes(self, field):
        """Return the list behind one of the '; '-parted fields."""
        return list(split_codes(getattr(self, field)))

    def profile(self):
        """Return what the label rules need to know."""
        return Profile(
            classes=split_codes(self.hazard_classes),
            h=split_codes(self.h),
            euh=split_codes(self.euh),
            p=split_codes(self.p),
            pictograms=split_codes(self.pictograms),
            signal_word=self.signal_word,
        )

    def transport(self):
        """Return the dangerous-goods entry; empty where none is on record."""
        return Transport(
            un_number=self.un_number,
            name=self.proper_shipping_name,
            hazard_class=self.transport_class,
            packing_group=self.packing_group,
        )


class HazardProfile(Classified):
    """How a material in one form is classified, as shipped."""

    material = models.ForeignKey(
        "inventory.Material", models.CASCADE, related_name="hazards"
    )
    form = models.CharField(max_length=30, blank=True)
    status = models.CharField(max_length=60, blank=True)
    source = models.CharField(max_length=400, blank=True)
    sds_note = models.CharField(max_length=400, blank=True)

    class Meta:
        ordering = ["id"]
        constraints = [
            models.UniqueConstraint(
                name="hazard_profile_once", fields=["material", "form"]
            )
        ]

    def __str__(self):
        return f"{self.material.name}, {self.form}" if self.form else self.material.name


class MediumHazard(Classified):
    """How a liquid that metal is kept in is classified, as shipped."""

    medium = models.OneToOneField(
        "inventory.Medium", models.CASCADE, related_name="hazard"
    )
    cas = models.CharField("CAS number", max_length=12, blank=True)
    status = models.CharField(max_length=60, blank=True)
    source = models.CharField(max_length=400, blank=True)
    note = models.CharField(max_length=400, blank=True)

    class Meta:
        ordering = ["id"]
        constraints = [
            models.CheckConstraint(
                name="medium_hazard_signal_word_known",
                condition=Q(signal_word__in=SIGNAL_WORDS),
            )
        ]

    def __str__(self):
        return f"Hazards of medium {self.medium_id}"


class LotProfileQuerySet(AppendOnlyQuerySet):
    def standing(self):
        """Leave out what was withdrawn, and what withdraws it."""
        return self.filter(withdraws=None, withdrawn_by=None)

    def in_use(self):
        """Return the newest that stands, or None: then the material's own counts."""
        found = self.standing().select_related("entry__by", "attachment")
        return found.order_by("-id").first()

    def in_use_by_batch(self, batches):
        """Return {batch_id: LotProfile} of those in use, in one query."""
        rows = self.standing().filter(batch__in=batches).order_by("id")
        return {row.batch_id: row for row in rows}


class LotProfile(Classified, AppendOnlyModel):
    """How one batch is classified by its own data sheet, which goes before the catalogue.

    A newer one takes its place; a wrong one is withdrawn, and stays visible.
    """

    batch = models.ForeignKey(
        "inventory.Batch", models.PROTECT, related_name="lot_profiles"
    )
    # A data sheet lists more than the catalogue's selection for a label.
    hazard_classes = models.CharField(max_length=300, blank=True)
    h = models.CharField(max_length=200, blank=True)
    p = models.CharField(max_length=400, blank=True)
    document = models.CharField(max_length=150)
    document_date = models.DateField()
    attachment = models.ForeignKey(
        "inventory.Attachment",
        models.PROTECT,
        null=True,
        blank=True,
        related_name="lot_profiles",
    )
    reason = models.CharField(max_length=300, blank=True)
    withdraws = models.OneToOneField(
        "self", models.PROTECT, null=True, blank=True, related_name="withdrawn_by"
    )
    entry = models.ForeignKey(
        "inventory.LogEntry", models.PROTECT, related_name="lot_profiles"
    )

    objects = LotProfileQuerySet.as_manager()

    class Meta(AppendOnlyModel.Meta):
        abstract = False
        ordering = ["id"]
        constraints = [
            models.CheckConstraint(
                name="lot_profile_signal_word_known",
                condition=Q(signal_word__in=SIGNAL_WORDS),
            ),
            models.CheckConstraint(
                name="lot_profile_names_its_document", condition=~Q(document="")
            ),
            models.CheckConstraint(
                name="lot_profile_not_withdrawing_itself",
                condition=~Q(withdraws=F("id")),
            ),
        ]

    def __str__(self):
        return f"{self.document} for {self.batch_id}"
