"""Where the lift due to angle of attack acts: a wing alone, or with tail or foreplane."""

from collections.abc import Sequence

from builds.engineering.checks import OutOfRange, require_between, require_finite, require_positive
from builds.engineering.wing.lattice import SurfaceLift

# Half-widths as a fraction of the mean chord, without fuselage: engineering judgement, no source.
# The lattice itself lies within 1 % of another program's; thickness, gaps and the wake do the rest.
NEUTRAL_POINT_LIMIT_TAILLESS = 0.02
NEUTRAL_POINT_LIMIT_WITH_TAIL = 0.05


def neutral_point(*, lifts: Sequence[SurfaceLift], pressure_ratios: Sequence[float]) -> float:
    """Return the neutral point of all surfaces together [m].

    Parameters
    ----------
    lifts : sequence of SurfaceLift
        Of every surface, in the wash of the others [m2/rad, m]; at least one.
    pressure_ratios : sequence of float
        Dynamic pressure at each surface as a share of the free stream's, above 0 to 1.5.

    Returns
    -------
    float
        Neutral point aft of the datum [m].

    Raises
    ------
    OutOfRange
        When no surface is given, a lift is not positive, or a ratio is out of range.

    Source
    ------
    Moment balance of the lift due to angle of attack, sum of q L x over sum of q L; Etkin and
    Reid, Dynamics of Flight, section 2.3 (from memory, not verified).

    >>> wing, tail = SurfaceLift(per_angle=0.9, x=0.1), SurfaceLift(per_angle=0.1, x=0.7)
    >>> round(neutral_point(lifts=[wing, tail], pressure_ratios=[1.0, 1.0]), 6)
    0.16
    """
    if not lifts:
        raise OutOfRange("a neutral point needs at least one lifting surface")
    weights = []
    for lift, ratio in zip(lifts, pressure_ratios, strict=True):
        require_positive(lift_per_angle=lift.per_angle, pressure_ratio=ratio)
        require_between(0, 1.5, pressure_ratio=ratio)
        require_finite(place_of_the_lift=lift.x)
        weights.append(ratio * lift.per_angle)
    return sum(w * lift.x for w, lift in zip(weights, lifts, strict=True)) / sum(weights)
