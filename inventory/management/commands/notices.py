"""Tell what is due, give free parts to who waits, and send the mail that still waits."""

from __future__ import annotations

from typing import Any

from django.core.management.base import BaseCommand

from inventory.operations.pool import settle_queues
from inventory.operations.telling import mail_what_waits, tell_what_is_due


class Command(BaseCommand):
    """Meant to run each day; to run it again changes nothing."""

    help = __doc__

    def handle(self, *_args: Any, **_options: Any) -> None:
        """Settle the queues, make the notices that are due, send what waits."""
        granted = settle_queues()
        due = tell_what_is_due()
        sent = mail_what_waits()
        self.stdout.write(f"{granted} put aside, {due} due, {sent} mailed later.")
