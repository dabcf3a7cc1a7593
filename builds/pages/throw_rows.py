"""Lines of the throws in a comparison, with every difference in words."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from builds.figures import Figure
from builds.pages.control_rows import LABELS, TABLE_SOURCE
from builds.pages.variant_rows import CellText, Line, difference_words
from builds.pages.wording import FigureRow, Reader
from builds.variant_throws import SurfaceOption, SurfaceRow, Travel
from builds.variants import difference

COMPARED = ("throw_up_mm", "throw_down_mm", "servo_torque_needed_kgcm", "servo_torque_margin_ratio")
SAME = "as now"
Pick = Callable[[SurfaceOption], Travel | None]


@dataclass(frozen=True)
class SurfaceLines:
    """Surfaces of which everything is alike, and what is compared of them."""

    names: str
    lines: tuple[Line, ...]


def surface_lines(rows: Sequence[SurfaceRow], reader: Reader) -> tuple[SurfaceLines, ...]:
    """What is compared of each surface; surfaces that are alike in all options stand together."""
    alike: dict[tuple[Line, ...], list[str]] = {}
    for row in rows:
        alike.setdefault(_lines(row, reader), []).append(row.surface.name)
    return tuple(SurfaceLines(", ".join(names), lines) for lines, names in alike.items())


def throw_origins(rows: Sequence[SurfaceRow], place: int, reader: Reader) -> tuple[FigureRow, ...]:
    """The figures of all surfaces in one option, with their inputs and sources."""
    origins: list[FigureRow] = []
    for row in rows:
        option = row.options[place]
        origins += [
            replace(
                reader.figure(option.figures[name]), label=f"{row.surface.name}: {LABELS[name]}"
            )
            for name in COMPARED
        ]
        label = f"{row.surface.name}: travel, pulses and steps"
        if option.travels:
            inputs = reader.inputs(option.inputs)
            origins.append(FigureRow("table", label, "", "", TABLE_SOURCE, "", inputs, (), True))
    return tuple(origins)


def _lines(row: SurfaceRow, reader: Reader) -> tuple[Line, ...]:
    axes = dict.fromkeys(one.what for option in row.options for one in option.travels)
    picks: list[Pick] = [_travel_for(what) for what in axes]
    picks.append(lambda option: option.both)
    travels = (_travel_line(row, pick, reader) for pick in picks)
    up, down, *torques = (_figure_line(row, name, reader) for name in COMPARED)
    return (_hole_line(row, reader), up, down, *(line for line in travels if line), *torques)


def _travel_for(what: str) -> Pick:
    return lambda option: next((one for one in option.travels if one.what == what), None)


def _hole_line(row: SurfaceRow, reader: Reader) -> Line:
    now_mm = row.options[0].surface.arm_radius_mm
    cells = []
    for place, option in enumerate(row.options):
        radius_mm = option.surface.arm_radius_mm
        words = ""
        if place and None not in (now_mm, radius_mm):
            words = SAME if radius_mm == now_mm else "another hole"
        cells.append(CellText(reader.say(radius_mm, "arm_radius_mm"), words, False))
    return Line("Arm hole, from the shaft", tuple(cells))


def _figure_line(row: SurfaceRow, name: str, reader: Reader) -> Line:
    now = row.options[0].figures[name]
    cells = []
    for place, option in enumerate(row.options):
        figure = option.figures[name]
        words = ""
        if place and isinstance(figure, Figure):
            words = difference_words(figure, difference(now, figure), reader)
        cells.append(CellText(reader.figure(figure).text, words, False))
    return Line(LABELS[name], tuple(cells))


def _travel_line(row: SurfaceRow, pick: Pick, reader: Reader) -> Line | None:
    travels = [pick(option) for option in row.options]
    first = next((travel for travel in travels if travel), None)
    if first is None:
        return None
    cells = tuple(
        _travel_cell(option, travel, first, reader)
        for option, travel in zip(row.options, travels, strict=True)
    )
    return Line(f"Travel for {first.what}, {reader.length(first.wanted_mm)}", cells)


def _travel_cell(
    option: SurfaceOption, travel: Travel | None, first: Travel, reader: Reader
) -> CellText:
    if travel is None:
        return CellText("not known", "", False)
    wanted = "" if travel.wanted_mm == first.wanted_mm else f"for {reader.length(travel.wanted_mm)}"
    if travel.up_percent is None or travel.down_percent is None or travel.lost_percent is None:
        words = _sentence(wanted, travel.problem, _stop(option, reader))
        return CellText("not reached", words, True)
    text = f"{travel.up_percent:.1f} % up, {travel.down_percent:.1f} % down"
    pulses = f"{travel.pulse_min_us:.0f} to {travel.pulse_max_us:.0f} µs"
    if travel.is_within:
        lost = f"{travel.lost_percent:.0f} % of the steps lost"
        return CellText(text, _sentence(wanted, pulses, lost), False)
    return CellText(text, _sentence(wanted, "more than 100 %", _stop(option, reader)), True)


def _stop(option: SurfaceOption, reader: Reader) -> str:
    reach = option.reach
    return f"stops at {reader.length(reach.least_mm)} by its {reach.stopped_by}" if reach else ""


def _sentence(*words: str) -> str:
    return "; ".join(word for word in words if word)
