"""Where the parts of a build get their power from. Plain Python."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from builds.findings import Case, MissingValue
from builds.records import BuildSnapshot, PositionRecord

# Lowest voltage of a cell under load at which most pilots land: common practice, no source.
LANDING_V = {"lipo": 3.3, "lipo_hv": 3.3, "li_ion": 3.0, "lifepo4": 2.8, "nimh": 1.0}
TYPICAL = {
    "servo": "current_working_ma",
    "receiver": "current_ma",
    "flight_controller": "current_ma",
    "gps": "current_ma",
    "camera": "current_ma",
    "video_unit": "current_ma",
}
"""What each kind that hangs on a rail draws in use."""


@dataclass(frozen=True)
class Rail:
    """A rail of a source, what hangs on it, and the columns that rate it [A]."""

    name: str
    source: PositionRecord
    loads: tuple[PositionRecord, ...]
    continuous: str
    peak: str


def landing_voltage(*, cell_count: int, chemistry: str | None) -> float:
    """Pack voltage [V] at landing; a chemistry nobody gave counts as lithium polymer."""
    return cell_count * LANDING_V.get(chemistry or "lipo", LANDING_V["lipo"])


def need_cells(case: Case) -> int:
    """Cells in series between the main wires, of all packs as they are joined.

    Raises MissingValue without a pack, a pack's cell count or how two packs are joined. The rule
    declares `pack.cell_count` and `build.packs_wiring`.
    """
    packs = case.build.fitted("pack")
    if not packs:
        raise MissingValue(("the pack it flies with",))
    counts = case.need(*((pack, "cell_count") for pack in packs))
    if sum(pack.quantity for pack in packs) == 1:
        return int(counts[0])
    wiring = case.ask(case.build, "packs_wiring")
    if wiring is None:
        raise MissingValue(("how the packs are joined",))
    if wiring == "parallel":
        return int(max(counts))
    return int(sum(count * pack.quantity for count, pack in zip(counts, packs, strict=True)))


def cells_if_known(case: Case) -> int | None:
    """As `need_cells`, None when something is missing."""
    try:
        return need_cells(case)
    except MissingValue:
        return None


def regulator_of(build: BuildSnapshot, position: PositionRecord) -> PositionRecord | None:
    """The regulator that feeds a position: the one it names, once one is fitted there."""
    source = build.at(position.regulator_key) if position.regulator_key else None
    if source is None or source is position or source.part is None:
        return None
    return source if source.part.kind == "regulator" else None


def supply_of(build: BuildSnapshot, position: PositionRecord) -> str:
    """What feeds a position: `regulator`, or one of the supplies that a position can name.

    A speed controller always hangs on the pack. Raises MissingValue when nobody said.
    """
    if position.kind == "speed_controller":
        return "pack"
    if regulator_of(build, position) is not None:
        return "regulator"
    if not position.supply:
        raise MissingValue((f"{position.title}: where it gets its power",))
    return position.supply


def loads_on(build: BuildSnapshot, *, supply: str) -> tuple[PositionRecord, ...]:
    """Fitted parts that a supply feeds without a regulator between."""
    return tuple(
        position
        for position in build.fitted(*TYPICAL)
        if position.supply == supply and regulator_of(build, position) is None
    )


def servo_rail_source(build: BuildSnapshot) -> PositionRecord | None:
    """The part that feeds the servo rail: the flight controller when its sheet has such a rail."""
    board = build.first("flight_controller")
    if board and board.part and board.part.known("servo_rail_v"):
        return board
    return next(
        (
            controller
            for controller in build.fitted("speed_controller")
            if controller.part and controller.part.known("regulator_voltage_v")
        ),
        None,
    )


def rails_of(build: BuildSnapshot, source: PositionRecord) -> Iterator[Rail]:
    """The rails of a regulator, a speed controller or a flight controller."""
    if source.kind == "regulator":
        loads = tuple(p for p in build.fitted(*TYPICAL) if regulator_of(build, p) is source)
        yield Rail("its output", source, loads, "current_continuous_a", "current_peak_a")
        return
    is_source = servo_rail_source(build) is source
    servo_loads = loads_on(build, supply="servo_rail") if is_source else ()
    if source.kind == "speed_controller":
        columns = ("regulator_current_a", "regulator_peak_a")
        yield Rail("its regulator", source, servo_loads, *columns)
        return
    five, nine = loads_on(build, supply="board_5v"), loads_on(build, supply="board_9v")
    yield Rail("its 5 V rail", source, five, "rail_5v_a", "rail_5v_a")
    yield Rail("its 9 V rail", source, nine, "rail_9v_a", "rail_9v_a")
    yield Rail("its servo rail", source, servo_loads, "servo_rail_a", "servo_rail_peak_a")
