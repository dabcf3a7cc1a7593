"""Writes of weigh-ins: the finished aircraft on the scale."""

from __future__ import annotations

from collections.abc import Collection
from typing import Any

from django.db import transaction

from builds.models import Build, Fitting, WeighIn
from builds.operations import lock_build
from hangar.clubs.models import User
from hangar.errors import Conflict, UserError
from inventory.models import Part

WEIGH_INS_MAX = 1000


def record_weigh_in(
    build: Build,
    *,
    by: User,
    mass_g: float,
    revision: int,
    pack: Part | None = None,
    left_off: Collection[str] = (),
    **values: Any,
) -> WeighIn:
    """Write down what the finished aircraft weighed and where it balanced; earlier ones stay.

    `revision` is the one that the person had before them: Conflict when the build has changed
    since. `pack` was on the scale; the parts of the positions named in `left_off` were not.
    """
    with transaction.atomic():
        locked = lock_build(build, by=by)
        if locked.revision != revision:
            raise Conflict(
                "The build has changed since you began: see that it still is what you weighed."
            )
        if locked.weighin_set.count() >= WEIGH_INS_MAX:
            raise UserError(f"A build has {WEIGH_INS_MAX} weigh-ins at most.")
        _check_pack(pack, by=by)
        _check_left_off(locked, left_off)
        weigh_in = WeighIn(
            build=locked,
            revision=locked.revision,
            by=by,
            mass_g=mass_g,
            pack=pack,
            left_off=list(left_off),
            **values,
        )
        # Short names of positions are no lower-case words; they were checked above.
        weigh_in.full_clean(exclude=["build", "by", "pack", "left_off"])
        weigh_in.save()
    return weigh_in


def _check_pack(pack: Part | None, *, by: User) -> None:
    if pack is None:
        return
    if pack.kind != "pack":
        raise UserError("This is no pack.", field="pack")
    if not Part.objects.visible_to(by).filter(pk=pack.pk).exists():
        raise UserError("No such pack.", field="pack")


def _check_left_off(build: Build, left_off: Collection[str]) -> None:
    fitted = set(Fitting.objects.open().filter(build=build).values_list("position__key", flat=True))
    if not fitted:
        raise UserError("Nothing is fitted in this build, so there is nothing to compare with.")
    strange = sorted(set(left_off) - fitted)
    if strange:
        raise UserError(f"Nothing is fitted in: {', '.join(strange)}.", field="left_off")
    if fitted <= set(left_off):
        raise UserError("Something must have been on the scale.", field="left_off")
