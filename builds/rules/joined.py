"""Packs joined with each other: how far they may differ in series, and as they stand now."""

from __future__ import annotations

from collections.abc import Iterator

from builds.findings import Case, Finding, Level, Limit, MissingValue, book
from builds.limits import is_above, number

PRACTICE = "common practice, no source"
PERCENT = 1e-2
JOIN_ALIKE = "Fly packs of one kind, age and charge together, or one pack alone."


@book.rule(
    group="joined",
    needs=("build.packs_wiring", "pack.chemistry", "pack.capacity_mah", "pack.capacity_percent"),
    source=f"physics: one current through all; how far they may differ is {PRACTICE}",
    limits=(
        Limit("differ_percent", 10.0, "most that capacities in series may differ", maximum=50),
        Limit("ageing_percent", 5.0, "most that shares of capacity left may differ", maximum=50),
    ),
)
def unlike_in_series(case: Case) -> Iterator[Finding]:
    """Are packs joined in series that differ in chemistry or capacity?

    One current runs through all of them: the smallest is empty first, and the others drive its
    cells below their limit, where they are ruined and can burn. The alarm sees only the sum.
    """
    packs = case.build.fitted("pack")
    if len(packs) < 2:
        return
    (wiring,) = case.need((case.build, "packs_wiring"))
    if wiring != "series":
        return
    (*chemistries,), no_chemistry = case.look(*((pack, "chemistry") for pack in packs))
    known = [one for one in chemistries if one is not None]
    if len(set(known)) > 1:
        yield case.finding(
            Level.WARNING,
            f"The packs in series are unlike: {' and '.join(known)}.",
            JOIN_ALIKE,
            chemistry=tuple(known),
        )
    (*capacities,), no_capacity = case.look(*((pack, "capacity_mah") for pack in packs))
    sizes = [one for one in capacities if one is not None]
    if sizes and is_above(
        max(sizes) - min(sizes), case.limit("differ_percent") * PERCENT * max(sizes)
    ):
        yield case.finding(
            Level.WARNING,
            f"The packs in series are unlike: {' and '.join(map(number, sizes))} mAh.",
            JOIN_ALIKE,
            capacity_mah=tuple(sizes),
        )
        return
    if no_chemistry or no_capacity:
        raise MissingValue((*no_chemistry, *no_capacity))
    left = [case.ask(pack, "capacity_percent") for pack in packs]
    shares = [one for one in left if one is not None]
    if shares and is_above(max(shares) - min(shares), case.limit("ageing_percent")):
        yield case.finding(
            Level.CAUTION,
            "The packs in series have aged unlike: they have "
            f"{' and '.join(map(number, shares))} % of their capacity left.",
            JOIN_ALIKE,
            capacity_percent=tuple(shares),
        )


@book.rule(
    group="joined",
    needs=("build.packs_wiring", "pack.cell_rest_v"),
    source=f"physics: Kirchhoff's laws; the voltage allowed is {PRACTICE}",
    limits=(Limit("apart_mv", 100.0, "most that cells of packs in parallel differ", 1, 1000),),
)
def charged_unlike_in_parallel(case: Case) -> Iterator[Finding]:
    """Do the packs that are joined in parallel stand at different voltages?

    The fuller one charges the other with a current that only their resistance limits, as soon as
    they are joined. Compared where their cells were read at rest.
    """
    packs = case.build.fitted("pack")
    if len(packs) < 2:
        return
    (wiring,) = case.need((case.build, "packs_wiring"))
    if wiring != "parallel":
        return
    readings = [case.ask(pack, "cell_rest_v") for pack in packs]
    cells = [sum(volts) / len(volts) for volts in readings if volts]
    if len(cells) < 2:
        raise MissingValue(())
    apart_mv = (max(cells) - min(cells)) * 1000
    if not is_above(apart_mv, case.limit("apart_mv")):
        return
    yield case.finding(
        Level.WARNING,
        f"The packs in parallel last stood at {' and '.join(f'{one:.2f}' for one in cells)} V a "
        "cell.",
        "Charge them to one voltage and measure both before they are joined.",
        cell_v=tuple(round(one, 6) for one in cells),
    )
