"""Third-order products of transmitters that are on together."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from builds.engineering.checks import require_not_negative, require_positive


@dataclass(frozen=True)
class Product:
    """A third-order product: its frequency [Hz] and the transmitters that make it."""

    frequency: float
    made_by: tuple[str, ...]


def third_order_products(*, frequencies: Mapping[str, float]) -> tuple[Product, ...]:
    """Third-order intermodulation products of transmitters that are on together.

    Parameters
    ----------
    frequencies : mapping of name to float
        Transmit frequencies [Hz].

    Returns
    -------
    tuple of Product
        All 2 f1 - f2 and f1 + f2 - f3 above zero, lowest first.

    Raises
    ------
    OutOfRange
        If a frequency is not greater than zero.

    Notes
    -----
    Source: cubic term of a non-linear stage (any radio textbook); the strongest products that fall
    among the wanted channels.

    Examples
    --------
    >>> p = third_order_products(frequencies={"a": 5740e6, "b": 5760e6})
    >>> [round(x.frequency / 1e6) for x in p]
    [5720, 5780]
    """
    for name, frequency in frequencies.items():
        require_positive(**{f"frequency of {name}": frequency})
    names = sorted(frequencies)
    products = [
        Product(frequencies[a] + frequencies[b] - frequencies[c], (a, b, c))
        for i, a in enumerate(names)
        for b in names[i:]
        for c in names
        if c not in (a, b)
    ]
    audible = [p for p in products if p.frequency > 0]
    return tuple(sorted(audible, key=lambda p: (p.frequency, p.made_by)))


@dataclass(frozen=True)
class Hit:
    """A product that falls near a victim's frequency, and how far off it is [Hz]."""

    victim: str
    product: Product
    offset: float


def intermodulation_hits(
    *, frequencies: Mapping[str, float], half_width: float, victims: Sequence[str] | None = None
) -> tuple[Hit, ...]:
    """Products that fall inside the channel of one of the users.

    Parameters
    ----------
    frequencies : mapping of name to float
        Transmit frequencies [Hz].
    half_width : float
        Half of a channel's width [Hz], not negative.
    victims : sequence of str, optional
        Names to examine; all by default.

    Returns
    -------
    tuple of Hit
        Nearest first; a product made with the victim's own signal is left out, since it is only
        heard while the victim sends.

    Raises
    ------
    OutOfRange
        If a value is out of range.

    Notes
    -----
    Source: see `third_order_products`.

    Examples
    --------
    >>> channels = {"a": 5740e6, "b": 5760e6, "c": 5780e6}
    >>> [h.victim for h in intermodulation_hits(frequencies=channels, half_width=1e6)]
    ['a', 'c']
    """
    require_not_negative(half_width=half_width)
    products = third_order_products(frequencies=frequencies)
    hits = [
        Hit(victim, product, product.frequency - frequencies[victim])
        for victim in (frequencies if victims is None else victims)
        for product in products
        if victim not in product.made_by
        and abs(product.frequency - frequencies[victim]) <= half_width
    ]
    return tuple(sorted(hits, key=lambda h: (abs(h.offset), h.victim, h.product.made_by)))
