"""Clearance holes and the seat of a screw."""

from dataclasses import dataclass

from builds.engineering.checks import (
    require_not_negative,
    require_positive,
)

CLEARANCE_HOLES = {
    "M2": {"fine": 2.2e-3, "medium": 2.4e-3, "coarse": 2.6e-3},
    "M2.5": {"fine": 2.7e-3, "medium": 2.9e-3, "coarse": 3.1e-3},
    "M3": {"fine": 3.2e-3, "medium": 3.4e-3, "coarse": 3.6e-3},
    "M4": {"fine": 4.3e-3, "medium": 4.5e-3, "coarse": 4.8e-3},
    "M5": {"fine": 5.3e-3, "medium": 5.5e-3, "coarse": 5.8e-3},
}


@dataclass(frozen=True)
class ScrewSeat:
    """How a screw sits: thread engaged and space left below its tip [m], engaged diameters."""

    engagement: float
    tip_gap: float
    engaged_diameters: float


def clearance_hole(*, thread: str, series: str = "medium") -> float:
    """Return the diameter of the clearance hole for a metric screw [m].

    Parameters
    ----------
    thread : str
        Such as "M3".
    series : str
        "fine", "medium" or "coarse".

    Returns
    -------
    float
        Diameter [m].

    Raises
    ------
    ValueError
        When the thread or series is not in the table.

    Source
    ------
    ISO 273, table 1 (values from memory, not verified).

    >>> clearance_hole(thread="M3")
    0.0034
    """
    if thread not in CLEARANCE_HOLES:
        raise ValueError(f"no clearance hole on record for thread {thread}")
    if series not in CLEARANCE_HOLES[thread]:
        raise ValueError(f"the series is fine, medium or coarse, not {series}")
    return CLEARANCE_HOLES[thread][series]


def screw_seat(
    *, screw_length: float, clamped: float, thread_depth: float, screw_diameter: float
) -> ScrewSeat:
    """Return how far a screw engages and what is left below its tip [m].

    Parameters
    ----------
    screw_length : float
        Below the head [m].
    clamped : float
        Thickness between head and thread, washers included [m].
    thread_depth : float
        Depth of the threaded hole before it meets a bottom or a winding [m].
    screw_diameter : float
        Nominal diameter [m].

    Returns
    -------
    ScrewSeat
        Engagement and room below the tip [m]. No engagement when the screw is too short;
        negative room when it goes too deep.

    Raises
    ------
    OutOfRange
        When a dimension is negative, or length, depth or diameter is zero.

    Notes
    -----
    One diameter of engagement in metal, two in plastic, is common practice, no source.

    Source
    ------
    Geometry.

    >>> seat = screw_seat(
    ...     screw_length=0.008, clamped=0.005, thread_depth=0.004, screw_diameter=0.003)
    >>> round(seat.engagement, 6), round(seat.tip_gap, 6)
    (0.003, 0.001)
    """
    require_positive(
        screw_length=screw_length, thread_depth=thread_depth, screw_diameter=screw_diameter
    )
    require_not_negative(clamped=clamped)
    reach = screw_length - clamped
    engagement = max(0.0, min(reach, thread_depth))
    return ScrewSeat(
        engagement=engagement,
        tip_gap=thread_depth - max(reach, 0.0),
        engaged_diameters=engagement / screw_diameter,
    )
