"""Lift due to angle of attack of wing, tail or foreplane together, by a vortex lattice."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Any

import numpy as np
from numpy.typing import NDArray

from builds.engineering.checks import OutOfRange, require_between
from builds.engineering.wing.geometry import Station, planform

Array = NDArray[np.floating[Any]]

STRIPS, ROWS = 8, 3
"""Strips of the half of the shortest surface, and rows along its chord, of the coarser lattice."""
SLOPE_MOST = 1.732
"""Tangent of 60 degrees of mean half-chord sweep; beyond it the flow leaves the leading edge."""
ASPECT_RATIOS = (1.0, 40.0)
GAP_LEAST = 0.05
"""Height of one surface over another at the same x, over the chord, that the panels resolve."""
_MIRROR = np.array([1.0, -1.0, 1.0])


@dataclass(frozen=True)
class SurfaceLift:
    """What one surface adds: lift over dynamic pressure per angle [m2/rad], and where [m]."""

    per_angle: float
    x: float


def surface_lifts(*, surfaces: Sequence[Sequence[Station]]) -> tuple[SurfaceLift, ...]:
    """Return the lift that an angle of attack adds to each surface, and where it acts [m2/rad, m].

    Parameters
    ----------
    surfaces : sequence of sequences of Station
        One half of each surface from its root outwards [m], z counted. A root outboard of the
        middle is carried on to it with its own chord, as a fuselage carries the lift on.

    Returns
    -------
    tuple of SurfaceLift
        In the order of the surfaces, both halves, each with the others' wash on it [m2/rad, m].

    Raises
    ------
    OutOfRange
        When a surface is no wing, stands upright somewhere, has an aspect ratio or a sweep out of
        range, or when two surfaces run through each other.

    Notes
    -----
    Valid for thin, flat, rigid surfaces in attached, incompressible flow at small angles, without
    body and propeller. Twist and camber move no neutral point to first order and are left out.
    The error of a lattice is in proportion to the width of its strips, so two of them, one twice
    as fine, give the limit: within 0.2 % of the mean chord of the limit of lattices four times
    as fine.

    Source
    ------
    See `lattice_lifts`. Limit by extrapolation: Richardson, The deferred approach to the limit,
    Phil. Trans. R. Soc. A 226 (1927) (from memory, not verified).

    >>> plank = [Station(0, 0, 0.2), Station(0.5, 0, 0.2)]
    >>> (lift,) = surface_lifts(surfaces=[plank])
    >>> round(lift.per_angle / 0.2, 2), round(lift.x / 0.2, 3)
    (3.95, 0.238)
    """
    coarse, fine = (
        lattice_lifts(surfaces=surfaces, strips=STRIPS, rows=ROWS, halvings=halvings)
        for halvings in (0, 1)
    )
    return tuple(_limit(*pair) for pair in zip(coarse, fine, strict=True))


def lattice_lifts(
    *, surfaces: Sequence[Sequence[Station]], strips: int, rows: int, halvings: int = 0
) -> tuple[SurfaceLift, ...]:
    """Return the same by one lattice [m2/rad, m].

    Parameters
    ----------
    surfaces : sequence of sequences of Station
        One half of each surface from its root outwards [m].
    strips : int
        Strips of the half of the shortest surface, 2 to 200; others are cut as finely. All are
        cut at the same y, so that no wake runs through a control point.
    rows : int
        Panels along the chord, 1 to 50.
    halvings : int
        How often each strip is halved then, 0 to 3.

    Returns
    -------
    tuple of SurfaceLift
        In the order of the surfaces, both halves [m2/rad, m].

    Raises
    ------
    OutOfRange
        As `surface_lifts`.

    Source
    ------
    Katz and Plotkin, Low-Speed Aerodynamics, chapter 12: horseshoe vortices on the quarter, flow
    condition on the three-quarter line of each panel; velocity of a straight vortex, section 2.12
    (sections from memory, not verified). The wake runs straight aft.

    >>> import math
    >>> swept = [Station(0, 0, 0.2), Station(0.5, 0.5, 0.2)]
    >>> (lift,) = lattice_lifts(surfaces=[swept], strips=4, rows=1)
    >>> round(lift.per_angle / 0.2 / math.pi, 3)
    1.096
    """
    require_between(2, 200, strips=strips)
    require_between(1, 50, rows=rows)
    require_between(0, 3, halvings=halvings)
    if not surfaces:
        raise OutOfRange("a lattice needs at least one surface")
    halves = [_to_the_middle(half) for half in surfaces]
    for half in halves:
        _require_valid(half)
    edges = _edges(halves, strips)
    for one, other in combinations(halves, 2):
        _require_apart(one, other, edges)
    for _ in range(halvings):
        edges = np.sort(np.concatenate([edges, (edges[1:] + edges[:-1]) / 2]))
    parts = [_panels(half, edges, rows) for half in halves]
    ends = np.cumsum([len(part.width) for part in parts])[:-1]
    strengths = np.split(_circulation(_joined(parts)), ends)
    return tuple(_lift(*pair) for pair in zip(parts, strengths, strict=True))


def _limit(coarse: SurfaceLift, fine: SurfaceLift) -> SurfaceLift:
    per_angle = 2 * fine.per_angle - coarse.per_angle
    moment = 2 * fine.per_angle * fine.x - coarse.per_angle * coarse.x
    return SurfaceLift(per_angle, moment / per_angle)


@dataclass(frozen=True)
class _Panels:
    """Ends of the bound vortices, control points and normals [m]; widths along y [m]."""

    inner: Array
    outer: Array
    control: Array
    normal: Array
    width: Array


def _to_the_middle(half: Sequence[Station]) -> tuple[Station, ...]:
    if not half or half[0].y <= 0:
        return tuple(half)
    root = half[0]
    return (Station(y=0.0, x_le=root.x_le, chord=root.chord, z=root.z), *half)


def _require_valid(half: Sequence[Station]) -> None:
    plan = planform(stations=half)
    require_between(*ASPECT_RATIOS, aspect_ratio=plan.aspect_ratio)
    require_between(-SLOPE_MOST, SLOPE_MOST, tangent_of_the_sweep=plan.half_chord_slope)
    if any(inner.y == outer.y for inner, outer in zip(half, half[1:], strict=False)):
        raise OutOfRange("the lattice takes no upright panel: leave fins out of the stations")


def _edges(halves: Sequence[Sequence[Station]], strips: int) -> Array:
    """Places along y at which every surface is cut: its stations, but none too close, and more."""
    breaks = _breaks(halves, min(half[-1].y for half in halves) / (4 * strips))
    edges = [breaks[0]]
    for low, high in zip(breaks, breaks[1:], strict=False):
        covering = [half for half in halves if half[-1].y >= high]
        share = max(_length(half, low, high) / _length(half, 0.0, half[-1].y) for half in covering)
        count = max(1, round(strips * share))
        edges += list(np.linspace(low, high, count + 1)[1:])
    return np.array(edges)


def _breaks(halves: Sequence[Sequence[Station]], least: float) -> list[float]:
    """Middle, tips and those other stations that lie further than `least` from each other [m]."""
    kept = {0.0, *(half[-1].y for half in halves)}
    for y in sorted({station.y for half in halves for station in half}):
        if min(abs(y - other) for other in kept) > least:
            kept.add(y)
    return sorted(kept)


def _require_apart(one: Sequence[Station], other: Sequence[Station], edges: Array) -> None:
    y = edges[edges <= min(one[-1].y, other[-1].y)]
    (x1, chord1, z1), (x2, chord2, z2) = _sections(one, y), _sections(other, y)
    is_level = (x1 < x2 + chord2) & (x2 < x1 + chord1)
    gap = (z1 - z2)[is_level]
    is_close = (abs(gap) < GAP_LEAST * np.maximum(chord1, chord2)[is_level]).any()
    if is_close or (gap.size and gap.min() < 0 < gap.max()):
        raise OutOfRange("two surfaces run through each other, or nearly so")


def _sections(half: Sequence[Station], y: Array) -> tuple[Array, Array, Array]:
    """Leading edge, chord and height at some y [m]."""
    places = [one.y for one in half]
    x_le, chord, z = (
        np.interp(y, places, [getattr(one, name) for one in half])
        for name in ("x_le", "chord", "z")
    )
    return x_le, chord, z


def _length(half: Sequence[Station], low: float, high: float) -> float:
    """Length along the surface seen from behind, between two y [m]."""
    y = np.array([low, *(one.y for one in half if low < one.y < high), high])
    z = np.interp(y, [one.y for one in half], [one.z for one in half])
    return float(np.hypot(np.diff(y), np.diff(z)).sum())


def _panels(half: Sequence[Station], edges: Array, rows: int) -> _Panels:
    y = edges[edges <= half[-1].y]
    x_le, chord, z = _sections(half, y)
    row = np.arange(rows)[:, None]

    def line(share: float) -> Array:
        x = x_le + (row + share) / rows * chord
        return np.stack(np.broadcast_arrays(x, y, z), axis=-1)

    bound, flow = line(0.25), line(0.75)
    across = bound[:, 1:] - bound[:, :-1]
    normal = np.stack([0 * across[..., 0], -across[..., 2], across[..., 1]], axis=-1)
    normal /= np.linalg.norm(normal, axis=-1, keepdims=True)
    return _Panels(
        inner=bound[:, :-1].reshape(-1, 3),
        outer=bound[:, 1:].reshape(-1, 3),
        control=((flow[:, :-1] + flow[:, 1:]) / 2).reshape(-1, 3),
        normal=normal.reshape(-1, 3),
        width=across[..., 1].ravel(),
    )


def _joined(parts: Sequence[_Panels]) -> _Panels:
    return _Panels(
        *(
            np.concatenate([getattr(part, name) for part in parts])
            for name in _Panels.__dataclass_fields__
        )
    )


def _circulation(panels: _Panels) -> Array:
    """Strengths per angle of attack and speed [m/rad] that let no flow through a control point."""
    wash = _normal_wash(panels, panels.control, panels.normal)
    wash += _normal_wash(panels, panels.control * _MIRROR, panels.normal * _MIRROR)
    strengths: Array = np.linalg.solve(wash, -panels.normal[:, 2])
    return strengths


def _normal_wash(panels: _Panels, points: Array, normals: Array) -> Array:
    """Speed along each normal by each horseshoe of unit strength, its legs straight aft [1/m]."""
    x1, y1, z1 = np.moveaxis(points[:, None] - panels.inner, -1, 0)
    x2, y2, z2 = np.moveaxis(points[:, None] - panels.outer, -1, 0)
    r1, r2 = np.sqrt(x1**2 + y1**2 + z1**2), np.sqrt(x2**2 + y2**2 + z2**2)
    bound = (r1 + r2) / (r1 * r2 * (r1 * r2 + x1 * x2 + y1 * y2 + z1 * z2))
    leg1 = (1 + x1 / r1) / (y1**2 + z1**2)
    leg2 = (1 + x2 / r2) / (y2**2 + z2**2)
    sideways = bound * (z1 * x2 - x1 * z2) + leg1 * z1 - leg2 * z2
    upwards = bound * (x1 * y2 - y1 * x2) - leg1 * y1 + leg2 * y2
    wash: Array = (normals[:, 1:2] * sideways + normals[:, 2:3] * upwards) / (4 * np.pi)
    return wash


def _lift(panels: _Panels, strengths: Array) -> SurfaceLift:
    force = strengths * panels.width
    total = float(force.sum())
    if not total > 0:
        raise OutOfRange("a surface has no lift of its own in the wash of the other")
    middle = (panels.inner[:, 0] + panels.outer[:, 0]) / 2
    return SurfaceLift(per_angle=4 * total, x=float(force @ middle) / total)
