"""What each sign says of a pack that no fact has stopped."""

from collections.abc import Iterator, Sequence
from datetime import datetime

from inventory.health.capacity import Interval
from inventory.health.care import (
    EMPTY_DAYS,
    FULL_WEAR_DAYS,
    Idle,
    is_left_empty,
    is_left_full,
)
from inventory.health.current import CurrentLimit
from inventory.health.entries import Chemistry, PackFacts
from inventory.health.limits import (
    BASELINE_RATIO_RETIRE,
    BASELINE_RATIO_WATCH,
    CAPACITY_END_PERCENT,
    LIMITS,
)
from inventory.health.reasons import Reason, Verdict
from inventory.health.resistance import Resistance


def by_capacity(capacity: Interval, facts: PackFacts, measured_at: datetime) -> Iterator[Reason]:
    """Grade present capacity against rated.

    Parameters
    ----------
    capacity : with its interval [mAh]
    facts : the pack; rated capacity [mAh]
    measured_at : time of the newest evidence [-]

    Returns
    -------
    one reason

    Source
    ------
    80 and 70 % of rated: common practice, no source. It is watched from half way between rated
    and the end line on: engineering judgement, no source.
    """
    rated = facts.capacity_mah
    percent, low, high = (100 * v / rated for v in (capacity.value, capacity.low, capacity.high))
    verdict, limit = _capacity_grade(percent, facts.end_percent)
    unsure = f" The interval straddles {limit:.0f} %." if low < limit < high else ""
    side = "less" if verdict == Verdict.FIT else "more"
    end = " Stop using it." if percent < CAPACITY_END_PERCENT else ""
    yield Reason(
        verdict,
        "capacity",
        f"{capacity.value:.0f} of {rated:.0f} mAh, {percent:.1f} % of rated ({low:.0f} to "
        f"{high:.0f} %), newest evidence of {measured_at:%Y-%m-%d}.{unsure}{end}",
        f"A full discharge in a tester that gives {side} than {limit * rated / 100:.0f} mAh.",
    )


def by_resistance(resistance: Resistance) -> Iterator[Reason]:
    """Grade resistance against the first readings of the same pack.

    Parameters
    ----------
    resistance : comparable readings [mohm], ratio [-]

    Returns
    -------
    one reason, none without first readings

    Source
    ------
    1.5 and 2 times the first: common practice, no source.
    """
    ratio = resistance.ratio_to_first
    if ratio is None:
        return
    verdict, limit = Verdict.FIT, BASELINE_RATIO_WATCH
    if ratio > BASELINE_RATIO_WATCH:
        verdict = Verdict.WATCH
    if ratio > BASELINE_RATIO_RETIRE:
        verdict, limit = Verdict.RETIRE, BASELINE_RATIO_RETIRE
    row = resistance.latest.row
    growth = resistance.growth_per_100_cycles
    trend = f" It grows by {growth:.0%} in 100 equivalent cycles." if growth else ""
    side = "more" if verdict == Verdict.FIT else "less"
    yield Reason(
        verdict,
        "resistance",
        f"{ratio:.2f} times its first resistance, at 25 °C; newest reading "
        f"{_listed(row.resistance_mohm)} mΩ at {row.temperature_c:.0f} °C on "
        f"{row.started_at:%Y-%m-%d}.{trend}",
        f"Readings of the same method at 20 to 25 °C of {side} than {limit:.1f} times the first.",
    )


def by_class(resistance: Resistance, facts: PackFacts) -> Iterator[Reason]:
    """Compare resistance times capacity with other packs of the class.

    Labels and classes differ, so this is a note where the pack has first readings of its own, and
    a reason to watch, never more, where it has none.

    Parameters
    ----------
    resistance : newest reading times rated capacity [mohm Ah]
    facts : the pack [-]

    Returns
    -------
    one reason, none below the limit or for a chemistry without one

    Source
    ------
    8 and 12 mohm Ah for flight packs: common practice, no source.
    """
    limits = LIMITS[facts.chemistry]
    watch, high = limits.resistance_watch_mohm_ah, limits.resistance_high_mohm_ah
    if watch is None or high is None or resistance.mean_mohm_ah <= watch:
        return
    ratio = resistance.ratio_to_first
    disagrees = ratio is not None and ratio <= BASELINE_RATIO_WATCH
    word = "very high" if resistance.mean_mohm_ah > high else "high"
    note = "; its own first readings do not say so: the signs disagree" if disagrees else ""
    yield Reason(
        Verdict.WATCH if ratio is None else Verdict.FIT,
        "class",
        f"{resistance.mean_mohm_ah:.1f} mΩ·Ah is {word} beside other flight packs (over "
        f"{watch:.0f}){note}.",
        "First readings of its own, or a known figure for this type of pack.",
    )


def by_idling(idle: Idle | None, facts: PackFacts) -> Iterator[Reason]:
    """Grade the state in which a pack has been left.

    Evidence from before a long time full or empty does not speak of the pack after it.

    Parameters
    ----------
    idle : voltage [V] and idle time [d]
    facts : the pack [-]

    Returns
    -------
    one reason to watch, or none

    Source
    ------
    14 days full, 7 days empty: common practice, no source.
    """
    if idle is None:
        return
    if is_left_full(idle, facts) and idle.days > FULL_WEAR_DAYS:
        yield Reason(
            Verdict.WATCH,
            "left_full",
            f"Left full for {idle.days:.0f} days at {idle.highest_v:.2f} V a cell; more than "
            f"{FULL_WEAR_DAYS} days count as wear.",
            "Bring it to storage voltage, then test capacity and resistance again.",
        )
    if is_left_empty(idle, facts):
        yield Reason(
            Verdict.WATCH,
            "left_empty",
            f"Down to {idle.lowest_v:.2f} V a cell after {idle.days:.0f} idle days; more than "
            f"{EMPTY_DAYS} days there may have harmed it.",
            "A low-rate charge, watched and only if the maker allows it, then a capacity test.",
        )


def by_current(limit: CurrentLimit | None) -> Iterator[Reason]:
    """Say within which current a pack is judged.

    Parameters
    ----------
    limit : limits [A]

    Returns
    -------
    one note, or none

    Source
    ------
    None needed.
    """
    if limit is None:
        return
    label = limit.label_a
    basis = "its resistance and weight"
    if label is not None:
        basis = "its label" if limit.limit_a >= label else f"{basis}; the label says {label:.0f} A"
    yield Reason(
        Verdict.FIT,
        "current",
        f"Within {limit.limit_a:.0f} A, by {basis}. Estimated, not approved.",
    )


def by_full_voltage(facts: PackFacts) -> Iterator[Reason]:
    """Remind of the full voltage of a high-voltage pack.

    Parameters
    ----------
    facts : the pack; full volts per cell [V]

    Returns
    -------
    one note, or none

    Source
    ------
    None needed.
    """
    if facts.chemistry == Chemistry.LIPO_HV:
        yield Reason(
            Verdict.FIT,
            "full_voltage",
            f"Full at {facts.cells * facts.full_v_per_cell:.1f} V: more than packs of 4.20 V a "
            "cell; check what it feeds and the setting of the charger.",
        )


def _capacity_grade(percent: float, end_percent: float) -> tuple[Verdict, float]:
    watched = (100 + end_percent) / 2
    if percent < end_percent:
        return Verdict.RETIRE, end_percent
    return (Verdict.WATCH if percent < watched else Verdict.FIT), watched


def _listed(values: Sequence[float]) -> str:
    return ", ".join(f"{value:.1f}" for value in values)
