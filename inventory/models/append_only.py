"""Rows that are written once: refused here in Python, and by triggers in the database."""

from django.db import models


class AppendOnly(Exception):
    """A row of the record was about to be changed or deleted."""


class AppendOnlyQuerySet(models.QuerySet):
    def update(self, **kwargs):
        raise AppendOnly("Records are corrected by further records, never changed.")

    def delete(self):
        raise AppendOnly("Records are corrected by further records, never deleted.")

    def bulk_update(self, *args, **kwargs):
        raise AppendOnly("Records are corrected by further records, never changed.")


class AppendOnlyModel(models.Model):
    """A model whose rows can be added and read, and nothing else.

    The database enforces this too: see migration 0002.
    """

    objects = AppendOnlyQuerySet.as_manager()

    class Meta:
        abstract = True
        default_permissions = ("add", "view")

    def save(self, **kwargs):
        if not self._state.adding:
            raise AppendOnly("Records are corrected by further records, never changed.")
        super().save(**kwargs)

    def delete(self, **kwargs):
        raise AppendOnly("Records are corrected by further records, never deleted.")
