"""Which hole of the servo arm gives the throws wanted: travel, torque, resolution."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from builds.engineering.checks import OutOfRange, require_not_negative, require_positive
from builds.engineering.linkage.edge import EdgeMeasure, angle_for_edge
from builds.engineering.linkage.fourbar import Binds, Linkage, servo_angle, transmission_ratio


@dataclass(frozen=True)
class HoleRow:
    """What one hole of the arm needs for the throws wanted, and what it gives.

    arm radius [m]; servo turns [rad]; travel as a share of full travel [1]; pulse change from
    centre [s]; edge_per_step: height of the trailing edge per step of the signal at neutral [m];
    torque_ratio: greatest servo torque over hinge moment within the throws [1];
    binds_at_full_travel: whether the linkage binds or goes over centre at 100 % travel, so that the
    travel needs a limit. When `problem` is set the other figures are None.
    """

    arm: float
    problem: str | None
    servo_up: float | None = None
    servo_down: float | None = None
    travel_up: float | None = None
    travel_down: float | None = None
    pulse_up: float | None = None
    pulse_down: float | None = None
    edge_per_step: float | None = None
    torque_ratio: float | None = None
    is_within_travel: bool = False
    binds_at_full_travel: bool | None = None


def hole_table(
    *,
    linkage: Linkage,
    holes: Sequence[float],
    up: float,
    down: float,
    chord: float,
    full_travel: float,
    full_pulse: float = 500e-6,
    step: float = 1e-6,
    measure: EdgeMeasure = "height",
    largest_travel: float = 1.0,
) -> tuple[HoleRow, ...]:
    """What each hole of the servo arm needs for the throws wanted.

    Parameters
    ----------
    linkage : Linkage
        Horn, axes [m] and neutral angles [rad]; its arm is replaced by each hole, the rod set anew.
    holes : sequence of float
        Radii of the holes [m].
    up, down : float
        Throws wanted at the trailing edge [m], both positive numbers.
    chord : float
        From hinge line to trailing edge [m].
    full_travel : float
        Turn of the servo at 100 % travel [rad].
    full_pulse : float
        Change of pulse length at 100 % travel [s]; 500 microseconds is common practice, no source.
    step : float
        Smallest change of pulse that the servo follows [s].
    measure : {"height", "ruler", "arc"}
        How the throws are measured.
    largest_travel : float
        Share of full travel that may be used [1].

    Returns
    -------
    tuple of HoleRow
        In order of radius.

    Raises
    ------
    OutOfRange
        If there is no hole, a value is not greater than zero, or the throw is impossible on this
        chord.

    Notes
    -----
    Source: `servo_angle` and `transmission_ratio`.
    """
    if not holes:
        raise OutOfRange("the arm has no hole")
    require_not_negative(throw_up=up, throw_down=down)
    require_positive(
        full_travel=full_travel, full_pulse=full_pulse, step=step, largest_travel=largest_travel
    )
    throws = (
        angle_for_edge(distance=up, chord=chord, measure=measure),
        -angle_for_edge(distance=down, chord=chord, measure=measure),
    )
    rows = []
    for hole in sorted(holes):
        try:
            hole_linkage = replace(linkage, arm=hole)
            row = _hole_row(hole_linkage, throws, full_travel)
        except Binds as problem:
            rows.append(HoleRow(arm=hole, problem=str(problem)))
            continue
        travels = (row.travel_up or 0.0, row.travel_down or 0.0)
        neutral = transmission_ratio(linkage=hole_linkage, servo_angle=0.0)
        rows.append(
            replace(
                row,
                pulse_up=travels[0] * full_pulse,
                pulse_down=travels[1] * full_pulse,
                binds_at_full_travel=_binds_at(hole_linkage, full_travel),
                edge_per_step=chord * abs(neutral) * full_travel / full_pulse * step,
                is_within_travel=max(map(abs, travels)) <= largest_travel,
            )
        )
    return tuple(rows)


def best_hole(*, rows: Sequence[HoleRow]) -> HoleRow | None:
    """Hole of finest resolution and least torque: the smallest that stays within the travel.

    Parameters
    ----------
    rows : sequence of HoleRow
        From `hole_table`, radii [m].

    Returns
    -------
    HoleRow or None
        None when no hole gives the throws.

    Raises
    ------
    OutOfRange
        Never.

    Notes
    -----
    Source: common practice, no source: mechanical travel before electronic.
    """
    fitting = [row for row in rows if row.is_within_travel]
    return min(fitting, key=lambda row: row.arm, default=None)


def _hole_row(linkage: Linkage, throws: tuple[float, float], full_travel: float) -> HoleRow:
    up, down = (servo_angle(linkage=linkage, surface_angle=throw) for throw in throws)
    ratios = [
        abs(transmission_ratio(linkage=linkage, servo_angle=turn)) for turn in (up, 0.0, down)
    ]
    return HoleRow(
        arm=linkage.arm,
        problem=None,
        servo_up=up,
        servo_down=down,
        travel_up=up / full_travel,
        travel_down=down / full_travel,
        torque_ratio=max(ratios),
    )


def _binds_at(linkage: Linkage, turn: float) -> bool:
    within = min(turn, math.pi / 2)
    neutral = transmission_ratio(linkage=linkage, servo_angle=0.0)
    try:
        ends = [transmission_ratio(linkage=linkage, servo_angle=side * within) for side in (-1, 1)]
    except Binds:
        return True
    return any(end * neutral <= 0 for end in ends)
