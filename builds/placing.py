"""All that the placing page and its API show of a build. Plain Python."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from builds.figures import figures_of
from builds.figures.compass import SPACING_MM, Field, compass_figures
from builds.figures.links import Ground, aerial_figures, link_figures
from builds.figures.results import Labelled
from builds.records import BuildSnapshot

DAYS = 365.25


@dataclass(frozen=True)
class PlacingReport:
    """Compasses beside leads, radio links, and aerials beside each other."""

    snapshot: BuildSnapshot
    compasses: tuple[Labelled, ...]
    links: tuple[Labelled, ...]
    aerials: tuple[Labelled, ...]


def placing_report(
    snapshot: BuildSnapshot, *, field: Field, ground: Ground, spacing_mm: float = SPACING_MM
) -> PlacingReport:
    """What the places of the parts do to the compass and to the radio."""
    figures = figures_of(snapshot)
    return PlacingReport(
        snapshot=snapshot,
        compasses=compass_figures(figures, field, spacing_mm),
        links=link_figures(figures, ground),
        aerials=aerial_figures(figures),
    )


def decimal_year(day: date) -> float:
    """A day as a decimal year, as magnetic models want it."""
    return day.year + (day.timetuple().tm_yday - 1) / DAYS
