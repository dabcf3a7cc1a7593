"""A box in a bay, a camera between plates, a rod in a bore."""

from dataclasses import dataclass
from itertools import permutations

from builds.engineering.checks import (
    require_not_negative,
    require_positive,
)

Box = tuple[float, float, float]


# Sums of decimal lengths are off by some 1e-17 m; a gap that equals the clearance must count.
_ROUNDING = 1e-9


@dataclass(frozen=True)
class Placement:
    """A box turned one way in a bay: its size along the bay's axes and the gap each side [m]."""

    size: Box
    gaps: Box

    @property
    def tightest_gap(self) -> float:
        """Smallest gap each side [m]; negative where the box does not go in."""
        return min(self.gaps)

    def has_clearance(self, clearance: float) -> bool:
        """Whether every side leaves at least the clearance [m]."""
        return self.tightest_gap >= clearance - _ROUNDING


@dataclass(frozen=True)
class Clearance:
    """Clearance on diameter [m]; negative means interference."""

    nominal: float
    least: float
    most: float


def placements_in_bay(*, box: Box, bay: Box) -> tuple[Placement, ...]:
    """Return the six ways to put a box in a bay square to its sides, roomiest first.

    Parameters
    ----------
    box, bay : tuple of float
        Three outer dimensions of the box and three inner ones of the bay [m].

    Returns
    -------
    tuple of Placement
        Size and gap each side along the axes of the bay [m]; negative gaps do not go in.

    Raises
    ------
    OutOfRange
        When a dimension is not positive.

    Notes
    -----
    Rigid, rectangular and centred. A pack swells: leave room for it.

    Source
    ------
    Geometry; all permutations of three sides.

    >>> best = placements_in_bay(box=(0.075, 0.035, 0.029), bay=(0.034, 0.080, 0.040))[0]
    >>> best.size
    (0.029, 0.075, 0.035)
    """
    for side in (*box, *bay):
        require_positive(size=side)
    placements = [_placement(size, bay) for size in _orientations(box)]
    return tuple(sorted(placements, key=lambda each: each.tightest_gap, reverse=True))


def shim_each_side(*, mount_width: float, body_width: float) -> float:
    """Return the spacer needed each side to hold a camera between side plates [m].

    Parameters
    ----------
    mount_width : float
        Free width between the plates [m].
    body_width : float
        Width of the camera body from side to side [m].

    Returns
    -------
    float
        Thickness each side [m]; negative when the body is too wide.

    Raises
    ------
    OutOfRange
        When a width is not positive.

    Source
    ------
    Geometry. Body widths of 14, 19, 21 to 22 and 28 mm are common practice, no source.

    >>> round(shim_each_side(mount_width=0.022, body_width=0.019), 6)
    0.0015
    """
    require_positive(mount_width=mount_width, body_width=body_width)
    return (mount_width - body_width) / 2


def rod_in_bore(
    *, rod: float, bore: float, rod_tolerance: float = 0.0, bore_tolerance: float = 0.0
) -> Clearance:
    """Return the clearance of a rod, tube or shaft in a bore, on diameter [m].

    Parameters
    ----------
    rod, bore : float
        Diameters in the middle of their limits [m].
    rod_tolerance, bore_tolerance : float
        Half the width between the limits [m].

    Returns
    -------
    Clearance
        Nominal, least and most [m]; negative means interference.

    Raises
    ------
    OutOfRange
        When a diameter is not positive or a tolerance negative.

    Source
    ------
    ISO 286-1, definitions of least and most clearance.

    >>> round(rod_in_bore(rod=0.0049, bore=0.005).nominal, 6)
    0.0001
    """
    require_positive(rod=rod, bore=bore)
    require_not_negative(rod_tolerance=rod_tolerance, bore_tolerance=bore_tolerance)
    spread = rod_tolerance + bore_tolerance
    nominal = bore - rod
    return Clearance(nominal=nominal, least=nominal - spread, most=nominal + spread)


def _orientations(box: Box) -> list[Box]:
    return [(a, b, c) for a, b, c in permutations(box)]


def _placement(size: Box, bay: Box) -> Placement:
    x, y, z = ((inner - outer) / 2 for outer, inner in zip(size, bay, strict=True))
    return Placement(size=size, gaps=(x, y, z))
