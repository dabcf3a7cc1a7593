"""Holding a figure against its limit, and saying a figure in a sentence. Plain Python."""

from __future__ import annotations

ROUNDING = 1e-9


def is_above(value: float, limit: float) -> bool:
    """Is the value above the limit, by more than the rounding of floats."""
    return value > limit + ROUNDING * max(1.0, abs(limit))


def is_below(value: float, limit: float) -> bool:
    """Is the value below the limit, by more than the rounding of floats."""
    return value < limit - ROUNDING * max(1.0, abs(limit))


def number(value: float) -> str:
    """A figure as a sentence shows it: one decimal, two where the second is not zero."""
    return str(round(float(value), 2))
