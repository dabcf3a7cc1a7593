"""The gap at the end of a chain of dimensions."""

from collections.abc import Sequence
from dataclasses import dataclass

from builds.engineering.checks import (
    OutOfRange,
    require_finite,
    require_not_negative,
)

FEWEST_FOR_STATISTICS = 4


@dataclass(frozen=True)
class Contributor:
    """One dimension in a chain [m]: +1 opens the gap, -1 closes it."""

    size: float
    tolerance: float
    direction: int = 1


@dataclass(frozen=True)
class Stack:
    """Gap at the end of a chain of dimensions [m].

    `statistical` is the root of the sum of squared tolerances, None where too few dimensions
    contribute for it to mean anything.
    """

    nominal: float
    worst_case: float
    statistical: float | None


def tolerance_stack(*, contributors: Sequence[Contributor]) -> Stack:
    """Return the gap at the end of a chain of dimensions with its limits [m].

    Parameters
    ----------
    contributors : sequence of Contributor
        Independent dimensions [m]; name a dimension as often as it occurs.

    Returns
    -------
    Stack
        Nominal gap, worst-case limit and, from four contributors on, the statistical one [m].

    Raises
    ------
    ValueError
        When there is no contributor.
    OutOfRange
        When a tolerance is negative or a direction neither +1 nor -1.

    Notes
    -----
    Use the worst case where interference can hurt, as with a squeezed lithium pack.

    Source
    ------
    Arithmetic and root-sum-square stacking: NIST/SEMATECH e-Handbook of Statistical Methods,
    section 2.5.7.1 (propagation by quadrature; from memory, not verified).

    >>> chain = [Contributor(0.080, 0.0005), Contributor(0.075, 0.001, -1)]
    >>> round(tolerance_stack(contributors=chain).worst_case, 6)
    0.0015
    """
    if not contributors:
        raise ValueError("a tolerance stack needs at least one dimension")
    for each in contributors:
        require_finite(size=each.size)
        require_not_negative(tolerance=each.tolerance)
        if each.direction not in (1, -1):
            raise OutOfRange("direction must be +1 or -1")
    squares = sum(each.tolerance**2 for each in contributors)
    return Stack(
        nominal=sum(each.direction * each.size for each in contributors),
        worst_case=sum(each.tolerance for each in contributors),
        statistical=squares**0.5 if len(contributors) >= FEWEST_FOR_STATISTICS else None,
    )
