"""The logbook: one line for everything that was done, by whom, and when."""

from django.db import models
from django.db.models.functions import Now

from .append_only import AppendOnlyModel


class LogEntry(AppendOnlyModel):
    """One deed. Its request id makes a repeated submit harmless."""

    request_id = models.UUIDField(unique=True, editable=False)
    verb = models.CharField(max_length=30)
    summary = models.CharField(max_length=300)
    by = models.ForeignKey(
        "inventory.User", models.PROTECT, null=True, related_name="+"
    )
    recorded_at = models.DateTimeField(db_default=Now(), editable=False)
    batch = models.ForeignKey(
        "inventory.Batch", models.PROTECT, null=True, related_name="entries"
    )
    vessel = models.ForeignKey(
        "inventory.Vessel", models.PROTECT, null=True, related_name="entries"
    )
    project = models.ForeignKey(
        "inventory.Project", models.PROTECT, null=True, related_name="entries"
    )
    # The key of the record that was made, where it is none of the above.
    subject_id = models.BigIntegerField(null=True)

    class Meta(AppendOnlyModel.Meta):
        abstract = False
        ordering = ["-id"]
        verbose_name_plural = "log entries"

    def __str__(self):
        return self.summary
