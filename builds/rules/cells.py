"""The cells of the pack as last read: too low, apart, one worse than the others."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from statistics import median

from builds.findings import Case, Finding, Level, Limit, MissingValue, book
from builds.findings.packs_in_service import VERDICT, pack_in_service
from builds.limits import is_above, is_below, number
from builds.records import PositionRecord
from inventory.health.limits import (
    CELL_RATIO_STOP,
    CELL_RATIO_WATCH,
    LIMITS,
    SPREAD_STOP_V,
    SPREAD_WATCH_V,
)

PRACTICE = "common practice, no source"
MILLIVOLT = 1e-3
SHORTEST_REST_H = 1.0
DISPOSE = (
    "Do not charge or fly it. Keep it outdoors, away from what burns, and dispose of it by the "
    "maker's data and local rules."
)
REST = (
    VERDICT,
    "pack.chemistry",
    "pack.cell_count",
    "pack.cell_rest_v",
    "pack.rest_hours",
)


def _rest(case: Case, pack: PositionRecord) -> tuple[str, Sequence[float]]:
    """Chemistry and the voltages of the cells at rest [V], one for each cell."""
    chemistry, cells, volts = case.need(
        (pack, "chemistry"), (pack, "cell_count"), (pack, "cell_rest_v")
    )
    if chemistry not in LIMITS:
        # Limits of another chemistry would be wrong: nickel cells rest at 1.2 V.
        raise MissingValue(())
    if len(volts) != cells:
        raise MissingValue((f"{pack.title}: the rest voltage of each of its {cells} cells",))
    return chemistry, volts


@book.rule(
    group="cells",
    each="pack",
    needs=(*REST, "pack.cell_min_v"),
    source="lowest voltage by the maker's sheet, else by chemistry: common practice, no source",
    is_final=True,
)
def cell_too_low(case: Case) -> Iterator[Finding]:
    """Has a cell fallen below the lowest voltage at rest for its chemistry?

    A cell that low is damaged. Charged again it can burn: below 2.7 V (lithium polymer) or 2.0 V
    (lithium ion) it is never charged. 3.6 V at rest are low for one chemistry, usual for another.
    """
    pack = pack_in_service(case)
    chemistry, volts = _rest(case, pack)
    limits = LIMITS[chemistry]  # type: ignore[index] # chemistries are compared as texts
    lowest = min(volts)
    least = case.ask(pack, "cell_min_v") or limits.minimum_v
    is_dead = is_below(lowest, limits.never_charge_v)
    if not is_dead and not is_below(lowest, least):
        return
    yield case.finding(
        Level.WARNING if is_dead else Level.CAUTION,
        f"Cell {volts.index(lowest) + 1} of {pack.title} read {number(lowest)} V at rest; "
        f"{number(least)} V are the least.",
        DISPOSE
        if is_dead
        else "Charge it only if the maker allows it from there, at a low rate and watched, or "
        "dispose of it.",
        lowest_v=lowest,
        least_v=least,
    )


@book.rule(
    group="cells",
    each="pack",
    needs=REST,
    source=PRACTICE,
    limits=(
        Limit("watch_mv", SPREAD_WATCH_V / MILLIVOLT, "spread at rest that is a caution", 1, 500),
        Limit("stop_mv", SPREAD_STOP_V / MILLIVOLT, "spread at rest that is a warning", 1, 1000),
    ),
)
def cells_apart(case: Case) -> Iterator[Finding]:
    """Do the cells of the pack stand far apart at rest?

    The lowest is empty first, and is then driven below its limit. Near empty, small differences of
    charge look large: such a reading is not compared, nor one taken within an hour of use.
    """
    pack = pack_in_service(case)
    chemistry, volts = _rest(case, pack)
    limits = LIMITS[chemistry]  # type: ignore[index] # chemistries are compared as texts
    rested = case.ask(pack, "rest_hours")
    if len(volts) < 2:
        return
    if median(volts) < limits.empty_v or (rested is not None and rested < SHORTEST_REST_H):
        raise MissingValue((f"{pack.title}: its cells, an hour after use and not near empty",))
    spread = (max(volts) - min(volts)) / MILLIVOLT
    if not is_above(spread, case.limit("watch_mv")):
        return
    is_far = is_above(spread, case.limit("stop_mv"))
    yield case.finding(
        Level.WARNING if is_far else Level.CAUTION,
        f"The cells of {pack.title} stand {spread:.0f} mV apart at rest; cell "
        f"{volts.index(min(volts)) + 1} is the lowest.",
        "Do not fly it." if is_far else "Balance it, and read it again after some days of rest.",
        spread_mv=round(spread, 6),
        low_cell=volts.index(min(volts)) + 1,
    )


@book.rule(
    group="cells",
    each="pack",
    needs=(VERDICT, "pack.cell_count", "pack.cell_resistance_mohm"),
    source=PRACTICE,
    limits=(
        Limit("watch_ratio", CELL_RATIO_WATCH, "a cell's resistance over the others'", 1, 10),
        Limit("stop_ratio", CELL_RATIO_STOP, "a cell's resistance that is a warning", 1, 20),
    ),
)
def cell_of_high_resistance(case: Case) -> Iterator[Finding]:
    """Has one cell far more resistance than the others?

    It gets hottest, sags deepest and fails first. Compared with the median of the other cells.
    """
    pack = pack_in_service(case)
    cells, values = case.need((pack, "cell_count"), (pack, "cell_resistance_mohm"))
    if len(values) != cells:
        raise MissingValue((f"{pack.title}: the resistance of each of its {cells} cells",))
    if cells < 2:
        return
    worst = max(values)
    place = list(values).index(worst)
    others = median([*values[:place], *values[place + 1 :]])
    if others <= 0 or not is_above(worst / others, case.limit("watch_ratio")):
        return
    is_far = is_above(worst / others, case.limit("stop_ratio"))
    yield case.finding(
        Level.WARNING if is_far else Level.CAUTION,
        f"Cell {place + 1} of {pack.title} has {number(worst)} mΩ, {number(worst / others)} times "
        "the others.",
        "Read it again with clean contacts; if it stays so, retire the pack.",
        worst_mohm=worst,
        ratio=round(worst / others, 6),
    )
