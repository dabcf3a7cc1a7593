"""Template tags for what repeats on every page."""

from collections.abc import Sequence
from typing import Any

from django import template
from django.utils.html import format_html
from django.utils.safestring import SafeString

from hangar.templatetags.measures import measure
from hangar.units import unit_of

register = template.Library()


@register.simple_tag(takes_context=True)
def nav_link(context: dict[str, Any], address: str, label: str) -> SafeString:
    """Show a link of the navigation, marked when the page shown lies below it."""
    here = context["request"].path
    if here == address:
        return format_html('<a href="{}" aria-current="page">{}</a>', address, label)
    if address and here.startswith(address):
        return format_html('<a href="{}" aria-current="true">{}</a>', address, label)
    return format_html('<a href="{}">{}</a>', address, label)


@register.simple_tag(takes_context=True)
def column_value(context: dict[str, Any], column: Any, name: str, value: Any) -> str:
    """Show a value of a column as a person reads it: with its unit, its word, or yes and no."""
    if value in (None, "", [], ()):
        return "not known"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, list | tuple):
        return _list_text(context, name, value)
    if column is not None and column.choices:
        return str(dict(column.flatchoices).get(value, value))
    if isinstance(value, int | float) and unit_of(name):
        return measure(context, value, name)
    return f"{value:g}" if isinstance(value, float) else str(value)


def _list_text(context: dict[str, Any], name: str, values: Sequence[Any]) -> str:
    if all(isinstance(item, str) for item in values):
        return ", ".join(values)
    if all(isinstance(item, list) for item in values):
        return " / ".join(" ".join(map(str, group)) for group in values)
    if all(isinstance(item, dict) for item in values):
        return "; ".join(", ".join(f"{key} {number:g}" for key, number in item.items())
                         for item in values)  # fmt: skip
    if unit_of(name):
        return ", ".join(measure(context, item, name) for item in values)
    return ", ".join(f"{item:g}" for item in values)


@register.simple_tag
def duration(seconds: float) -> str:
    """Show a time as people tell it: hours and minutes, minutes, or seconds."""
    whole = round(seconds)
    hours, minutes = whole // 3600, whole % 3600 // 60
    if hours and not minutes:
        return f"{hours}\u00a0h"
    if hours:
        return f"{hours}\u00a0h {minutes}\u00a0min"
    if not minutes:
        return f"{seconds:.3g}\u00a0s"
    return f"{minutes}\u00a0min {whole % 60}\u00a0s" if whole % 60 else f"{minutes}\u00a0min"
