"""Verdicts, and the reasons for them."""

from dataclasses import dataclass
from enum import StrEnum


class Verdict(StrEnum):
    """What may be done with a pack."""

    FIT = "fit"
    WATCH = "watch"
    RETIRE = "retire"
    OUT_OF_SERVICE = "out_of_service"
    CANNOT_TELL = "cannot_tell"


@dataclass(frozen=True)
class Reason:
    """One reason: where it points, what was found with numbers, what would change it."""

    verdict: Verdict
    about: str
    message: str
    would_change: str = ""
