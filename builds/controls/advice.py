"""What to change on a linkage, in order: the hole first, the travel second."""

from __future__ import annotations

from collections.abc import Sequence

from builds.controls.holes import LEAST_TRAVEL, HoleTable, Mixing, Reach, travel_of
from builds.controls.linkages import Setting
from builds.engineering.linkage import HoleRow
from builds.figures.units import MILLIMETRE, PERCENT


def advice_for(
    setting: Setting,
    tables: Sequence[HoleTable],
    mixing: Mixing | None,
    reaches: Sequence[Reach],
) -> tuple[str, ...]:
    """Sentences in the order in which to act; none when no throw is wanted."""
    if not tables:
        return ()
    main = max(tables, key=lambda table: table.wanted_mm)
    if main.problem:
        return (f"{main.what.capitalize()} of {main.wanted_mm:g} mm: {main.problem}.",)
    best = main.best
    if best is None:
        return (
            f"No hole of this arm gives {main.wanted_mm:g} mm within 100 % travel. Mechanics first:"
            " a longer arm, or a hole of the horn nearer the hinge.",
        )
    said = [_hole(setting, main, best), _travels(tables, best), *_short_of_travel(main, best)]
    if best.binds_at_full_travel:
        said.append(f"Limit the travel: at 100 % the linkage binds in the hole at {_mm(best.arm)}.")
    return (*said, *_together(mixing, best, reaches))


def _hole(setting: Setting, main: HoleTable, best: HoleRow) -> str:
    share = _percent(travel_of(best))
    if setting.arm is None:
        return (
            f"Mechanics first: the hole at {_mm(best.arm)} gives {main.what} with {share} travel."
        )
    if setting.arm == best.arm:
        return f"Mechanics: keep the hole at {_mm(best.arm)}; {main.what} takes {share} travel."
    used = main.at(setting.arm)
    now = travel_of(used) if used else None
    move = f"Mechanics first: move the pushrod to the hole at {_mm(best.arm)}, {share} travel."
    if now is None or used is None or not used.is_within_travel:
        return f"{move} The one in use, {_mm(setting.arm)}, does not give {main.wanted_mm:g} mm."
    why = "below 70 %, so steps are coarse" if now < LEAST_TRAVEL else "finer steps, less torque"
    return f"{move} The one in use, {_mm(setting.arm)}, takes {_percent(now)}: {why}."


def _travels(tables: Sequence[HoleTable], best: HoleRow) -> str:
    parts = []
    for table in tables:
        row = table.at(best.arm)
        if row is not None and row.travel_up is not None and row.travel_down is not None:
            up, down = _percent(abs(row.travel_up)), _percent(abs(row.travel_down))
            parts.append(f"{table.what} {up} up, {down} down")
    return f"Electronics second, with that hole: {'; '.join(parts)}."


def _short_of_travel(main: HoleTable, best: HoleRow) -> list[str]:
    share = travel_of(best)
    if share is None or share >= LEAST_TRAVEL:
        return []
    return [
        f"Even there {main.what} takes {_percent(share)}, below 70 %: a hole still nearer the"
        " shaft, or a horn hole farther from the hinge, uses more of the travel."
    ]


def _together(mixing: Mixing | None, best: HoleRow, reaches: Sequence[Reach]) -> list[str]:
    if mixing is None:
        return []
    both = f"Both sticks at full ask {mixing.total_mm:g} mm"
    reach = next((one for one in reaches if one.arm == best.arm), None)
    row = mixing.table.at(best.arm)
    is_reached = row is not None and row.is_within_travel
    if reach is None or (is_reached and reach.least_mm >= mixing.total_mm):
        return [f"{both}, which the hole at {_mm(best.arm)} gives."]
    left = mixing.left_of(reach)
    if left is None:
        return [f"{both}; the hole at {_mm(best.arm)} gives nothing at all."]
    shared, other = ("pitch", next(axis for axis in mixing.axes if axis != "pitch"))
    widest = max(reaches, key=lambda one: one.least_mm)
    said = [
        f"{both}: with the hole at {_mm(best.arm)} the surface stops at {reach.least_mm:.1f} mm"
        f" ({reach.stopped_by}), which leaves {shared} {left.common:.1f} and {other}"
        f" {left.opposed:.1f} mm."
    ]
    if mixing.table.best is not None and mixing.table.best.arm != best.arm:
        said.append(
            f"The hole at {_mm(mixing.table.best.arm)} gives both together, at the price of coarser"
            " steps and more torque. Choose which matters more."
        )
    elif widest.arm != best.arm and widest.least_mm > reach.least_mm:
        said.append(
            f"The hole at {_mm(widest.arm)} stops at {widest.least_mm:.1f} mm"
            f" ({widest.stopped_by}), at the price of coarser steps and more torque. Choose which"
            " matters more, or limit the mix."
        )
    return said


def _mm(length: float) -> str:
    return f"{length / MILLIMETRE:g} mm"


def _percent(share: float | None) -> str:
    return "unknown" if share is None else f"{share / PERCENT:.1f} %"
