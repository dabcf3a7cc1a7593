"""The demo: a club, its members and their aircraft, made through the operations."""

from typing import NamedTuple


class Account(NamedTuple):
    """One account to sign in with, and what it is there to show."""

    username: str
    password: str
    about: str


def load() -> list[Account]:
    """Make the demo where it is missing, leave it as it is otherwise; give its accounts."""
    return []
