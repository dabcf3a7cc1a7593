"""Figures found on one part."""

from __future__ import annotations

import math
from datetime import datetime
from typing import Any

from django.core.exceptions import ValidationError
from django.db import models, transaction
from django.utils import timezone

from hangar.clubs.models import User
from hangar.errors import UserError
from hangar.fields import MeasureField, NumberListField
from hangar.form_fields import label_with_unit, label_without_unit
from hangar.units import unit_of
from inventory.kinds import DataSheet
from inventory.models import Measurement, Part, Source
from inventory.operations.guards import lock_part, note_event, refuse_unless_editable

COUNTER_MAX = 100_000
BOUNDS = {"end_line_percent": (50, 95)}
GUESSES = (Source.GUESSED, Source.UNKNOWN)


def measurable_names(kind: str) -> dict[str, Any]:
    """Columns of a kind that can be measured on one part, with their model fields."""
    sheet = DataSheet.registry[kind]
    columns = {
        field.name: field
        for field in sheet._meta.fields
        if isinstance(field, MeasureField | NumberListField)
    }
    return columns | dict.fromkeys(sheet.measured_only)


def record_measurement(
    part: Part,
    *,
    name: str,
    value: Any,
    by: User,
    source: str = Source.MEASURED,
    uncertainty: float | None = None,
    measured_at: datetime | None = None,
    note: str = "",
) -> Measurement:
    """Record a figure found on a part; the mass is repeated on the part itself."""
    refuse_unless_editable(part, by=by)
    columns = measurable_names(part.kind)
    if name not in columns:
        raise UserError(
            f"A {part.kind.replace('_', ' ')} has no figure {name}. It has: "
            f"{', '.join(sorted(columns))}.",
            field="name",
        )
    value = _checked_value(columns[name], name, value)
    if uncertainty is not None and not math.isfinite(uncertainty):
        raise UserError("An uncertainty is a number, zero or more.", field="uncertainty")
    if measured_at and measured_at > timezone.now():
        raise UserError("A measurement cannot lie in the future.", field="measured_at")
    with transaction.atomic():
        locked = lock_part(part)
        measurement = Measurement(
            part=locked,
            name=name,
            value=value,
            by=by,
            source=source,
            uncertainty=uncertainty,
            measured_at=measured_at or timezone.now(),
            note=note,
        )
        measurement.full_clean(exclude=["part", "by"])
        measurement.save()
        if name == "mass_g":
            _repeat_mass(locked)
        note_event(
            locked,
            "measured",
            f"{_title(name)} is {value} ({Source(source).label}).",
            by=by,
            name=name,
            value=value,
        )
    part.refresh_from_db()
    return measurement


def _title(name: str) -> str:
    return label_with_unit(label_without_unit(name), unit_of(name)).capitalize()


def _repeat_mass(part: Part) -> None:
    rows = part.measurements.filter(name="mass_g").order_by("measured_at", "pk")
    latest = rows.exclude(source__in=GUESSES).last() or rows.last()
    if latest is None:
        return
    part.mass_g = latest.value
    part.mass_source = latest.source
    part.mass_uncertainty_g = latest.uncertainty
    part.save()


def _checked_value(field: models.Field | None, name: str, value: Any) -> Any:
    if field is None:
        if isinstance(value, bool) or not isinstance(value, int | float):
            raise UserError(f"{name} is a number, zero or more.", field="value")
        low, high = BOUNDS.get(name, (0, COUNTER_MAX))
        if not low <= value <= high:
            raise UserError(f"{name} is from {low} to {high}.", field="value")
        return value
    try:
        checked = field.clean(value, None)
    except ValidationError as error:
        raise UserError(" ".join(error.messages), field="value") from error
    if checked in (None, []):
        raise UserError("Give the figure that was measured.", field="value")
    if name == "mass_g" and checked <= 0:
        raise UserError("A measured mass is above zero.", field="value")
    return checked
