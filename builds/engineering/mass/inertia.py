"""Inertia of a set of parts, computed or swung."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from builds.engineering.checks import (
    require_positive,
)
from builds.engineering.mass.items import Item, centre_of, total_mass

STANDARD_GRAVITY = 9.80665


@dataclass(frozen=True)
class Inertia:
    """Inertia tensor [kg m2]; `xy` is the tensor's own element, -sum(m dx dy), and so on."""

    xx: float
    yy: float
    zz: float
    xy: float
    xz: float
    yz: float


def inertia_about_cg(*, items: Sequence[Item]) -> Inertia:
    """Return the inertia tensor about the centre of gravity [kg m2].

    Parameters
    ----------
    items : sequence of Item
        At least one, with some mass [kg]; the boxes are homogeneous and lie along the axes.

    Returns
    -------
    Inertia
        Tensor elements [kg m2]. Sign convention: off-diagonal elements are those of the tensor,
        -sum(m dx dy); a table of products of inertia, +sum(m dx dy), has the other sign.

    Raises
    ------
    ValueError
        When there is no item, or none has mass.

    Notes
    -----
    An item without a box counts as a point: roll inertia is then far too small.

    Source
    ------
    Parallel-axis theorem and the homogeneous cuboid m(b2+c2)/12; any handbook of mechanics.

    >>> pair = [Item("a", 1.0, -1.0, 0, 0), Item("b", 1.0, 1.0, 0, 0)]
    >>> inertia_about_cg(items=pair).zz
    2.0
    """
    mass = total_mass(items=items)
    cx, cy, cz = centre_of(items, mass)
    xx = yy = zz = xy = xz = yz = 0.0
    for item in items:
        m, dx, dy, dz = item.mass, item.x - cx, item.y - cy, item.z - cz
        a, b, c = item.size or (0.0, 0.0, 0.0)
        xx += m * (dy * dy + dz * dz + (b * b + c * c) / 12)
        yy += m * (dx * dx + dz * dz + (a * a + c * c) / 12)
        zz += m * (dx * dx + dy * dy + (a * a + b * b) / 12)
        xy -= m * dx * dy
        xz -= m * dx * dz
        yz -= m * dy * dz
    return Inertia(xx=xx, yy=yy, zz=zz, xy=xy, xz=xz, yz=yz)


def bifilar_inertia(*, mass: float, spacing: float, length: float, period: float) -> float:
    """Return the inertia of a model swung on two lines, about the vertical axis [kg m2].

    Parameters
    ----------
    mass : float
        Mass of the model [kg].
    spacing : float
        Distance between the two parallel lines [m], the centre of gravity midway.
    length : float
        Length of the lines [m].
    period : float
        Time of one full swing of small angle [s].

    Returns
    -------
    float
        Inertia about the vertical axis through the centre of gravity [kg m2].

    Raises
    ------
    OutOfRange
        When an argument is not positive.

    Source
    ------
    Bifilar pendulum, small angle: I = m g d2 T2 / (16 pi2 L), with standard gravity.

    >>> round(bifilar_inertia(mass=0.656, spacing=0.6, length=1.0, period=1.5), 6)
    0.032998
    """
    require_positive(mass=mass, spacing=spacing, length=length, period=period)
    return mass * STANDARD_GRAVITY * spacing**2 * period**2 / (16 * math.pi**2 * length)
