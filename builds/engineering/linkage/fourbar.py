"""Servo arm, rod and horn as a planar four-bar linkage; travel and throw in both directions.

The servo's axis is the origin, the hinge lies on the line of the axes; angles [rad] are measured
from that line, and both neutral angles are 90 degrees in a plain linkage. Play and flex are left
out.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from builds.engineering.checks import (
    OutOfRange,
    require_between,
    require_positive,
)


class Binds(OutOfRange):
    """The linkage cannot reach the position: rod and horn, or rod and arm, come into line."""


@dataclass(frozen=True)
class Linkage:
    """Radii of arm and horn and distance of their axes [m]; neutral angles [rad]."""

    arm: float
    horn: float
    axes: float
    arm_neutral: float = math.pi / 2
    horn_neutral: float = math.pi / 2

    def __post_init__(self) -> None:
        """Refuse a linkage that has no size or that is in line at neutral."""
        require_positive(arm=self.arm, horn=self.horn, distance_of_axes=self.axes)
        require_between(
            0,
            math.pi,
            arm_angle_at_neutral=self.arm_neutral,
            horn_angle_at_neutral=self.horn_neutral,
        )
        require_positive(rod=self.rod)
        if abs(_sine_at_horn(self, 0.0, 0.0)) < 1e-6:
            raise Binds("rod and horn are in line at neutral")

    @property
    def rod(self) -> float:
        """Length of the rod [m] that joins arm and horn at neutral."""
        return math.hypot(
            self.axes
            + self.horn * math.cos(self.horn_neutral)
            - self.arm * math.cos(self.arm_neutral),
            self.horn * math.sin(self.horn_neutral) - self.arm * math.sin(self.arm_neutral),
        )


def surface_angle(*, linkage: Linkage, servo_angle: float) -> float:
    """Deflection [rad] of the surface for a turn of the servo.

    Parameters
    ----------
    linkage : Linkage
        Lengths [m], neutral angles [rad].
    servo_angle : float
        Turn of the servo from neutral [rad], within a quarter turn either way.

    Returns
    -------
    float
        Deflection from neutral [rad], on the branch that starts at neutral.

    Raises
    ------
    Binds
        If rod and horn come into line on the way.
    OutOfRange
        If the turn is more than a quarter turn.

    Notes
    -----
    Source: F. Freudenstein, An analytical approach to the design of four-link mechanisms, Trans.
    ASME 76 (1954); the equation solved for the output angle as P cos f + Q sin f = R, which keeps
    its digits where the half-angle form does not.

    Examples
    --------
    >>> plain = Linkage(arm=0.012, horn=0.015, axes=0.080)
    >>> angle = surface_angle(linkage=plain, servo_angle=math.radians(30))
    >>> round(math.degrees(angle), 5)
    23.63598
    """
    require_between(-math.pi / 2, math.pi / 2, servo_angle=servo_angle)
    start = linkage.arm_neutral
    end = start + servo_angle
    # The pin is nearest to and farthest from the hinge where the arm lies on the line of the axes.
    for in_line in (0.0, math.pi):
        if min(start, end) < in_line < max(start, end):
            _horn_angles(linkage, in_line)
    branch = 1 if _sine_at_horn(linkage, 0.0, 0.0) > 0 else -1
    upper, lower = _horn_angles(linkage, end)
    angle = (upper if branch > 0 else lower) - linkage.horn_neutral
    return math.remainder(angle, 2 * math.pi)


def servo_angle(*, linkage: Linkage, surface_angle: float) -> float:
    """Turn [rad] of the servo for a deflection of the surface.

    Parameters
    ----------
    linkage : Linkage
        Lengths [m], neutral angles [rad].
    surface_angle : float
        Deflection from neutral [rad], within a quarter turn either way.

    Returns
    -------
    float
        Turn from neutral [rad], before the arm and the rod come into line.

    Raises
    ------
    Binds
        If the arm cannot give the deflection before it comes into line with the rod, or the
        linkage binds on the way there.
    OutOfRange
        If the deflection is more than a quarter turn.

    Notes
    -----
    Source: see the function `surface_angle`, with arm and horn exchanged.

    Examples
    --------
    >>> hole = Linkage(arm=0.008, horn=0.015, axes=0.080)
    >>> turn = servo_angle(linkage=hole, surface_angle=math.asin(10 / 40))
    >>> round(math.degrees(turn), 5)
    27.63441
    """
    require_between(-math.pi / 2, math.pi / 2, surface_angle=surface_angle)
    if abs(_sine_at_arm(linkage, 0.0, 0.0)) < 1e-6:
        raise Binds("rod and arm are in line at neutral")
    reverse = Linkage(
        arm=linkage.horn,
        horn=linkage.arm,
        axes=linkage.axes,
        arm_neutral=math.pi - linkage.horn_neutral,
        horn_neutral=math.pi - linkage.arm_neutral,
    )
    try:
        turn = -_forward(reverse, -surface_angle)
    except Binds as problem:
        raise Binds("arm and rod come into line before the surface gets there") from problem
    if abs(turn) > math.pi / 2:
        raise Binds("the surface needs more than a quarter turn of the servo")
    if not math.isclose(_forward(linkage, turn), surface_angle, abs_tol=1e-7):
        raise Binds("the linkage binds before the surface gets there")
    return turn


def transmission_ratio(*, linkage: Linkage, servo_angle: float) -> float:
    """Turn of the surface per turn of the servo [1]; servo torque is this times hinge moment.

    Parameters
    ----------
    linkage : Linkage
        Lengths [m], neutral angles [rad].
    servo_angle : float
        Turn of the servo from neutral [rad].

    Returns
    -------
    float
        Ratio [1]; zero when the arm is in line with the rod, of the other sign beyond (over
        centre).

    Raises
    ------
    Binds
        If rod and horn come into line on the way.

    Notes
    -----
    Source: both pins move alike along the rod: a sin(arm - rod) / (c sin(horn - rod)), and virtual
    work.

    Examples
    --------
    >>> plain = Linkage(arm=0.012, horn=0.015, axes=0.080)
    >>> round(transmission_ratio(linkage=plain, servo_angle=math.radians(45)), 4)
    0.6973
    """
    angle = _forward(linkage, servo_angle)
    at_horn = _sine_at_horn(linkage, servo_angle, angle)
    at_arm = _sine_at_arm(linkage, servo_angle, angle)
    if abs(at_horn) < 1e-9:
        raise Binds("rod and horn are in line")
    return linkage.arm * at_arm / (linkage.horn * at_horn)


def spline_step(*, teeth: int) -> float:
    """Angle [rad] by which a servo arm moves on when it is put one tooth further.

    Parameters
    ----------
    teeth : int
        Number of teeth [1].

    Returns
    -------
    float
        Angle [rad].

    Raises
    ------
    OutOfRange
        If there are fewer than two teeth.

    Notes
    -----
    Source: a full turn over the number of teeth.

    Examples
    --------
    >>> round(math.degrees(spline_step(teeth=23)), 3)
    15.652
    """
    if teeth < 2 or teeth != int(teeth):
        raise OutOfRange(f"teeth must be a whole number from 2, not {teeth:g}")
    return 2 * math.pi / teeth


def _forward(linkage: Linkage, turn: float) -> float:
    return surface_angle(linkage=linkage, servo_angle=turn)


def _horn_angles(linkage: Linkage, arm_angle: float) -> tuple[float, float]:
    arm, horn, axes, rod = linkage.arm, linkage.horn, linkage.axes, linkage.rod
    along = axes - arm * math.cos(arm_angle)
    across = -arm * math.sin(arm_angle)
    reach = math.hypot(along, across)
    if reach == 0:
        raise Binds("the arm's pin lies on the hinge")
    cosine = (rod**2 - horn**2 - reach**2) / (2 * horn * reach)
    if abs(cosine) > 1:
        raise Binds("the linkage binds: rod and horn come into line before this angle")
    middle = math.atan2(across, along)
    half = math.acos(cosine)
    return middle + half, middle - half


def _sine_at_horn(linkage: Linkage, turn: float, angle: float) -> float:
    horn = linkage.horn_neutral + angle
    along, across = _rod_direction(linkage, turn, angle)
    return math.sin(horn) * along - math.cos(horn) * across


def _sine_at_arm(linkage: Linkage, turn: float, angle: float) -> float:
    arm = linkage.arm_neutral + turn
    along, across = _rod_direction(linkage, turn, angle)
    return math.sin(arm) * along - math.cos(arm) * across


def _rod_direction(linkage: Linkage, turn: float, angle: float) -> tuple[float, float]:
    arm = linkage.arm_neutral + turn
    horn = linkage.horn_neutral + angle
    along = linkage.axes + linkage.horn * math.cos(horn) - linkage.arm * math.cos(arm)
    across = linkage.horn * math.sin(horn) - linkage.arm * math.sin(arm)
    length = math.hypot(along, across)
    return along / length, across / length
