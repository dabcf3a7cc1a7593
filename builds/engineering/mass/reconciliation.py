"""Bringing the parts into agreement with a weighing of the whole model."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from builds.engineering.checks import (
    require_not_negative,
    require_positive,
)
from builds.engineering.mass.items import Balance, Item, MassCovariance, balance_with, total_mass


@dataclass(frozen=True)
class Reconciliation:
    """Parts brought into agreement with a weighing of the whole model.

    The adjusted masses are correlated, so the uncertainty of the whole is in `balance` and
    cannot be had from `items`. `normalised_difference` is the difference found, in units of
    its standard uncertainty: beyond about 2 a part is missing or wrong.
    """

    items: tuple[Item, ...]
    balance: Balance
    difference: float
    normalised_difference: float


def reconcile(
    *, items: Sequence[Item], weighed_mass: float, u_weighed: float, u_scale: float = 0.0
) -> Reconciliation:
    """Return the items adjusted to a weighing of the whole model, the least certain the most.

    Parameters
    ----------
    items : sequence of Item
        The parts as recorded [kg, m].
    weighed_mass : float
        Mass of the whole model as weighed [kg].
    u_weighed : float
        Standard uncertainty of that weighing [kg], independent of the parts' uncertainties.
    u_scale : float
        Standard uncertainty of the bias shared by parts read on the common scale [kg].

    Returns
    -------
    Reconciliation
        Adjusted items [kg], the balance with the uncertainty that is left, and the difference
        found [kg].

    Raises
    ------
    ValueError
        When there is no mass, nothing is uncertain, or a part would get a negative mass.
    OutOfRange
        When the weighing is not positive or an uncertainty is negative.

    Source
    ------
    Least squares with one linear constraint, weights by variance: JCGM 100:2008 F.1.2 for the
    covariances; adjustment of observations as in any text on least squares.

    >>> parts = [Item("frame", 0.30, 0.2, 0, 0, u_mass=0.02), Item("pack", 0.20, 0.1, 0, 0)]
    >>> result = reconcile(items=parts, weighed_mass=0.51, u_weighed=0.0)
    >>> [round(item.mass, 6) for item in result.items]
    [0.31, 0.2]
    """
    require_positive(weighed_mass=weighed_mass)
    require_not_negative(u_weighed=u_weighed, u_scale=u_scale)
    difference = weighed_mass - total_mass(items=items)
    before = MassCovariance.of(items, u_scale)
    shares = before.with_total()
    variance = sum(shares) + u_weighed**2
    if sum(shares) == 0:
        raise ValueError("no mass is uncertain, so the weighing leaves nothing to adjust")
    adjusted = tuple(
        _adjusted(item, difference * share / variance, v + b * b - share * share / variance)
        for item, share, v, b in zip(items, shares, before.own, before.shared, strict=True)
    )
    after = replace(before, learnt=tuple(share / variance**0.5 for share in shares))
    return Reconciliation(
        items=adjusted,
        balance=balance_with(adjusted, after),
        difference=difference,
        normalised_difference=abs(difference) / variance**0.5,
    )


def _adjusted(item: Item, change: float, variance: float) -> Item:
    mass = item.mass + change
    if mass < 0:
        raise ValueError(
            f"the weighing would leave {item.name} with a negative mass: "
            "a part is missing, counted twice or wrong"
        )
    return replace(item, mass=mass, u_mass=max(variance, 0.0) ** 0.5, on_scale=False)
