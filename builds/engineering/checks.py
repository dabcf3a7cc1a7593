"""Range checks on nominal values, so that floats, arrays and uncertain values are judged alike."""

import math
from collections.abc import Iterable
from typing import Any


class OutOfRange(ValueError):  # noqa: N818 - reads as what happened
    """An argument lies outside the range in which a formula holds."""


def require_finite(**values: Any) -> None:
    """Refuse values that are infinite or not a number.

    Parameters
    ----------
    **values
        Values to check by the name that the message shall carry; each a float, an array, or a
        number with a nominal value.

    Raises
    ------
    OutOfRange
        When a value is not finite.
    """
    for name, value in values.items():
        if not all(math.isfinite(number) for number in _nominal_numbers(value)):
            raise OutOfRange(f"{_words(name)} must be a finite number, got {_told(value)}")


def require_positive(**values: Any) -> None:
    """Refuse values that are not finite and more than zero.

    Parameters
    ----------
    **values
        Values to check, by name.

    Raises
    ------
    OutOfRange
        When a value is zero, negative or not finite.
    """
    require_finite(**values)
    for name, value in values.items():
        if not all(number > 0 for number in _nominal_numbers(value)):
            raise OutOfRange(f"{_words(name)} must be more than 0, got {_told(value)}")


def require_not_negative(**values: Any) -> None:
    """Refuse values that are not finite or less than zero.

    Parameters
    ----------
    **values
        Values to check, by name.

    Raises
    ------
    OutOfRange
        When a value is negative or not finite.
    """
    require_finite(**values)
    for name, value in values.items():
        if not all(number >= 0 for number in _nominal_numbers(value)):
            raise OutOfRange(f"{_words(name)} must not be negative, got {_told(value)}")


def require_between(low: float, high: float, **values: Any) -> None:
    """Refuse values outside a closed interval.

    Parameters
    ----------
    low, high
        Limits, both allowed.
    **values
        Values to check, by name.

    Raises
    ------
    OutOfRange
        When a value is below `low`, above `high` or not finite.
    """
    require_finite(**values)
    for name, value in values.items():
        if not all(low <= number <= high for number in _nominal_numbers(value)):
            raise OutOfRange(_outside(name, low, high, value))


def _nominal_numbers(value: Any) -> Iterable[float]:
    # Nearly all values are plain floats, and these checks run some thousand times for one page.
    if type(value) is float:
        return (value,)
    magnitude = getattr(value, "magnitude", value)
    numbers = getattr(magnitude, "flat", (magnitude,))
    return [float(getattr(number, "nominal_value", number)) for number in numbers]


def _outside(name: str, low: float, high: float, value: Any) -> str:
    if name.endswith("angle"):
        low, high, value = math.degrees(low), math.degrees(high), _in_degrees(value)
        return f"{_words(name)} must be from {low:.4g} to {high:.4g} degrees, got {_told(value)}"
    return f"{_words(name)} must be from {low:g} to {high:g}, got {_told(value)}"


def _in_degrees(value: Any) -> list[float]:
    return [math.degrees(number) for number in _nominal_numbers(value)]


def _told(value: Any) -> str:
    return ", ".join(f"{number:.4g}" for number in _nominal_numbers(value))


def _words(name: str) -> str:
    return name.replace("_", " ")
