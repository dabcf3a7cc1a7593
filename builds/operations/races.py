"""Two people at once: one wins, the other reads why."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from django.db import IntegrityError, transaction

from hangar.errors import Conflict


@contextmanager
def one_wins() -> Iterator[None]:
    """One transaction; of two people at once the slower one gets a Conflict."""
    try:
        with transaction.atomic():
            yield
    except IntegrityError as error:
        raise Conflict("Somebody was faster: a part or a position is taken.") from error
