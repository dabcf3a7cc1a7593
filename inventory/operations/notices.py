"""What a person chooses to be told, and what they have read."""

from __future__ import annotations

from collections.abc import Mapping

from django.db import transaction
from django.utils import timezone

from hangar.clubs.models import User
from inventory.models import Notice, NoticeChoice
from inventory.pool.models import NoticeKind


def choices_of(person: User) -> dict[str, tuple[bool, bool]]:
    """Whether the person is told of each kind in the tool and by mail; both where never asked."""
    chosen = {choice.kind: choice for choice in NoticeChoice.objects.filter(person=person)}
    return {
        kind.value: (chosen[kind].in_tool, chosen[kind].by_mail) if kind in chosen else (True, True)
        for kind in NoticeKind
    }


def save_choices(person: User, *, email: str, choices: Mapping[str, tuple[bool, bool]]) -> None:
    """Keep what a person wants to be told, and where mail goes."""
    with transaction.atomic():
        person.email = email
        person.save(update_fields=["email"])
        for kind, (in_tool, by_mail) in choices.items():
            NoticeChoice.objects.update_or_create(
                person=person, kind=kind, defaults={"in_tool": in_tool, "by_mail": by_mail}
            )


def mark_read(person: User) -> int:
    """Mark all the person's notices as read; says how many were not."""
    unread = Notice.objects.visible_to(person).unread()
    return unread.update(read_at=timezone.now())
