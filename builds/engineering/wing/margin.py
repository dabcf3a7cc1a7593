"""Static margin, and the centre of gravity that gives one."""

from builds.engineering.checks import require_finite, require_positive


def static_margin(*, neutral_point: float, cg: float, mean_chord: float) -> float:
    """Return how far the centre of gravity lies ahead of the neutral point [share of chord].

    Parameters
    ----------
    neutral_point, cg : float
        Both from the same datum, aft positive [m].
    mean_chord : float
        Mean aerodynamic chord [m].

    Returns
    -------
    float
        Static margin [1], positive when stable; 0.1 is 10 %.

    Raises
    ------
    OutOfRange
        When the chord is not positive or a position not finite.

    Source
    ------
    Definition, as in any text on stability.

    >>> round(static_margin(neutral_point=0.231, cg=0.20607, mean_chord=0.19965), 4)
    0.1249
    """
    require_positive(mean_chord=mean_chord)
    require_finite(neutral_point=neutral_point, cg=cg)
    return (neutral_point - cg) / mean_chord


def cg_for_static_margin(*, neutral_point: float, margin: float, mean_chord: float) -> float:
    """Return the centre of gravity that gives a static margin [m].

    Parameters
    ----------
    neutral_point : float
        Aft of the datum [m].
    margin : float
        Static margin wanted [share of chord].
    mean_chord : float
        Mean aerodynamic chord [m].

    Returns
    -------
    float
        Centre of gravity aft of the datum [m].

    Raises
    ------
    OutOfRange
        When the chord is not positive or another argument not finite.

    Source
    ------
    Definition of the static margin, solved for the centre of gravity.

    >>> round(cg_for_static_margin(neutral_point=0.231, margin=0.1, mean_chord=0.2), 6)
    0.211
    """
    require_positive(mean_chord=mean_chord)
    require_finite(neutral_point=neutral_point, margin=margin)
    return neutral_point - margin * mean_chord
