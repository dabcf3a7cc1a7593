"""Making the demo, once."""

from __future__ import annotations

from typing import NamedTuple

from django.db import transaction

from hangar.clubs.models import Club, User
from hangar.demo import (
    aircraft,
    answers,
    belongings,
    checks,
    controls,
    lists,
    measured,
    people,
    pool,
    what_ifs,
)
from hangar.failures import CommandFailed

PASSWORD = "balsa-and-spruce"  # noqa: S105 - known to everyone, and printed at the start


class Account(NamedTuple):
    """One account to sign in with, and what it is there to show."""

    username: str
    password: str
    about: str


ACCOUNTS = (
    Account("builder", PASSWORD, "own box, four aircraft, one unfinished"),
    Account("newcomer", PASSWORD, "few parts, borrows from the club"),
    Account("keeper", PASSWORD, "looks after the club's pool and its twin"),
    Account("treasurer", PASSWORD, "officer: members, invitations, limits of the field"),
    Account("outsider", PASSWORD, "of another club: sees nothing of all this"),
)


def load() -> list[Account]:
    """Make the demo where it is missing, leave it as it is otherwise; give its accounts.

    Raises
    ------
    CommandFailed
        When the data folder holds accounts of these names that are not the demo's.
    """
    with transaction.atomic():
        if not Club.objects.filter(name=people.QUILLMERE).exists():
            _refuse_taken_names()
            _make()
    return list(ACCOUNTS)


def _refuse_taken_names() -> None:
    names = [account.username for account in ACCOUNTS]
    taken = User.objects.filter(username__in=names).values_list("username", flat=True)
    if taken:
        raise CommandFailed(
            f"there are accounts of your own called {', '.join(taken)}; "
            "name another folder in HANGAR_DATA_DIR for the demo."
        )


def _make() -> None:
    club_life = people.make({account.username: account.password for account in ACCOUNTS})
    parts = belongings.make(club_life)
    pool.lend_and_claim(club_life, parts)
    aircraft.make(club_life, parts)
    controls.make(club_life)
    what_ifs.make(club_life, parts)
    checks.crash_and_repair(club_life)
    measured.make(club_life, parts)
    checks.make(club_life)
    answers.make(club_life)
    lists.keep_one(club_life)
