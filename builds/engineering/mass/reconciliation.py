"""Bringing the parts into agreement with a weighing of the whole model."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

from builds.engineering.checks import (
    require_not_negative,
    require_positive,
)
from builds.engineering.mass.items import Balance, Item, MassCovariance, balance_with, total_mass


class Weighing(NamedTuple):
    """What the whole weighed [kg], its standard uncertainty [kg], and which items were on it."""

    mass: float
    u_mass: float
    is_on: Sequence[bool]


@dataclass(frozen=True)
class Update:
    """Masses [kg] and their covariance once a weighing of some of them is known.

    `difference` is the weighing less the sum [kg], `u_difference` its standard uncertainty.
    """

    masses: tuple[float, ...]
    covariance: MassCovariance
    difference: float
    u_difference: float


def masses_after_weighing(
    *, masses: Sequence[float], covariance: MassCovariance, weighing: Weighing
) -> Update:
    """Return masses [kg] that agree with a weighing of some of them, the least certain moved most.

    Parameters
    ----------
    masses : sequence of float
        As recorded [kg], on the scale or not.
    covariance : MassCovariance
        Of these masses [kg2], before the weighing.
    weighing : Weighing
        What those that were on the scale weighed together [kg].

    Returns
    -------
    Update
        Adjusted masses [kg], the covariance that is left, and the difference found [kg].

    Raises
    ------
    ValueError
        When nothing on the scale is uncertain.
    OutOfRange
        When the weighing is not positive or its uncertainty is negative.

    Source
    ------
    Least squares with one linear constraint, as in `reconcile`.

    >>> before = MassCovariance(own=(4.0, 0.0), shared=(0.0, 0.0), learnt=(0.0, 0.0))
    >>> after = masses_after_weighing(
    ...     masses=[10.0, 5.0], covariance=before, weighing=Weighing(18.0, 0.0, [True, True]))
    >>> after.masses
    (13.0, 5.0)
    """
    require_positive(weighed_mass=weighing.mass)
    require_not_negative(u_weighed=weighing.u_mass)
    on = [1.0 if is_on else 0.0 for is_on in weighing.is_on]
    difference = weighing.mass - sum(w * m for w, m in zip(on, masses, strict=True))
    bias = sum(w * b for w, b in zip(on, covariance.shared, strict=True))
    shares = [
        w * own + b * bias for w, own, b in zip(on, covariance.own, covariance.shared, strict=True)
    ]
    known = sum(w * share for w, share in zip(on, shares, strict=True))
    if known == 0:
        raise ValueError("no mass is uncertain, so the weighing leaves nothing to adjust")
    variance = known + weighing.u_mass**2
    return Update(
        masses=tuple(
            m + difference * share / variance for m, share in zip(masses, shares, strict=True)
        ),
        covariance=replace(covariance, learnt=tuple(share / variance**0.5 for share in shares)),
        difference=difference,
        u_difference=variance**0.5,
    )


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
    require_not_negative(u_scale=u_scale)
    total_mass(items=items)
    after = masses_after_weighing(
        masses=[item.mass for item in items],
        covariance=MassCovariance.of(items, u_scale),
        weighing=Weighing(weighed_mass, u_weighed, [True] * len(items)),
    )
    left = after.covariance
    adjusted = tuple(
        _adjusted(item, mass, v + b * b - learnt * learnt)
        for item, mass, v, b, learnt in zip(
            items, after.masses, left.own, left.shared, left.learnt, strict=True
        )
    )
    return Reconciliation(
        items=adjusted,
        balance=balance_with(adjusted, left),
        difference=after.difference,
        normalised_difference=abs(after.difference) / after.u_difference,
    )


def _adjusted(item: Item, mass: float, variance: float) -> Item:
    if mass < 0:
        raise ValueError(
            f"the weighing would leave {item.name} with a negative mass: "
            "a part is missing, counted twice or wrong"
        )
    return replace(item, mass=mass, u_mass=max(variance, 0.0) ** 0.5, on_scale=False)
