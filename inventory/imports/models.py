"""What an import leaves behind: who imported which list, and which rows have been in one."""

from __future__ import annotations

from django.db import models

from hangar.clubs.models import ONE_OWNER, Owned, User
from inventory.imports.querysets import ImportRunQuerySet


class ImportRun(Owned):
    """One list on its way into the inventory; the owner is that of the parts.

    The list itself is kept until it is imported or discarded.
    """

    by = models.ForeignKey(User, models.PROTECT, related_name="import_runs")
    file_name = models.CharField(max_length=120)
    table = models.JSONField(default=dict, help_text="The list as read, until it is imported")
    matching = models.JSONField(default=dict, help_text="Which column is which field")
    counts = models.JSONField(default=dict, help_text="What became of the rows")
    uploaded_at = models.DateTimeField(auto_now_add=True)
    imported_at = models.DateTimeField(null=True, blank=True)

    objects = ImportRunQuerySet.as_manager()

    class Meta:
        ordering = ("-uploaded_at", "-pk")
        constraints = (ONE_OWNER,)

    def __str__(self) -> str:
        return f"{self.file_name} by {self.by}"


class ImportedRow(models.Model):
    """A row that was imported, so that the same list again adds nothing."""

    run = models.ForeignKey(ImportRun, models.CASCADE, related_name="imported_rows")
    number = models.PositiveIntegerField(help_text="Line of the file")
    fingerprint = models.CharField(
        max_length=64, unique=True, help_text="Digest of owner, cells and count of equal rows"
    )

    class Meta:
        ordering = ("run", "number")

    def __str__(self) -> str:
        return f"row {self.number} of {self.run_id}"


class ColumnMatching(models.Model):
    """How a person matched the columns of lists with these headers, for the next time."""

    person = models.ForeignKey(User, models.CASCADE, related_name="column_matchings")
    headers_digest = models.CharField(max_length=64)
    matching = models.JSONField()
    used_at = models.DateTimeField(auto_now=True)

    class Meta:
        ordering = ("-used_at", "pk")
        constraints = (
            models.UniqueConstraint(
                fields=("person", "headers_digest"), name="one_matching_per_headers"
            ),
        )

    def __str__(self) -> str:
        return f"columns of {self.person}"
