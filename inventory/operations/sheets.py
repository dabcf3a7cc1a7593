"""Writes to data sheets."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, cast

from django.db import models, transaction

from hangar.clubs.models import User
from hangar.errors import Conflict, Missing, UserError
from inventory.kinds import Airframe, DataSheet, TemplatePosition
from inventory.operations.guards import check_owner


def save_sheet(
    sheet: DataSheet, *, by: User, template: Iterable[dict[str, Any]] | None = None
) -> DataSheet:
    """Store a new or changed data sheet; an airframe's `template` replaces its positions."""
    if sheet.pk and not DataSheet.objects.editable_by(by).filter(pk=sheet.pk).exists():
        raise Missing("No such data sheet, or it is not yours to change.")
    check_owner(by=by, person=sheet.person, club=sheet.club)
    sheet.full_clean(exclude=["person", "club"])
    with transaction.atomic():
        sheet.save()
        if template is not None:
            _replace_template(cast(Airframe, sheet), template)
    return sheet


def _replace_template(airframe: Airframe, template: Iterable[dict[str, Any]]) -> None:
    shapes = [TemplatePosition(airframe=airframe, **values) for values in template]
    keys = [shape.key for shape in shapes]
    twice = next((key for key in keys if keys.count(key) > 1), None)
    if twice:
        raise UserError(f"Two positions have the short name {twice}.", field="template")
    TemplatePosition.objects.filter(airframe=airframe).delete()
    for shape in shapes:
        shape.full_clean(exclude=["airframe"])
    TemplatePosition.objects.bulk_create(shapes)


def delete_sheet(sheet: DataSheet, *, by: User) -> None:
    """Delete a data sheet of which there is no part."""
    if not DataSheet.objects.editable_by(by).filter(pk=sheet.pk).exists():
        raise Missing("No such data sheet, or it is not yours to change.")
    try:
        with transaction.atomic():
            sheet.typed.delete()
    except models.ProtectedError as error:
        raise Conflict("There are parts of this data sheet, so it stays.") from error
