"""Area and mean aerodynamic chord of a wing of straight panels."""

from collections.abc import Sequence
from dataclasses import dataclass

from builds.engineering.checks import (
    OutOfRange,
    require_finite,
    require_not_negative,
    require_positive,
)


@dataclass(frozen=True)
class Station:
    """Section of one wing half: distance outboard, leading edge, chord and height [m]."""

    y: float
    x_le: float
    chord: float
    z: float = 0.0


@dataclass(frozen=True)
class Planform:
    """Both halves of a wing, projected on the ground plane.

    Area [m2], span [m], aspect ratio, mean aerodynamic chord [m], its leading edge aft of the
    datum and outboard [m], and the tangent of the half-chord sweep (mean by area, aft positive).
    """

    area: float
    span: float
    aspect_ratio: float
    mean_chord: float
    mean_chord_x: float
    mean_chord_y: float
    half_chord_slope: float


def planform(*, stations: Sequence[Station]) -> Planform:
    """Return the projected planform of a symmetric wing of straight panels [m, m2].

    Parameters
    ----------
    stations : sequence of Station
        Sections of one half from the root outwards [m]; at least two. The area is that of the
        panels: carry-through inside the fuselage counts only with a station at y = 0.

    Returns
    -------
    Planform
        Area [m2], span, mean aerodynamic chord and its place [m].

    Raises
    ------
    OutOfRange
        When stations are fewer than two, run inwards, coincide, or lack chord.

    Notes
    -----
    Dihedral shortens nothing here: give y as projected. An upright fin (same y, other z) adds no
    area. Only the tip may have no chord. Forward sweep is a leading edge that moves ahead.

    Source
    ------
    Mean aerodynamic chord by its definition, integral of c2 dy over integral of c dy; Abbott & von
    Doenhoff, Theory of Wing Sections, section 1.4 (from memory, not verified); panel integrals
    in closed form.

    >>> wing = planform(stations=[Station(0, 0, 0.25), Station(0.45, 0.25, 0.13)])
    >>> round(wing.area, 4), round(wing.mean_chord, 6), round(wing.mean_chord_x, 6)
    (0.171, 0.196316, 0.111842)
    """
    _require_sound(stations)
    half_area = chord_squared = x_moment = y_moment = slope = 0.0
    for inner, outer in zip(stations, stations[1:], strict=False):
        b = outer.y - inner.y
        c0, c1 = inner.chord, outer.chord
        half_area += b * (c0 + c1) / 2
        chord_squared += b * (c0 * c0 + c0 * c1 + c1 * c1) / 3
        x_moment += b * _mean_product(inner.x_le, outer.x_le, c0, c1)
        y_moment += b * _mean_product(inner.y, outer.y, c0, c1)
        slope += (outer.x_le + c1 / 2 - inner.x_le - c0 / 2) * (c0 + c1) / 2
    if half_area <= 0:
        raise OutOfRange("the wing has no area in plan")
    area, span = 2 * half_area, 2 * stations[-1].y
    return Planform(
        area=area,
        span=span,
        aspect_ratio=span**2 / area,
        mean_chord=chord_squared / half_area,
        mean_chord_x=x_moment / half_area,
        mean_chord_y=y_moment / half_area,
        half_chord_slope=slope / half_area,
    )


def percent_of_mean_chord(*, x: float, wing: Planform) -> float:
    """Return a position as percent of the mean aerodynamic chord [%].

    Parameters
    ----------
    x : float
        Position aft of the datum [m].
    wing : Planform
        The wing [m].

    Returns
    -------
    float
        0 at the leading edge of the mean chord, 100 at its trailing edge [%].

    Raises
    ------
    OutOfRange
        When `x` is not finite or the mean chord not positive.

    Source
    ------
    FAA-H-8083-1B, chapter 3, centre of gravity in percent of the mean aerodynamic chord.

    >>> wing = planform(stations=[Station(0, 0.1, 0.2), Station(0.5, 0.1, 0.2)])
    >>> round(percent_of_mean_chord(x=0.15, wing=wing), 6)
    25.0
    """
    require_finite(x=x)
    require_positive(mean_chord=wing.mean_chord)
    return 100 * (x - wing.mean_chord_x) / wing.mean_chord


def x_at_percent_of_mean_chord(*, percent: float, wing: Planform) -> float:
    """Return the position at some percent of the mean aerodynamic chord [m].

    Parameters
    ----------
    percent : float
        Percent of the mean chord from its leading edge [%].
    wing : Planform
        The wing [m].

    Returns
    -------
    float
        Position aft of the datum [m].

    Raises
    ------
    OutOfRange
        When `percent` is not finite or the mean chord not positive.

    Source
    ------
    FAA-H-8083-1B, chapter 3, centre of gravity in percent of the mean aerodynamic chord.

    >>> wing = planform(stations=[Station(0, 0.1, 0.2), Station(0.5, 0.1, 0.2)])
    >>> round(x_at_percent_of_mean_chord(percent=25, wing=wing), 6)
    0.15
    """
    require_finite(percent=percent)
    require_positive(mean_chord=wing.mean_chord)
    return wing.mean_chord_x + percent / 100 * wing.mean_chord


def _mean_product(a0: float, a1: float, c0: float, c1: float) -> float:
    """Mean over a panel of the product of two quantities that vary linearly along it."""
    return (2 * a0 * c0 + a0 * c1 + a1 * c0 + 2 * a1 * c1) / 6


def _require_sound(stations: Sequence[Station]) -> None:
    if len(stations) < 2:
        raise OutOfRange("a wing needs at least two stations, root and tip")
    for number, station in enumerate(stations, start=1):
        _require_sound_station(number, station, is_tip=number == len(stations))
    for number, (inner, outer) in enumerate(zip(stations, stations[1:], strict=False), start=2):
        if outer.y < inner.y:
            raise OutOfRange(f"station {number} lies inboard of the one before it")
        if outer.y == inner.y and outer.z == inner.z:
            raise OutOfRange(f"station {number} lies at the same place as the one before it")


def _require_sound_station(number: int, station: Station, *, is_tip: bool) -> None:
    try:
        require_finite(x_le=station.x_le, z=station.z)
        require_not_negative(y=station.y, chord=station.chord)
    except OutOfRange as error:
        raise OutOfRange(f"station {number}: {error}") from error
    if station.chord == 0 and not is_tip:
        raise OutOfRange(f"station {number} has no chord; only the tip may end in a point")
