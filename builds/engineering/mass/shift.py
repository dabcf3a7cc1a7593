"""What to move or add, and where, for a wanted centre of gravity."""

from collections.abc import Sequence

from builds.engineering.checks import (
    OutOfRange,
    require_between,
    require_finite,
    require_positive,
)
from builds.engineering.mass.items import Item, centre_of, total_mass


def mass_to_shift(*, mass: float, cg_change: float, distance: float) -> float:
    """Return how much mass to move for a change of the centre of gravity [kg].

    Parameters
    ----------
    mass : float
        Total mass [kg], unchanged by the move.
    cg_change : float
        Change wanted [m], positive aft.
    distance : float
        How far the mass moves [m], positive aft; same direction as the change.

    Returns
    -------
    float
        Mass to move [kg].

    Raises
    ------
    OutOfRange
        When the mass is not positive, the distance is zero, or the move goes the wrong way.

    Source
    ------
    FAA-H-8083-25 (Pilot's Handbook of Aeronautical Knowledge), chapter 10, weight shifting.

    >>> round(mass_to_shift(mass=7800, cg_change=80.5 - 81.5, distance=30 - 150), 9)
    65.0
    """
    require_positive(mass=mass)
    require_finite(cg_change=cg_change, distance=distance)
    if distance == 0:
        raise OutOfRange("distance must not be 0: moving by nothing changes nothing")
    shifted = mass * cg_change / distance
    if shifted < 0:
        raise OutOfRange("distance must go the same way as the change of the centre of gravity")
    return shifted


def cg_change_by_shift(*, mass: float, shifted_mass: float, distance: float) -> float:
    """Return the change of the centre of gravity when some mass moves [m].

    Parameters
    ----------
    mass : float
        Total mass [kg].
    shifted_mass : float
        Mass that moves [kg], part of the total.
    distance : float
        How far it moves [m], positive aft.

    Returns
    -------
    float
        Change [m], positive aft.

    Raises
    ------
    OutOfRange
        When the total is not positive, or the moved mass is not between 0 and the total.

    Source
    ------
    FAA-H-8083-25 (Pilot's Handbook of Aeronautical Knowledge), chapter 10, weight shifting.

    >>> round(cg_change_by_shift(mass=7800, shifted_mass=65, distance=-120), 9)
    -1.0
    """
    require_positive(mass=mass)
    require_between(0, mass, shifted_mass=shifted_mass)
    require_finite(distance=distance)
    return shifted_mass * distance / mass


def position_for_cg(*, others: Sequence[Item], movable_mass: float, cg: float) -> float:
    """Return where along x one movable item must sit for a wanted centre of gravity [m].

    Parameters
    ----------
    others : sequence of Item
        Everything but the movable item [kg, m]; may be empty.
    movable_mass : float
        Mass of the movable item, such as the pack [kg].
    cg : float
        Centre of gravity wanted [m].

    Returns
    -------
    float
        Position of the movable item's centre of mass [m]; may lie outside the model.

    Raises
    ------
    OutOfRange
        When the movable mass is not positive or `cg` is not finite.

    Source
    ------
    Balance of moments about the datum, FAA-H-8083-1B, chapter 2.

    >>> round(position_for_cg(others=[Item("rest", 0.3, 0.2, 0, 0)], movable_mass=0.1, cg=0.18), 6)
    0.12
    """
    require_positive(movable_mass=movable_mass)
    require_finite(cg=cg)
    return cg - sum(item.mass * (item.x - cg) for item in others) / movable_mass


def position_window_for_cg_range(
    *, others: Sequence[Item], movable_mass: float, cg_forward: float, cg_aft: float
) -> tuple[float, float]:
    """Return between which positions a movable item keeps the balance in range [m].

    Parameters
    ----------
    others : sequence of Item
        Everything but the movable item [kg, m].
    movable_mass : float
        Mass of the movable item [kg].
    cg_forward, cg_aft : float
        Range allowed for the centre of gravity [m], forward limit first.

    Returns
    -------
    tuple of float
        Most forward and most aft position of the movable item [m].

    Raises
    ------
    OutOfRange
        When the movable mass is not positive or the limits are the wrong way round.

    Source
    ------
    Balance of moments about the datum, FAA-H-8083-1B, chapter 2.

    >>> rest = [Item("rest", 0.3, 0.2, 0, 0)]
    >>> window = position_window_for_cg_range(
    ...     others=rest, movable_mass=0.1, cg_forward=0.17, cg_aft=0.18)
    >>> [round(x, 6) for x in window]
    [0.08, 0.12]
    """
    if cg_forward > cg_aft:
        raise OutOfRange("the forward limit of the centre of gravity lies behind the aft limit")
    return (
        position_for_cg(others=others, movable_mass=movable_mass, cg=cg_forward),
        position_for_cg(others=others, movable_mass=movable_mass, cg=cg_aft),
    )


def ballast_for_cg(*, items: Sequence[Item], cg: float, ballast_x: float) -> float:
    """Return the mass to add at one place for a wanted centre of gravity [kg].

    Parameters
    ----------
    items : sequence of Item
        The model as it is [kg, m].
    cg : float
        Centre of gravity wanted [m].
    ballast_x : float
        Where the ballast goes [m].

    Returns
    -------
    float
        Mass of the ballast [kg], 0 when the model balances already.

    Raises
    ------
    ValueError
        When there is no item, or none has mass.
    OutOfRange
        When no ballast at that place can do it.

    Source
    ------
    FAA-H-8083-1B, chapter 2, ballast: m_b = M (x - x_wanted) / (x_wanted - x_ballast).

    >>> model = [Item("model", 1.0, 0.21, 0, 0)]
    >>> round(ballast_for_cg(items=model, cg=0.20, ballast_x=0.0), 6)
    0.05
    """
    require_finite(cg=cg, ballast_x=ballast_x)
    mass = total_mass(items=items)
    excess = centre_of(items, mass)[0] - cg
    if excess == 0:
        return 0.0
    lever = cg - ballast_x
    if excess * lever <= 0:
        raise OutOfRange(
            "ballast at this place cannot do it: it must sit beyond the centre of gravity wanted"
        )
    return mass * excess / lever
