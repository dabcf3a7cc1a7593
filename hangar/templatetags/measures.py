"""Template tags that show measures in the reader's own units."""

from typing import Any

from django import template

from hangar.quantities import format_quantity
from hangar.units import UNITS, unit_of

register = template.Library()


@register.simple_tag(takes_context=True)
def measure(context: dict[str, Any], value: float | None, name: str) -> str:
    """Show a value in the unit that ends a column name, or in the unit named.

    In the units that the signed-in user chose; "not known" for None. Raises ValueError for a
    name without a unit.
    """
    unit = name if name in UNITS else unit_of(name)
    if unit is None:
        raise ValueError(f"{name!r} ends in no unit")
    if value is None:
        return "not known"
    user = context.get("user")
    return format_quantity(
        value,
        unit,
        mass_unit=getattr(user, "mass_unit", "g"),
        length_unit=getattr(user, "length_unit", "mm"),
    )
