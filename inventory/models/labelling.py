"""What was printed on which label and when, and the sheets this laboratory uses."""

from django.db import models
from django.db.models import F, Q

from .append_only import AppendOnlyModel


class Mode(models.TextChoices):
    """Whose rules a label follows."""

    EU = "eu", "EU (CLP)"
    GB = "gb", "Great Britain (GB CLP)"
    OSHA = "osha", "United States (OSHA)"
    WORKPLACE = "workplace", "Own workplace only"


class LabelPrint(AppendOnlyModel):
    """One label that was printed: who, when and why stand in its log entry."""

    vessel = models.ForeignKey(
        "inventory.Vessel", models.PROTECT, related_name="label_prints"
    )
    format = models.CharField(max_length=20)
    sheet = models.CharField(max_length=40)
    mode = models.CharField(max_length=10, choices=Mode)
    languages = models.CharField(max_length=20)  # "en de"
    # What else was asked for: "transport research outer_full".
    extras = models.CharField(max_length=40, blank=True)
    reason = models.CharField(max_length=200, blank=True)
    # Of everything the label said: another key now means the label is out of date.
    content_key = models.CharField(max_length=64)
    # What it said where that may change, to name later what did.
    said = models.JSONField(default=dict)
    entry = models.ForeignKey(
        "inventory.LogEntry", models.PROTECT, related_name="label_prints"
    )

    class Meta(AppendOnlyModel.Meta):
        abstract = False
        ordering = ["id"]
        indexes = [models.Index(name="label_print_newest", fields=["vessel", "-id"])]
        constraints = [
            models.CheckConstraint(
                name="label_print_mode_known", condition=Q(mode__in=Mode.values)
            ),
            models.CheckConstraint(
                name="label_print_says_what",
                condition=~Q(content_key="") & ~Q(languages=""),
            ),
        ]

    def __str__(self):
        return f"Label of {self.vessel_id}"


class LabelSheet(models.Model):
    """A sheet of this laboratory's own, in millimetres: a grid of equal labels.

    `labels.geometry.Sheet` says what a sheet may be; here is only what no sheet is.
    """

    name = models.CharField(max_length=60)
    page_width_mm = models.FloatField()
    page_height_mm = models.FloatField()
    label_width_mm = models.FloatField()
    label_height_mm = models.FloatField()
    margin_left_mm = models.FloatField(default=0.0)
    margin_top_mm = models.FloatField(default=0.0)
    pitch_x_mm = models.FloatField("from left edge to left edge")
    pitch_y_mm = models.FloatField("from top edge to top edge")
    columns = models.PositiveSmallIntegerField()
    rows = models.PositiveSmallIntegerField()
    clear_mm = models.FloatField("clear edge", default=1.5)
    offset_x_mm = models.FloatField("printer's offset to the right", default=0.0)
    offset_y_mm = models.FloatField("printer's offset upwards", default=0.0)
    retired_on = models.DateField(null=True, blank=True)

    class Meta:
        ordering = ["name", "id"]
        constraints = [
            models.UniqueConstraint(
                name="label_sheet_name_once",
                fields=["name"],
                condition=Q(retired_on=None),
                violation_error_message="There is a sheet of this name already.",
            ),
            models.CheckConstraint(
                name="label_sheet_sizes_positive",
                condition=Q(
                    page_width_mm__gt=0,
                    page_height_mm__gt=0,
                    label_width_mm__gt=0,
                    label_height_mm__gt=0,
                    margin_left_mm__gte=0,
                    margin_top_mm__gte=0,
                    clear_mm__gte=0,
                    columns__gte=1,
                    rows__gte=1,
                ),
            ),
            models.CheckConstraint(
                name="label_sheet_label_within_page",
                condition=Q(
                    label_width_mm__lte=F("page_width_mm"),
                    label_height_mm__lte=F("page_height_mm"),
                ),
            ),
        ]

    def __str__(self):
        return self.name
