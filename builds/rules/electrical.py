"""The pack's voltage against what each part takes."""

from __future__ import annotations

from collections.abc import Iterator

from builds.findings import Case, Finding, Level, Limit, MissingValue, book
from builds.findings.alike_parts import told_by
from builds.limits import is_above, is_below, number
from builds.supply import LANDING_V, cells_if_known, landing_voltage, need_cells, supply_of

SHEET = "the maker's sheet"
PRACTICE = "common practice, no source"
LITHIUM_FULL_V = 4.2
"""Voltage of a full cell that makers mean when they give a cell count (common practice)."""

PACK = ("pack.cell_count", "pack.chemistry", "build.packs_wiring")
POWERED = ("flight_controller", "video_unit", "camera", "receiver", "gps")


@book.rule(
    group="electrical",
    each=("speed_controller", *POWERED, "regulator"),
    needs=(
        *PACK,
        "figure.pack_full_v",
        "speed_controller.cells_max",
        "speed_controller.voltage_max_v",
        *(f"{kind}.voltage_max_v" for kind in POWERED),
        "regulator.voltage_in_max_v",
    ),
    source="the maker's sheet; the margin of 2 % is common practice, no source",
    limits=(Limit("margin_percent", 2.0, "least room below the highest voltage", 0.0, 50.0),),
    is_final=True,
)
def pack_voltage_too_high(case: Case) -> Iterator[Finding]:
    """Is the full pack's voltage above what a part that hangs on it takes?

    Only parts fed straight from the pack see its voltage; a regulator that is fitted takes their
    place and is judged itself. A part above its highest voltage can be destroyed at once, and a
    lithium pack behind a short circuit can burn. For a speed controller whose sheet gives a
    highest cell count, a pack with too many cells is the business of `wrong_cell_count`. Within
    2 % of the limit it is a caution: braking motors and long leads make spikes above the pack's
    voltage.
    """
    subject = case.subject
    assert subject is not None
    if supply_of(case.build, subject) != "pack":
        return
    full = case.need_figure("pack_full_v").value
    if subject.kind == "speed_controller" and not _needs_voltage(case, full):
        return
    column = "voltage_in_max_v" if subject.kind == "regulator" else "voltage_max_v"
    (most,) = case.need((subject, column))
    message = f"{subject.title} takes {number(most)} V at most; this pack is {_full(case, full)}"
    if is_above(full, most):
        yield case.finding(
            Level.WARNING,
            f"{message}.",
            "Put a regulator in between, fly a pack with fewer cells or fit another part.",
            full_v=full,
            max_v=most,
        )
    elif subject.kind != "speed_controller" and is_above(
        full, (1 - case.limit("margin_percent") / 100) * most
    ):
        yield case.finding(
            Level.CAUTION,
            f"{message}, which leaves {(1 - full / most) * 100:.1f} %.",
            "Add a regulator or a filter, or fly a pack with fewer cells: spikes go higher.",
            full_v=full,
            max_v=most,
        )


def _needs_voltage(case: Case, full: float) -> bool:
    """Whether a speed controller must be judged by volts: its cell count does not settle it."""
    cells, cells_max, voltage_max = (
        cells_if_known(case),
        case.ask(case.subject, "cells_max") if case.subject else None,
        case.ask(case.subject, "voltage_max_v") if case.subject else None,
    )
    if cells_max is None or _is_nickel(case):
        return True
    if cells is not None and cells > cells_max:
        return False
    return voltage_max is not None or is_above(full, cells_max * LITHIUM_FULL_V)


def _is_nickel(case: Case) -> bool:
    pack = case.build.pack
    return pack is not None and case.ask(pack, "chemistry") == "nimh"


def _full(case: Case, full: float) -> str:
    cells = cells_if_known(case)
    if not cells:
        return f"{number(full)} V full"
    return f"{number(full)} V full ({cells} cells × {full / cells:.2f} V)"


@book.rule(
    group="electrical",
    each=("speed_controller", "motor"),
    needs=(
        *PACK,
        "speed_controller.cells_min",
        "speed_controller.cells_max",
        "motor.cells_min",
        "motor.cells_max",
    ),
    source=SHEET,
    is_final=True,
)
def wrong_cell_count(case: Case) -> Iterator[Finding]:
    """Has the pack more or fewer cells than the maker allows?

    Cell counts on sheets mean lithium cells; a nickel pack is judged by its voltage instead. A
    motor on too few cells is merely weak. A speed controller whose sheet gives no cell count is
    judged by its highest voltage.
    """
    subject = case.subject
    assert subject is not None
    if _is_nickel(case):
        return
    (least, most), missing = case.look((subject, "cells_min"), (subject, "cells_max"))
    if most is None and subject.kind == "speed_controller":
        return
    cells = need_cells(case)
    who = told_by(case, "cells_min", "cells_max")
    if most is not None and cells > most:
        if who:
            yield _cells_finding(case, Level.WARNING, who, cells, least, most)
        return
    if least is not None and cells < least:
        level = Level.NOTE if subject.kind == "motor" else Level.WARNING
        if who:
            yield _cells_finding(case, level, who, cells, least, most)
        return
    if missing:
        raise MissingValue(missing)


def _packs_have(case: Case) -> str:
    return "this pack has" if len(case.build.fitted("pack")) == 1 else "these packs have"


def _cells_finding(
    case: Case, level: Level, who: str, cells: int, least: int | None, most: int | None
) -> Finding:
    if least is not None and most is not None:
        allowed = f"{least} to {most}"
    else:
        allowed = f"at most {most}" if most is not None else f"at least {least}"
    return case.finding(
        level,
        f"{who} is made for {allowed} cells; {_packs_have(case)} {cells}.",
        "Fly a pack with another number of cells, or fit a part made for this one.",
        cell_count=cells,
        cells_min=least,
        cells_max=most,
    )


@book.rule(
    group="electrical",
    each=("speed_controller", *POWERED, "regulator"),
    needs=(
        *PACK,
        "speed_controller.cells_min",
        "speed_controller.voltage_min_v",
        *(f"{kind}.voltage_min_v" for kind in POWERED),
        "regulator.voltage_in_min_v",
        "regulator.voltage_out_v",
        "regulator.dropout_v",
    ),
    source=PRACTICE,
    limits=(Limit("cell_v", LANDING_V["lipo"], "cell voltage at landing (LiPo)", 2.0, 4.2),),
)
def too_little_voltage_at_landing(case: Case) -> Iterator[Finding]:
    """Does the voltage at landing fall below what a part that hangs on the pack needs?

    Landing is taken at 3.3 V a cell (lithium ion 3.0 V, lithium iron phosphate 2.8 V, nickel 1.0
    V); a limit of the club's moves them all. A regulator needs its least input, and its output and
    its dropout together. A speed controller whose sheet gives its fewest cells is judged by
    `wrong_cell_count`.
    """
    subject, pack = case.subject, case.build.pack
    assert subject is not None
    if supply_of(case.build, subject) != "pack":
        return
    least = _least_voltage(case)
    if least is None:
        return
    cells = need_cells(case)
    chemistry = case.ask(pack, "chemistry") if pack else None
    shift = case.limit("cell_v") - LANDING_V["lipo"]
    landing = landing_voltage(cell_count=cells, chemistry=chemistry) + cells * shift
    if not is_below(landing, least):
        return
    yield case.finding(
        Level.CAUTION,
        f"{subject.title} needs {number(least)} V; this pack falls to {number(landing)} V at "
        f"landing ({cells} cells × {landing / cells:.2f} V).",
        "Fit a part or regulator that works with less, or land earlier.",
        landing_v=landing,
        min_v=least,
    )


def _least_voltage(case: Case) -> float | None:
    """Least voltage [V] of the subject; None where its cell count already settles it."""
    subject = case.subject
    assert subject is not None
    if subject.kind == "speed_controller":
        (cells_min, voltage_min), missing = case.look(
            (subject, "cells_min"), (subject, "voltage_min_v")
        )
        if voltage_min is None and cells_min is None:
            raise MissingValue(missing)
        return float(voltage_min) if voltage_min is not None else None
    if subject.kind != "regulator":
        return float(case.need((subject, "voltage_min_v"))[0])
    (least_in, out, dropout), missing = case.look(
        (subject, "voltage_in_min_v"), (subject, "voltage_out_v"), (subject, "dropout_v")
    )
    both = None if out is None or dropout is None else out + dropout
    known = [volts for volts in (least_in, both) if volts is not None]
    if not known:
        raise MissingValue(missing)
    return float(max(known))


@book.rule(
    group="electrical",
    each=("speed_controller", "lead"),
    needs=(
        *PACK,
        "figure.pack_full_v",
        "speed_controller.capacitor_uf",
        "speed_controller.capacitor_voltage_v",
        "lead.capacitor_uf",
        "lead.capacitor_voltage_v",
    ),
    source=PRACTICE,
    limits=(Limit("margin_ratio", 1.25, "least rating over the full pack's voltage", 1.0, 3.0),),
)
def capacitor_voltage_too_low(case: Case) -> Iterator[Finding]:
    """Is the capacitor at the battery wires rated for the full pack with a margin to spare?

    Below the pack's own voltage an electrolytic capacitor can burst.
    """
    subject = case.subject
    assert subject is not None
    (size, rating), missing = case.look((subject, "capacitor_uf"), (subject, "capacitor_voltage_v"))
    if not size and rating is None:
        return
    if rating is None:
        raise MissingValue(what for what in missing if "voltage" in what)
    full = case.need_figure("pack_full_v").value
    wanted = case.limit("margin_ratio") * full
    if not is_below(rating, wanted):
        return
    yield case.finding(
        Level.WARNING if is_below(rating, full) else Level.CAUTION,
        f"{subject.title}: the capacitor is rated {number(rating)} V; this pack is "
        f"{_full(case, full)}.",
        f"Fit a capacitor rated for {number(wanted)} V or more.",
        capacitor_v=rating,
        full_v=full,
    )


@book.rule(
    group="electrical",
    each="flight_controller",
    needs=(*PACK, "figure.pack_full_v", "flight_controller.sense_voltage_max_v"),
    source=SHEET,
)
def pack_voltage_beyond_sensing(case: Case) -> Iterator[Finding]:
    """Is the full pack's voltage above what the flight controller can sense?

    Beyond its range the board reads too low a voltage, or its input is destroyed.
    """
    assert case.subject is not None
    (most,) = case.need((case.subject, "sense_voltage_max_v"))
    full = case.need_figure("pack_full_v").value
    if not is_above(full, most):
        return
    yield case.finding(
        Level.WARNING,
        f"{case.subject.title} senses {number(most)} V at most; this pack is {_full(case, full)}.",
        "Use an input or a divider with a wider range.",
        full_v=full,
        max_v=most,
    )
