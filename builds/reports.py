"""All that is known of a build: one call for the page and the API."""

from __future__ import annotations

from dataclasses import dataclass

import builds.rules  # noqa: F401 - registers the rules
from builds.figures import Figures, figures_of
from builds.findings import Judgement, book
from builds.models import Build
from builds.records import BuildSnapshot
from builds.snapshot import take_snapshot
from hangar.clubs.models import User
from inventory.models import Part


@dataclass(frozen=True)
class Report:
    """A build as fitted, its figures, and what the rules say of it."""

    snapshot: BuildSnapshot
    figures: Figures
    judgement: Judgement


def report_on(build: Build, *, viewer: User | None = None, pack: Part | None = None) -> Report:
    """Figures and findings of a build with its usual pack, or with another.

    `build` is loaded with its club; `viewer` adds that person's own ground gear.
    """
    return report_of(take_snapshot(build, viewer=viewer, pack=pack))


def report_of(snapshot: BuildSnapshot) -> Report:
    """Figures and findings of a build as recorded, for instance with a part swapped."""
    figures = figures_of(snapshot)
    return Report(snapshot, figures, book.judge(snapshot, figures))
