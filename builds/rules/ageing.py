"""How worn the pack is, whether its log can be believed, and what it should not be asked to do."""

from __future__ import annotations

from collections.abc import Iterator
from statistics import fmean

from builds.findings import Case, Finding, Level, Limit, MissingValue, book
from builds.findings.packs_in_service import VERDICT, pack_in_service
from builds.limits import is_above, is_below, number
from builds.records import PositionRecord
from inventory.health.limits import (
    BASELINE_RATIO_RETIRE,
    BASELINE_RATIO_WATCH,
    CAPACITY_END_PERCENT,
    CAPACITY_RETIRE_PERCENT,
    CAPACITY_WATCH_PERCENT,
    LIMITS,
)

PRACTICE = "common practice, no source"
COLDEST_C, WARMEST_C = 15.0, 30.0
AMPERE_HOUR = 1e-3
LIGHT_WORK = "Give it light work and no first flight; plan with the capacity it has left."
CLASS_LIMITS = LIMITS["lipo"]  # type: ignore[index] # chemistries are compared as texts


@book.rule(
    group="ageing",
    each="pack",
    needs=(VERDICT, "pack.capacity_percent", "pack.capacity_now_mah"),
    source=PRACTICE,
    limits=(
        Limit("watch_percent", CAPACITY_WATCH_PERCENT, "share of rated that is noted", 1, 100),
        Limit("tired_percent", CAPACITY_RETIRE_PERCENT, "share that is a caution", 1, 100),
        Limit("end_percent", CAPACITY_END_PERCENT, "share that is a warning", 1, 100),
    ),
)
def capacity_low(case: Case) -> Iterator[Finding]:
    """Has the pack lost much of its rated capacity?

    Below 80 % it is worn, below 70 % it is at its end. The capacity is that of its log.
    """
    pack = pack_in_service(case)
    (percent,) = case.need((pack, "capacity_percent"))
    if not is_below(percent, case.limit("watch_percent")):
        return
    level = Level.NOTE
    if is_below(percent, case.limit("tired_percent")):
        level = Level.CAUTION
    if is_below(percent, case.limit("end_percent")):
        level = Level.WARNING
    left = case.ask(pack, "capacity_now_mah")
    told = f", {left:.0f} mAh" if left is not None else ""
    yield case.finding(
        level,
        f"{pack.title} has {percent:.1f} % of its rated capacity left{told}.",
        LIGHT_WORK if level < Level.WARNING else "Retire it.",
        capacity_percent=round(percent, 6),
    )


@book.rule(
    group="ageing",
    each="pack",
    needs=(VERDICT, "pack.resistance_ratio", "pack.resistance_temperature_c"),
    source=PRACTICE,
    limits=(
        Limit("watch_ratio", BASELINE_RATIO_WATCH, "resistance over the first, noted", 1, 10),
        Limit("tired_ratio", BASELINE_RATIO_RETIRE, "resistance over the first, a caution", 1, 10),
    ),
)
def resistance_risen(case: Case) -> Iterator[Finding]:
    """Has the pack's resistance risen far above what it first was?

    Over twice it is worn. Only readings of one method at 15 to 30 °C are compared; a cold pack
    always reads high.
    """
    pack = pack_in_service(case)
    ratio = case.ask(pack, "resistance_ratio")
    if ratio is None:
        raise MissingValue((_reading_wanted(case, pack),))
    if not is_above(ratio, case.limit("watch_ratio")):
        return
    is_worn = is_above(ratio, case.limit("tired_ratio"))
    yield case.finding(
        Level.CAUTION if is_worn else Level.NOTE,
        f"{pack.title} has {number(ratio)} times the resistance it first had.",
        LIGHT_WORK if is_worn else "Watch it: read it again after ten flights.",
        resistance_ratio=round(ratio, 6),
    )


def _reading_wanted(case: Case, pack: PositionRecord) -> str:
    degrees = case.ask(pack, "resistance_temperature_c")
    wanted = f"{pack.title}: its resistance, early and now, by one method at 20 to 25 °C"
    if degrees is None or COLDEST_C <= degrees <= WARMEST_C:
        return wanted
    return f"{wanted} (last read at {number(degrees)} °C)"


@book.rule(
    group="ageing",
    each="pack",
    needs=(
        VERDICT,
        "pack.chemistry",
        "pack.capacity_mah",
        "pack.cell_resistance_mohm",
        "pack.resistance_ratio",
        "pack.resistance_temperature_c",
    ),
    source=PRACTICE,
    limits=(
        Limit("watch_mohm_ah", CLASS_LIMITS.resistance_watch_mohm_ah or 8.0, "noted", 1, 200),
        Limit("tired_mohm_ah", CLASS_LIMITS.resistance_high_mohm_ah or 12.0, "a caution", 1, 200),
    ),
)
def resistance_high_for_class(case: Case) -> Iterator[Finding]:
    """Is the pack's resistance high beside other flight packs of lithium polymer?

    Resistance times capacity compares packs of all sizes, of one class only: lithium ion has no
    limit here. Labels differ, so where the pack's own first readings do not say that it rose, it
    is a note at most. A rise is the business of `resistance_risen`.
    """
    pack = pack_in_service(case)
    chemistry, capacity, cells = case.need(
        (pack, "chemistry"), (pack, "capacity_mah"), (pack, "cell_resistance_mohm")
    )
    if chemistry not in ("lipo", "lipo_hv"):
        raise MissingValue(())
    degrees = case.ask(pack, "resistance_temperature_c")
    if degrees is not None and not COLDEST_C <= degrees <= WARMEST_C:
        raise MissingValue((_reading_wanted(case, pack),))
    ratio = case.ask(pack, "resistance_ratio")
    product = fmean(cells) * capacity * AMPERE_HOUR
    has_risen = ratio is not None and ratio > BASELINE_RATIO_WATCH
    if has_risen or not is_above(product, case.limit("watch_mohm_ah")):
        return
    is_high = ratio is None and is_above(product, case.limit("tired_mohm_ah"))
    yield case.finding(
        Level.CAUTION if is_high else Level.NOTE,
        f"{pack.title} has {number(product)} mΩ·Ah, high beside other flight packs.",
        "Compare it with its own first readings before you judge it; give it light work.",
        resistance_mohm_ah=round(product, 6),
    )


@book.rule(
    group="ageing",
    each="pack",
    needs=(VERDICT, "pack.log_contradictions"),
    source="arithmetic on the log; the shares allowed are common practice, no source",
)
def log_contradicts_itself(case: Case) -> Iterator[Finding]:
    """Does the pack's log say what cannot be true?

    More charge out than the pack holds, flights of another aircraft, two at one time, days to
    come. While such rows stand, no verdict is given.
    """
    pack = pack_in_service(case)
    wrong = case.ask(pack, "log_contradictions")
    if not wrong:
        return
    more = f" And {len(wrong) - 1} more." if len(wrong) > 1 else ""
    yield case.finding(
        Level.CAUTION,
        f"The log of {pack.title} contradicts itself: {wrong[0]}{more}",
        "Correct these rows, or start afresh with a full charge and a discharge in a tester. Until "
        "then plan as for a worn pack.",
        contradiction_count=len(wrong),
    )


@book.rule(
    group="ageing",
    each="pack",
    needs=(VERDICT, "build.is_hand_launched", "airframe.layout"),
    source=PRACTICE,
)
def worn_pack_for_hard_duty(case: Case) -> Iterator[Finding]:
    """Does a worn pack carry a hand launch or a multirotor?

    Both need full power at once, near people or with nothing to glide on. A worn pack sags just
    then.
    """
    pack = pack_in_service(case)
    (verdict,) = case.need((pack, "health_verdict"))
    if verdict != "retire":
        return
    airframe = case.build.airframe
    is_multirotor = airframe is not None and case.ask(airframe, "layout") == "multirotor"
    if not is_multirotor:
        (is_thrown,) = case.need((case.build, "is_hand_launched"))
        if not is_thrown:
            return
    duty = "a multirotor" if is_multirotor else "a hand launch"
    yield case.finding(
        Level.WARNING,
        f"{pack.title} is worn, and {duty} needs its full power at once.",
        "Fly it with a healthy pack.",
        health_verdict=verdict,
    )
