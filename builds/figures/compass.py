"""How much the leads that carry the current turn a compass."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial

from builds.engineering.earth_field import horizontal_field
from builds.engineering.magnetics import (
    distance_for_fraction,
    heading_error,
    pair_field,
    single_wire_distance_for_fraction,
    wire_field,
)
from builds.figures.leads import carrying_leads
from builds.figures.places import distance_between
from builds.figures.results import Figures, Input, Labelled, Maker, NotKnown, Worked, propagate
from builds.figures.units import MILLIMETRE, PERCENT
from builds.records import BuildSnapshot, PositionRecord

SPACING_MM = 4.0
"""Axes of two leads that lie side by side: common practice, no source."""
ALLOWED = 0.05
"""Share of the earth's field that turns a heading by at most 2.9 degrees: common practice."""
TESLA_PER_MICROTESLA = 1e-6

EARTH_SOURCE = (
    "World Magnetic Model 2025 (NOAA and British Geological Survey), through pygeomag; local iron"
    " is not in it."
)
PAIR_SOURCE = "Law of Biot and Savart, two long leads with opposite currents, in their plane."
LONE_SOURCE = "Law of Biot and Savart, one long lead whose return runs elsewhere."
SHARE_SOURCE = "The pair's field over the earth's horizontal field: definition."
ERROR_SOURCE = "Vector sum of two fields: at worst asin of the share."
WANTED_NOTE = (
    "Where the leads add 5 % of the earth's field. Twist them or lay them touching first; distance"
    " comes second."
)


@dataclass(frozen=True)
class Field:
    """Where and when it flies: degrees north and east, metres above the sea, decimal year."""

    latitude_deg: float | None = None
    longitude_deg: float | None = None
    elevation_m: float = 0.0
    year: float = 2026.0


def compass_figures(
    figures: Figures, field: Field, spacing_mm: float = SPACING_MM
) -> tuple[Labelled, ...]:
    """The earth's field, and for each compass and lead what the lead adds to it."""
    earth = figures.beside("Earth", "earth_field", Maker("µT", lambda _: _earth(field)))
    pairs = [
        Pair(compass, lead, spacing_mm, field)
        for compass in compasses(figures.snapshot)
        for lead in carrying_leads(figures.snapshot)
    ]
    return (
        earth,
        *(
            figures.beside(pair.label, name, Maker(unit, partial(work, pair=pair)))
            for pair in pairs
            for name, (unit, work) in WORK.items()
        ),
    )


def compasses(snapshot: BuildSnapshot) -> tuple[PositionRecord, ...]:
    """Parts whose sheet says that they have a compass."""
    return tuple(
        position
        for position in snapshot.fitted("gps", "flight_controller")
        if position.part and position.part.get("has_compass")
    )


@dataclass(frozen=True)
class Pair:
    """A compass, a lead with its go and return so far apart [mm], and the field."""

    compass: PositionRecord
    lead: PositionRecord
    spacing_mm: float
    field: Field

    @property
    def label(self) -> str:
        """What tells this pair from the others."""
        return f"{self.compass.title} and {self.lead.title}"

    @property
    def spacing(self) -> float:
        """Between the axes of go and return [m]."""
        return self.spacing_mm * MILLIMETRE

    @property
    def spacing_input(self) -> Input:
        """The spacing as an input."""
        source = "assumed" if self.spacing_mm == SPACING_MM else "asked"
        return Input("between the axes of the two leads (mm)", self.spacing_mm, "mm", source)


def _earth(field: Field) -> Worked:
    latitude, longitude = field.latitude_deg, field.longitude_deg
    if latitude is None or longitude is None:
        raise NotKnown(("latitude and longitude of the flying field",))
    found = horizontal_field(
        latitude=latitude, longitude=longitude, year=field.year, altitude=field.elevation_m
    )
    inputs = (
        Input("latitude (°)", latitude, "°", "asked"),
        Input("longitude (°)", longitude, "°", "asked"),
        Input("elevation (m)", field.elevation_m, "m", "asked"),
        Input("year", round(field.year, 2), "", "asked"),
    )
    return Worked(found / TESLA_PER_MICROTESLA, 0.0, inputs, EARTH_SOURCE)


def _distance(_: Figures, *, pair: Pair) -> Worked:
    return distance_between(pair.compass, pair.lead)


def _field(
    figures: Figures, pair: Pair, formula: Callable[[float, float], float], source: str
) -> Worked:
    """What a formula makes of current [A] and distance [m]."""
    apart = distance_between(pair.compass, pair.lead)
    current = figures.need("current_max_a")
    value, uncertainty = propagate(
        lambda n: formula(n[0], n[1] * MILLIMETRE),
        [(current.value, current.uncertainty), (apart.value, apart.uncertainty)],
    )
    inputs = (current.as_input(), *apart.inputs, pair.spacing_input)
    return Worked(value, uncertainty, inputs, source)


def _pair_field(figures: Figures, *, pair: Pair) -> Worked:
    return _field(
        figures,
        pair,
        lambda current, distance: (
            pair_field(current=current, spacing=pair.spacing, distance=distance)
            / TESLA_PER_MICROTESLA
        ),
        PAIR_SOURCE,
    )


def _lone_field(figures: Figures, *, pair: Pair) -> Worked:
    return _field(
        figures,
        pair,
        lambda current, distance: (
            wire_field(current=current, distance=distance) / TESLA_PER_MICROTESLA
        ),
        LONE_SOURCE,
    )


def _share(figures: Figures, *, pair: Pair) -> Worked:
    added, earth = _pair_field(figures, pair=pair), _earth(pair.field)
    scale = earth.value * PERCENT
    inputs = (*added.inputs, *earth.inputs)
    return Worked(added.value / scale, added.uncertainty / scale, inputs, SHARE_SOURCE)


def _error(figures: Figures, *, pair: Pair) -> Worked:
    added, earth = _pair_field(figures, pair=pair), _earth(pair.field)
    value, uncertainty = propagate(
        lambda n: math.degrees(heading_error(disturbance=n[0], horizontal_field=earth.value)),
        [(added.value, added.uncertainty)],
    )
    return Worked(value, uncertainty, (*added.inputs, *earth.inputs), ERROR_SOURCE)


def _wanted(figures: Figures, pair: Pair, formula: Callable[[float, float], float]) -> Worked:
    """What a formula makes of current [A] and the earth's field [T], in m."""
    earth, current = _earth(pair.field), figures.need("current_max_a")
    value, uncertainty = propagate(
        lambda n: formula(n[0], earth.value * TESLA_PER_MICROTESLA) / MILLIMETRE,
        [(current.value, current.uncertainty)],
    )
    inputs = (current.as_input(), *earth.inputs, pair.spacing_input)
    return Worked(value, uncertainty, inputs, PAIR_SOURCE, WANTED_NOTE)


def _pair_distance(figures: Figures, *, pair: Pair) -> Worked:
    return _wanted(
        figures,
        pair,
        lambda current, earth: distance_for_fraction(
            current=current, spacing=pair.spacing, horizontal_field=earth, fraction=ALLOWED
        ),
    )


def _lone_distance(figures: Figures, *, pair: Pair) -> Worked:
    return _wanted(
        figures,
        pair,
        lambda current, earth: single_wire_distance_for_fraction(
            current=current, horizontal_field=earth, fraction=ALLOWED
        ),
    )


WORK: dict[str, tuple[str, Callable[..., Worked]]] = {
    "apart_mm": ("mm", _distance),
    "pair_field": ("µT", _pair_field),
    "pair_share_percent": ("%", _share),
    "heading_error_deg": ("°", _error),
    "pair_distance_wanted_mm": ("mm", _pair_distance),
    "lone_lead_field": ("µT", _lone_field),
    "lone_lead_distance_wanted_mm": ("mm", _lone_distance),
}
