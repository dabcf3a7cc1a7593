"""Wing geometry, loading and stall. Stations in mm in, SI inside."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from builds.engineering.flight import stall_speed as stall_speed_of
from builds.engineering.flight import wing_loading as wing_loading_of
from builds.engineering.mass import rectangular_uncertainty
from builds.engineering.wing import Planform, Station, percent_of_mean_chord, planform
from builds.figures.reading import Reading, named
from builds.figures.results import Figures, Input, NotKnown, Worked, propagate
from builds.figures.units import (
    GRAM,
    GRAM_PER_SQUARE_DECIMETRE,
    MILLIMETRE,
    SQUARE_DECIMETRE,
)
from builds.records import PositionRecord

STATION_UNCERTAINTY_MM = 1.0
"""Standard uncertainty of a leading edge or chord: common practice, no source."""
LIFT_MAX, LIFT_MAX_LIMIT = 0.9, 0.15
"""Greatest lift coefficient of a whole small wing and its limits: an assumption, no source."""

PLAN_SOURCE = (
    "Projected area and mean aerodynamic chord by definition, integral of c2 dy over integral of"
    " c dy, straight panels. Uncertainty: JCGM 100:2008, 5.1.2."
)
PERCENT_SOURCE = "FAA-H-8083-1B, chapter 3, centre of gravity in percent of the mean chord."
LOADING_SOURCE = "Mass ready to fly over wing area: definition."
STALL_SOURCE = "Lift equation solved for the speed, FAA-H-8083-25, chapter 5."
STALL_NOTE = "Rests on an assumed greatest lift coefficient: an estimate, not a speed to fly by."

OfWing = Callable[[Planform], float]


@dataclass(frozen=True)
class Wing:
    """Stations of one half [m] and the inputs they came from."""

    stations: tuple[Station, ...]
    inputs: tuple[Input, ...]

    @property
    def plan(self) -> Planform:
        """Both halves in plan [m, m2]."""
        return planform(stations=self.stations)

    def estimates(self) -> list[tuple[float, float]]:
        """Stretch of the half span [1], leading edges and chords [m], each with its uncertainty."""
        u = STATION_UNCERTAINTY_MM * MILLIMETRE
        tip = self.stations[-1].y
        stretch = (1.0, u / tip if tip > 0 else 0.0)
        edges = [(one, u) for station in self.stations for one in (station.x_le, station.chord)]
        return [stretch, *edges]

    def moved(self, numbers: Sequence[float]) -> Planform:
        """The plan with other numbers, in the order of `estimates`."""
        stretch, edges, chords = numbers[0], numbers[1::2], numbers[2::2]
        stations = [
            Station(y=one.y * stretch, x_le=x_le, chord=max(chord, 0.0), z=one.z)
            for one, x_le, chord in zip(self.stations, edges, chords, strict=True)
        ]
        return planform(stations=stations)


def area(figures: Figures) -> Worked:
    """Wing area [dm2]."""
    return _geometry(figures, lambda plan: plan.area, SQUARE_DECIMETRE)


def span(figures: Figures) -> Worked:
    """Wing span [mm]."""
    return _geometry(figures, lambda plan: plan.span, MILLIMETRE)


def mean_chord(figures: Figures) -> Worked:
    """Mean aerodynamic chord [mm]."""
    return _geometry(figures, lambda plan: plan.mean_chord, MILLIMETRE)


def mean_chord_le(figures: Figures) -> Worked:
    """Leading edge of the mean chord, aft of the datum [mm]."""
    return _geometry(figures, lambda plan: plan.mean_chord_x, MILLIMETRE)


def cg_percent(figures: Figures) -> Worked:
    """Centre of gravity in percent of the mean chord [%]."""
    wing, _ = read_wing(figures)
    cg = figures.need("cg_x_mm")
    place = (cg.value * MILLIMETRE, cg.uncertainty * MILLIMETRE)
    value, uncertainty = propagate(
        lambda numbers: percent_of_mean_chord(x=numbers[0], wing=wing.moved(numbers[1:])),
        [place, *wing.estimates()],
    )
    return Worked(value, uncertainty, (cg.as_input(), *wing.inputs), PERCENT_SOURCE)


def wing_loading(figures: Figures) -> Worked:
    """Wing loading [g/dm2]."""
    auw, surface = figures.need("auw_g"), figures.need("wing_area_dm2")
    value, uncertainty = propagate(
        lambda n: wing_loading_of(mass=n[0], area=n[1]) / GRAM_PER_SQUARE_DECIMETRE,
        [
            (auw.value * GRAM, auw.uncertainty * GRAM),
            (surface.value * SQUARE_DECIMETRE, surface.uncertainty * SQUARE_DECIMETRE),
        ],
    )
    inputs = (auw.as_input(), surface.as_input())
    return Worked(value, uncertainty, inputs, LOADING_SOURCE, auw.note, auw.left_out)


def stall_speed(figures: Figures) -> Worked:
    """Stall speed in level flight in the air given [m/s]."""
    auw, surface = figures.need("auw_g"), figures.need("wing_area_dm2")
    air = figures.need("air_density_kg_m3")
    value, uncertainty = propagate(
        lambda n: stall_speed_of(mass=n[0], area=n[1], max_lift_coefficient=n[2], density=n[3]),
        [
            (auw.value * GRAM, auw.uncertainty * GRAM),
            (surface.value * SQUARE_DECIMETRE, surface.uncertainty * SQUARE_DECIMETRE),
            (LIFT_MAX, rectangular_uncertainty(half_width=LIFT_MAX_LIMIT)),
            (air.value, air.uncertainty),
        ],
    )
    assumed = (Input("greatest lift coefficient", LIFT_MAX, "", "assumed"), air.as_input())
    return Worked(
        value,
        uncertainty,
        (auw.as_input(), surface.as_input(), *assumed),
        STALL_SOURCE,
        " ".join(filter(None, (STALL_NOTE, air.note, auw.note))),
        auw.left_out,
    )


def read_wing(figures: Figures) -> tuple[Wing, PositionRecord]:
    """The wing of the fitted airframe, and the airframe's position.

    Raises
    ------
    NotKnown
        When there is no airframe or its wing is not given; a multirotor has none.
    """
    reading = Reading()
    airframes = reading.fitted(figures.snapshot, "airframe")
    reading.check()
    if airframes[0].part and airframes[0].part.get("layout") == "multirotor":
        raise NotKnown((), "A multirotor has no wing.")
    return read_surface(airframes[0], "wing_stations"), airframes[0]


def _geometry(figures: Figures, formula: OfWing, unit: float) -> Worked:
    wing, _ = read_wing(figures)
    value, uncertainty = propagate(
        lambda numbers: formula(wing.moved(numbers)) / unit, wing.estimates()
    )
    return Worked(value, uncertainty, wing.inputs, PLAN_SOURCE)


def read_surface(airframe: PositionRecord, name: str) -> Wing:
    """Stations of the wing or the tail of an airframe.

    Raises
    ------
    NotKnown
        When nobody gave them.
    """
    value = airframe.part.known(name) if airframe.part else None
    if value is None or not value.value:
        raise NotKnown([named(airframe, name)])
    rows: Sequence[Mapping[str, float]] = value.value
    stations = tuple(
        Station(
            y=row["y_mm"] * MILLIMETRE,
            x_le=row["leading_edge_x_mm"] * MILLIMETRE,
            chord=row["chord_mm"] * MILLIMETRE,
            z=row.get("z_mm", 0.0) * MILLIMETRE,
        )
        for row in rows
    )
    inputs = tuple(
        Input(
            f"{named(airframe, name)} {number}: y, leading edge x, chord, z",
            (row["y_mm"], row["leading_edge_x_mm"], row["chord_mm"], row.get("z_mm", 0.0)),
            "mm",
            value.source,
            value.at,
        )
        for number, row in enumerate(rows, start=1)
    )
    return Wing(stations, inputs)
