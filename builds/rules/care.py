"""How the pack was last charged, used and put away."""

from __future__ import annotations

from collections.abc import Iterator

from builds.findings import Case, Finding, Level, Limit, MissingValue, book
from builds.findings.packs_in_service import VERDICT, pack_in_service
from builds.limits import is_above, is_below, number
from inventory.health.limits import LIMITS

PRACTICE = "common practice, no source"
PERCENT = 1e-2
AMPERE_HOUR = 1e-3
WEAR_DAYS = 14
STORED = (VERDICT, "pack.chemistry", "pack.stored_days")


@book.rule(
    group="care",
    each="pack",
    needs=(*STORED, "pack.stored_high_v", "pack.left_charged_full", "pack.cell_full_v"),
    source=PRACTICE,
    limits=(
        Limit("below_full_v", 0.1, "how far below full a cell still counts as full", maximum=0.5),
        Limit("days", 3.0, "days that a pack may lie full", maximum=365),
    ),
)
def stored_full(case: Case) -> Iterator[Finding]:
    """Has the pack lain full for more than three days?

    Full cells age fast and can swell; more than 14 days count as wear.
    """
    pack = pack_in_service(case)
    days, high = case.ask(pack, "stored_days"), case.ask(pack, "stored_high_v")
    is_charged = case.ask(pack, "left_charged_full")
    if days is None or (high is None and not is_charged):
        raise MissingValue(())
    (full,) = case.need((pack, "cell_full_v"))
    volts = full if high is None else high
    if not is_above(volts, full - case.limit("below_full_v")) or not days > case.limit("days"):
        return
    wear = " It counts as wear." if days > WEAR_DAYS else ""
    yield case.finding(
        Level.CAUTION,
        f"{pack.title} has lain full for {days} days ({number(volts)} V a cell).{wear}",
        "Discharge it to its storage voltage today.",
        stored_days=days,
        cell_v=volts,
    )


@book.rule(
    group="care",
    each="pack",
    needs=(*STORED, "pack.stored_low_v"),
    source=PRACTICE,
    limits=(Limit("days", 7.0, "days that a pack may lie near empty", maximum=365),),
)
def stored_empty(case: Case) -> Iterator[Finding]:
    """Has the pack lain near empty for more than seven days?

    Cells go on losing charge, and below their limit they are lost. Near empty is below 3.6 V at
    rest for lithium polymer, below 3.0 V for lithium ion.
    """
    pack = pack_in_service(case)
    days, low = case.ask(pack, "stored_days"), case.ask(pack, "stored_low_v")
    if days is None or low is None:
        raise MissingValue(())
    (chemistry,) = case.need((pack, "chemistry"))
    if chemistry not in LIMITS:
        raise MissingValue(())
    empty = LIMITS[chemistry].empty_v
    if not is_below(low, empty) or not days > case.limit("days"):
        return
    yield case.finding(
        Level.CAUTION,
        f"{pack.title} has lain at {number(low)} V a cell for {days} days; below {number(empty)} V "
        "it is near empty.",
        "If the maker allows a charge from there: at a low rate, watched; then test it again.",
        stored_days=days,
        cell_v=low,
    )


@book.rule(
    group="care",
    each="pack",
    needs=(VERDICT, "pack.charge_current_a", "pack.capacity_mah", "pack.charge_c_rate"),
    source="the maker's sheet; where it says nothing, common practice, no source",
    limits=(Limit("charge_c_rate", 1.0, "highest rate where no maker allows more", maximum=20),),
)
def charged_too_fast(case: Case) -> Iterator[Finding]:
    """Was the pack last charged faster than its maker, or practice, allows?

    The mean current of the last charge is compared. Fast charging heats the cells and wears them.
    """
    pack = pack_in_service(case)
    current = case.ask(pack, "charge_current_a")
    if current is None:
        raise MissingValue(())
    (capacity,) = case.need((pack, "capacity_mah"))
    rate = case.ask(pack, "charge_c_rate") or case.limit("charge_c_rate")
    most = rate * capacity * AMPERE_HOUR
    if not is_above(current, most):
        return
    yield case.finding(
        Level.CAUTION,
        f"{pack.title} was last charged with {number(current)} A on average; {number(most)} A are "
        "the most.",
        f"Charge it with {number(most)} A or less.",
        charge_current_a=round(current, 6),
        most_a=round(most, 6),
    )


@book.rule(
    group="care",
    each="pack",
    needs=(VERDICT, "pack.charge_temperature_c"),
    source="common practice, no source; the maker's figures come first",
    limits=(
        Limit("coldest_c", 5.0, "coldest pack that is charged", -20, 20),
        Limit("warmest_c", 45.0, "warmest pack that is charged", 20, 60),
    ),
)
def charged_too_cold_or_hot(case: Case) -> Iterator[Finding]:
    """Was the pack last charged too cold or too hot?

    Charged in the cold, metal grows in the cells, and a later charge can short them.
    """
    pack = pack_in_service(case)
    degrees = case.ask(pack, "charge_temperature_c")
    if degrees is None:
        raise MissingValue(())
    coldest, warmest = case.limit("coldest_c"), case.limit("warmest_c")
    if not is_below(degrees, coldest) and not is_above(degrees, warmest):
        return
    yield case.finding(
        Level.WARNING,
        f"{pack.title} was last charged at {number(degrees)} °C; {number(coldest)} to "
        f"{number(warmest)} °C are usual.",
        "Let it come to room temperature first. Watch the next charges closely.",
        temperature_c=degrees,
    )


@book.rule(
    group="care",
    each="pack",
    needs=(VERDICT, "pack.use_temperature_c"),
    source=PRACTICE,
    limits=(
        Limit("warm_c", 55.0, "temperature after a flight that is a caution", 20, 80),
        Limit("hot_c", 60.0, "temperature after a flight that is a warning", 20, 90),
    ),
)
def hot_after_flight(case: Case) -> Iterator[Finding]:
    """Did the last flight make the pack hot?

    Above 60 °C it is a warning until somebody has looked at the pack and recorded the inspection.
    """
    pack = pack_in_service(case)
    degrees = case.ask(pack, "use_temperature_c")
    if degrees is None:
        raise MissingValue(())
    if not is_above(degrees, case.limit("warm_c")):
        return
    is_hot = is_above(degrees, case.limit("hot_c"))
    yield case.finding(
        Level.WARNING if is_hot else Level.CAUTION,
        f"{pack.title} was {number(degrees)} °C after its last flight.",
        "Leave it until it is cool, look at it and record the inspection; then fly a larger pack."
        if is_hot
        else "It works too hard: fly gentler or with a larger pack.",
        temperature_c=degrees,
    )


@book.rule(
    group="care",
    each="pack",
    needs=(VERDICT, "pack.last_uses_mah", "pack.capacity_mah"),
    source=PRACTICE,
    limits=(
        Limit("used_percent", 80.0, "most of the rated capacity that a flight takes", 10, 100),
        Limit("flight_count", 2.0, "flights of the last five that make it a habit", 1, 5),
    ),
)
def used_too_deep(case: Case) -> Iterator[Finding]:
    """Did several of the last five flights take nearly all of the pack's rated capacity?

    The last fifth wears the cells most, and leaves nothing for a second approach.
    """
    pack = pack_in_service(case)
    uses = case.ask(pack, "last_uses_mah")
    if not uses:
        raise MissingValue(())
    (capacity,) = case.need((pack, "capacity_mah"))
    most = case.limit("used_percent") * PERCENT * capacity
    deep = [use for use in uses if is_above(use, most)]
    if len(deep) < case.limit("flight_count"):
        return
    share = max(deep) / capacity / PERCENT
    yield case.finding(
        Level.NOTE,
        f"{len(deep)} of the last {len(uses)} flights with {pack.title} took over "
        f"{number(case.limit('used_percent'))} % of it, up to {share:.0f} %.",
        "Set a shorter timer.",
        deep_count=len(deep),
        used_percent=round(share, 6),
    )
