"""What a log file leaves behind: its lines as read, how they were read, and how far."""

from __future__ import annotations

from typing import Any

from django.db import models

from hangar.clubs.models import User
from inventory.log_files.querysets import LogFileQuerySet, LogRecipeQuerySet


class LogFile(models.Model):
    """One file of a charger or logger, received for a pack.

    `next_block` and `state` are where the import stands, so that it can go on from there.
    """

    pack = models.ForeignKey("inventory.Part", models.PROTECT, related_name="log_files")
    by = models.ForeignKey(User, models.PROTECT, related_name="+")
    file_name = models.CharField(max_length=120)
    digest = models.CharField(max_length=64, help_text="SHA-256 of the file")
    byte_count = models.BigIntegerField()
    delimiter = models.CharField(max_length=1)
    headers = models.JSONField(default=list)
    first_row = models.PositiveIntegerField(help_text="Line of the first row below the headers")
    block_count = models.PositiveIntegerField(default=0)
    next_block = models.PositiveIntegerField(default=0)
    recipe = models.JSONField(default=dict, help_text="How its columns are read")
    state = models.JSONField(default=dict, help_text="Where the reading stands")
    counts = models.JSONField(default=dict, help_text="What became of the rows")
    problems = models.JSONField(default=list, help_text="Rows refused or odd, and why")
    uploaded_at = models.DateTimeField(auto_now_add=True)
    received_at = models.DateTimeField(null=True, blank=True)
    finished_at = models.DateTimeField(null=True, blank=True)

    objects = LogFileQuerySet.as_manager()

    class Meta:
        ordering = ("-uploaded_at", "-pk")
        constraints = (
            models.UniqueConstraint(fields=("pack", "digest"), name="one_log_file_per_content"),
        )

    def __str__(self) -> str:
        return self.file_name

    @property
    def is_started(self) -> bool:
        """Whether rows of it are in the log."""
        return self.next_block > 0

    @property
    def percent(self) -> int:
        """How much of it is read."""
        return 100 * self.next_block // max(self.block_count, 1)


class LogFileBlock(models.Model):
    """Some lines of a file, as read, compressed."""

    file = models.ForeignKey(LogFile, models.CASCADE, related_name="blocks")
    number = models.PositiveIntegerField()
    first_line = models.PositiveIntegerField()
    data: models.BinaryField[Any, Any] = models.BinaryField(help_text="UTF-8 text, by zlib")

    class Meta:
        ordering = ("file", "number")
        constraints = (
            models.UniqueConstraint(fields=("file", "number"), name="one_block_per_number"),
        )

    def __str__(self) -> str:
        return f"lines from {self.first_line} of {self.file_id}"


class LogRecipe(models.Model):
    """How a person has files with these headers read, for the next time."""

    person = models.ForeignKey(User, models.CASCADE, related_name="log_recipes")
    name = models.CharField(max_length=60)
    headers_digest = models.CharField(max_length=64)
    recipe = models.JSONField()
    used_at = models.DateTimeField(auto_now=True)

    objects = LogRecipeQuerySet.as_manager()

    class Meta:
        ordering = ("-used_at", "pk")
        constraints = (
            models.UniqueConstraint(fields=("person", "name"), name="one_log_recipe_per_name"),
        )

    def __str__(self) -> str:
        return self.name
