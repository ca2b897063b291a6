"""What vouches for a batch: files kept with it, and how its purity was measured."""

import uuid

from django.conf import settings
from django.core.files.storage import FileSystemStorage
from django.db import models
from django.db.models import Q
from django.urls import reverse

from .append_only import AppendOnlyModel, AppendOnlyQuerySet
from .bookings import BookingLine
from .vessels import Vessel


def storage():
    """Return where files are kept: a folder that no web address leads to."""
    return FileSystemStorage(
        location=settings.FILES_DIR,
        base_url=None,
        file_permissions_mode=0o600,
        directory_permissions_mode=0o700,
    )


def nameless(instance, filename):
    """Return a path that says nothing and cannot be guessed."""
    name = uuid.uuid4().hex
    return f"{name[:2]}/{name}"


class WithdrawableQuerySet(AppendOnlyQuerySet):
    def recorded(self):
        """Leave out the rows that only withdraw another one."""
        return self.filter(withdraws=None)

    def standing(self):
        """Leave out what was withdrawn, and what withdraws it."""
        return self.filter(withdraws=None, withdrawn_by=None)


class AttachmentQuerySet(WithdrawableQuerySet):
    def visible_to(self, user):
        """Leave in what stands; for a partner, what is shared of their batches."""
        if not user.is_partner:
            return self.standing()
        theirs = BookingLine.objects.offered_to(user)
        return self.standing().filter(
            for_partners=True,
            batch__in=Vessel.objects.filter(pk__in=theirs).values("batch"),
        )


class AttachmentKind(models.TextChoices):
    CERTIFICATE = "certificate", "Certificate"
    PHOTO = "photo", "Photo"
    OTHER = "other", "Other document"


class Attachment(AppendOnlyModel):
    """A file kept with a batch. One that is taken off stays on record, unseen."""

    batch = models.ForeignKey(
        "inventory.Batch", models.PROTECT, related_name="attachments"
    )
    kind = models.CharField(max_length=12, choices=AttachmentKind)
    name = models.CharField(max_length=150)
    media_type = models.CharField(max_length=40)
    size_bytes = models.BigIntegerField()
    sha256 = models.CharField(max_length=64)
    file = models.FileField(upload_to=nameless, storage=storage, max_length=60)
    thumbnail = models.FileField(
        upload_to=nameless, storage=storage, max_length=60, blank=True
    )
    for_partners = models.BooleanField(default=False)
    withdraws = models.OneToOneField(
        "self", models.PROTECT, null=True, related_name="withdrawn_by"
    )
    entry = models.ForeignKey(
        "inventory.LogEntry", models.PROTECT, related_name="attachments"
    )

    objects = AttachmentQuerySet.as_manager()

    class Meta(AppendOnlyModel.Meta):
        abstract = False
        ordering = ["id"]
        constraints = [
            models.CheckConstraint(
                name="attachment_kind_known",
                condition=Q(kind__in=AttachmentKind.values),
            ),
            models.CheckConstraint(
                name="attachment_holds_something", condition=Q(size_bytes__gt=0)
            ),
        ]

    def __str__(self):
        return self.name

    def get_absolute_url(self):
        return reverse("attachment", args=[self.pk])

    @property
    def is_picture(self):
        return self.media_type.startswith("image/")


class Assay(AppendOnlyModel):
    """What was claimed or measured about a batch's purity. A wrong one is withdrawn."""

    batch = models.ForeignKey("inventory.Batch", models.PROTECT, related_name="assays")
    purity = models.FloatField(null=True, blank=True)
    grade = models.CharField(max_length=80, blank=True)
    method = models.CharField(max_length=200)
    measured_on = models.DateField()
    measured_by = models.CharField(max_length=150, blank=True)
    certificate = models.ForeignKey(
        Attachment, models.PROTECT, null=True, blank=True, related_name="assays"
    )
    note = models.CharField(max_length=300, blank=True)
    withdraws = models.OneToOneField(
        "self", models.PROTECT, null=True, related_name="withdrawn_by"
    )
    entry = models.ForeignKey(
        "inventory.LogEntry", models.PROTECT, related_name="assays"
    )

    objects = WithdrawableQuerySet.as_manager()

    class Meta(AppendOnlyModel.Meta):
        abstract = False
        ordering = ["-measured_on", "-id"]
        constraints = [
            models.CheckConstraint(
                name="assay_purity_is_a_fraction",
                condition=Q(purity__isnull=True) | Q(purity__gt=0, purity__lte=1),
            ),
        ]

    def __str__(self):
        return f"{self.method} of {self.batch_id}"


class Impurity(AppendOnlyModel):
    """One impurity an assay found, as a mass fraction; `below` marks a limit (<)."""

    assay = models.ForeignKey(Assay, models.PROTECT, related_name="impurities")
    species = models.CharField(max_length=20)
    fraction = models.FloatField()
    unit = models.CharField(max_length=10)
    below = models.BooleanField(default=False)

    class Meta(AppendOnlyModel.Meta):
        abstract = False
        ordering = ["id"]
        constraints = [
            models.CheckConstraint(
                name="impurity_is_a_fraction",
                condition=Q(fraction__gte=0, fraction__lte=1),
            ),
            models.UniqueConstraint(
                name="impurity_once_an_assay", fields=["assay", "species"]
            ),
        ]

    def __str__(self):
        return self.species
