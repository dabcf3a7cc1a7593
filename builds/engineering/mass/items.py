"""Mass and centre of gravity of a set of parts, with their standard uncertainties."""

from collections.abc import Sequence
from dataclasses import dataclass

from builds.engineering.checks import (
    OutOfRange,
    require_finite,
    require_not_negative,
)


@dataclass(frozen=True)
class Item:
    """One part at its place.

    Parameters
    ----------
    name : str
        What messages call it.
    mass : float
        Mass [kg], not negative.
    x, y, z : float
        Centre of mass from the datum, aft, right and up [m].
    u_mass : float
        Standard uncertainty of the mass that this item shares with no other [kg].
    u_x, u_y, u_z : float
        Standard uncertainties of the position [m].
    on_scale : bool
        Whether the mass was read on the common scale and so shares its bias.
    size : tuple of float or None
        Own box along x, y and z [m]; without it the item is a point.

    Raises
    ------
    OutOfRange
        When a figure is not finite, or a mass, uncertainty or size is negative.
    """

    name: str
    mass: float
    x: float
    y: float
    z: float
    u_mass: float = 0.0
    u_x: float = 0.0
    u_y: float = 0.0
    u_z: float = 0.0
    on_scale: bool = False
    size: tuple[float, float, float] | None = None

    def __post_init__(self) -> None:
        try:
            require_not_negative(
                mass=self.mass, u_mass=self.u_mass, u_x=self.u_x, u_y=self.u_y, u_z=self.u_z
            )
            require_finite(x=self.x, y=self.y, z=self.z)
            for side in self.size or ():
                require_not_negative(size=side)
        except OutOfRange as error:
            raise OutOfRange(f"{self.name}: {error}") from error


@dataclass(frozen=True)
class Balance:
    """Mass [kg] and centre of gravity [m], each with its standard uncertainty."""

    mass: float
    x: float
    y: float
    z: float
    u_mass: float
    u_x: float
    u_y: float
    u_z: float


def rectangular_uncertainty(*, half_width: float) -> float:
    """Return the standard uncertainty of a value known only to lie within limits.

    Parameters
    ----------
    half_width : float
        Half the width between the limits [unit of the value], not negative.

    Returns
    -------
    float
        Standard uncertainty [unit of the value].

    Raises
    ------
    OutOfRange
        When `half_width` is negative.

    Source
    ------
    JCGM 100:2008, 4.3.7, equation (7).

    >>> round(rectangular_uncertainty(half_width=0.001), 6)
    0.000577
    """
    require_not_negative(half_width=half_width)
    return half_width / 3**0.5


def total_mass(*, items: Sequence[Item]) -> float:
    """Return the mass of all items [kg].

    Parameters
    ----------
    items : sequence of Item
        At least one, with some mass [kg].

    Returns
    -------
    float
        Total mass [kg].

    Raises
    ------
    ValueError
        When there is no item, or none has mass.

    Source
    ------
    FAA-H-8083-1B, chapter 2: total weight is the sum of the weights.

    >>> total_mass(items=[Item("nose", 0.2, 0, 0, 0), Item("tail", 0.1, 0.6, 0, 0)])
    0.30000000000000004
    """
    if not items:
        raise ValueError("a mass needs at least one part")
    mass = sum(item.mass for item in items)
    if mass <= 0:
        raise ValueError("the parts have no mass, so there is no centre of gravity")
    return mass


def centre_of(items: Sequence[Item], mass: float) -> tuple[float, float, float]:
    """Centre of mass of the items [m], their total mass [kg] being known."""
    return (
        sum(item.mass * item.x for item in items) / mass,
        sum(item.mass * item.y for item in items) / mass,
        sum(item.mass * item.z for item in items) / mass,
    )


def balance(*, items: Sequence[Item], u_scale: float = 0.0) -> Balance:
    """Return mass [kg] and centre of gravity [m] with their standard uncertainties.

    Parameters
    ----------
    items : sequence of Item
        At least one, with some mass [kg] at known places [m].
    u_scale : float
        Standard uncertainty of the bias shared by all masses read on the common scale [kg].

    Returns
    -------
    Balance
        Mass [kg], centre of gravity [m], standard uncertainties.

    Raises
    ------
    ValueError
        When there is no item, or none has mass.
    OutOfRange
        When `u_scale` is negative.

    Notes
    -----
    First order: valid while the uncertainty of the total is small against the total.

    Source
    ------
    JCGM 100:2008, 5.1.2 equation (10) and 5.2.2 equation (13), with dx/dm_i = (x_i - x)/M and
    dx/dx_i = m_i/M.

    >>> both = balance(items=[Item("a", 1.0, 0, 0, 0), Item("b", 3.0, 0.4, 0, 0)])
    >>> round(both.x, 6)
    0.3
    """
    require_not_negative(u_scale=u_scale)
    return balance_with(items, MassCovariance.of(items, u_scale))


@dataclass(frozen=True)
class MassCovariance:
    """Covariance of the masses: own variances, a shared bias, less what a weighing has told."""

    own: tuple[float, ...]
    shared: tuple[float, ...]
    learnt: tuple[float, ...]

    @classmethod
    def of(cls, items: Sequence[Item], u_scale: float) -> "MassCovariance":
        """Covariance before anything is known of the total [kg2]."""
        return cls(
            own=tuple(item.u_mass**2 for item in items),
            shared=tuple(u_scale if item.on_scale else 0.0 for item in items),
            learnt=(0.0,) * len(items),
        )

    def variance(self, weights: Sequence[float]) -> float:
        """Variance of a weighted sum of the masses, never below zero by rounding."""
        own = sum(w * w * v for w, v in zip(weights, self.own, strict=True))
        shared = sum(w * b for w, b in zip(weights, self.shared, strict=True))
        learnt = sum(w * c for w, c in zip(weights, self.learnt, strict=True))
        return max(own + shared**2 - learnt**2, 0.0)


def balance_with(items: Sequence[Item], masses: "MassCovariance") -> Balance:
    """Balance [kg, m] with the covariance of the masses given apart."""
    mass = total_mass(items=items)
    x, y, z = centre_of(items, mass)
    return Balance(
        mass=mass,
        x=x,
        y=y,
        z=z,
        u_mass=masses.variance([1.0] * len(items)) ** 0.5,
        u_x=_centre_uncertainty(masses, [(i.mass, i.x - x, i.u_x) for i in items], mass),
        u_y=_centre_uncertainty(masses, [(i.mass, i.y - y, i.u_y) for i in items], mass),
        u_z=_centre_uncertainty(masses, [(i.mass, i.z - z, i.u_z) for i in items], mass),
    )


def _centre_uncertainty(
    masses: "MassCovariance", places: Sequence[tuple[float, float, float]], mass: float
) -> float:
    from_masses = masses.variance([lever / mass for _, lever, _ in places])
    from_places = sum((m / mass * u_place) ** 2 for m, _, u_place in places)
    uncertainty: float = (from_masses + from_places) ** 0.5
    return uncertainty
