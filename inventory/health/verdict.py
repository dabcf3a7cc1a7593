"""The verdict on a pack, with every reason and what would change it.

The order: a fact that stops the pack wins over all else; then a log that contradicts itself or
says too little; then the worst of capacity, resistance and drift. A bad sign is shown even where
another sign is missing; a pack is fit only when capacity and resistance both say so.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime

from inventory.health import cautions, drift, grades
from inventory.health.capacity import (
    Interval,
    NotEnoughData,
    estimates,
    present_capacity,
)
from inventory.health.care import Carriage, advice, carriage, idle_state, watt_hours
from inventory.health.changing import next_change
from inventory.health.consistency import Contradiction, doubtful_ids, find_contradictions
from inventory.health.current import CurrentLimit, current_limit
from inventory.health.cycles import Cycles, count_cycles
from inventory.health.entries import LogEntry, PackFacts, in_order
from inventory.health.evidence import agreeing, newest_evidence
from inventory.health.limits import FEWEST_CYCLES, STALE_DAYS
from inventory.health.pairs import LeftOut, Pair, find_pairs
from inventory.health.reasons import Reason, Verdict
from inventory.health.resistance import Resistance, comparable, judge_resistance
from inventory.health.stops import find_stops
from inventory.health.trend import EndOfLife, NoEndDate, end_of_life
from inventory.health.wanting import wanted_for_capacity, wanted_for_trend

CAPACITY_TEST = (
    "One full charge, then a discharge to the maker's cut-off in a tester at 20 to 25 °C."
)
RESISTANCE_TEST = (
    "Resistance readings of one method at 20 to 25 °C, now and again after some cycles."
)
LIGHT_WORK = "Retire it from hard use: no first flight, light work only."
GRADED = (Verdict.RETIRE, Verdict.WATCH, Verdict.FIT)


@dataclass(frozen=True, kw_only=True)
class Health:
    """What the log says of a pack; capacity and end of life with 90 % intervals.

    Until ``changes_at`` it stays as it is if nothing is added: None for always.
    """

    verdict: Verdict
    reasons: tuple[Reason, ...]
    cycles: int
    equivalent_cycles: float
    cycles_are_lower_bound: bool
    capacity_mah: Interval | None
    capacity_percent: float | None
    capacity_at: datetime | None
    why_no_capacity: str
    end_of_life: EndOfLife | None
    why_no_end_of_life: str
    resistance_mohm: tuple[float, ...]
    resistance_ratio: float | None
    current: CurrentLimit | None
    energy_wh: float
    carriage: Carriage
    care: tuple[str, ...]
    left_out: tuple[LeftOut, ...]
    changes_at: datetime | None


@dataclass(frozen=True, kw_only=True)
class _Evidence:
    rows: tuple[LogEntry, ...]
    cycles: Cycles
    contradictions: tuple[Contradiction, ...]
    pairs: tuple[Pair, ...]
    measured_at: datetime | None
    capacity: Interval | None
    why_no_capacity: str
    resistance: Resistance | None
    why_no_resistance: str
    current: CurrentLimit | None
    left_out: tuple[LeftOut, ...]


def judge(facts: PackFacts, entries: Iterable[LogEntry], now: datetime) -> Health:
    """Judge a pack from its facts and its log.

    Parameters
    ----------
    facts : what is known of the pack beside the log [-]
    entries : its log, in any order [-]
    now : time of judging, with time zone [-]

    Returns
    -------
    verdict with reasons, cycles [-], capacity [mAh], resistance [mohm]

    Raises
    ------
    ValueError : the time has no time zone

    Source
    ------
    Order of the verdict: common practice, no source.
    """
    if now.tzinfo is None:
        raise ValueError("The time of judging needs a time zone.")
    seen = _gather(facts, in_order(entries), now)
    verdict, reasons = _decide(facts, seen, now)
    end, why_no_end = _end_of_life(seen.pairs, facts)
    return Health(
        verdict=verdict,
        reasons=reasons,
        cycles=seen.cycles.counted,
        equivalent_cycles=seen.cycles.equivalent or 0.0,
        cycles_are_lower_bound=seen.cycles.is_lower_bound,
        capacity_mah=seen.capacity,
        capacity_percent=_percent(seen.capacity, facts),
        capacity_at=seen.measured_at if seen.capacity else None,
        why_no_capacity="" if seen.capacity else seen.why_no_capacity,
        end_of_life=end,
        why_no_end_of_life=why_no_end,
        resistance_mohm=seen.resistance.latest.row.resistance_mohm if seen.resistance else (),
        resistance_ratio=seen.resistance.ratio_to_first if seen.resistance else None,
        current=seen.current,
        energy_wh=watt_hours(facts),
        carriage=carriage(watt_hours(facts)),
        care=_care(verdict, seen.rows, facts, now),
        left_out=seen.left_out,
        changes_at=next_change(seen.rows, facts, now, seen.measured_at),
    )


def _evidence_of_capacity(
    rows: tuple[LogEntry, ...], facts: PackFacts, now: datetime
) -> tuple[tuple[Contradiction, ...], tuple[Pair, ...], tuple[LeftOut, ...], list[Pair]]:
    """Contradictions of the log, its pairs, rows left out of them, and the newest pairs."""
    contradictions = find_contradictions(rows, facts, now)
    pairs, left_out = find_pairs(rows, facts, doubtful_ids(contradictions))
    newest = newest_evidence(pairs, rated_mah=facts.capacity_mah)
    evidence, odd = agreeing(newest)
    return contradictions, pairs, (*left_out, *odd), evidence


def _gather(facts: PackFacts, rows: tuple[LogEntry, ...], now: datetime) -> _Evidence:
    contradictions, pairs, not_paired, evidence = _evidence_of_capacity(rows, facts, now)
    doubtful = doubtful_ids(contradictions)
    believed = [row for row in rows if row.id not in doubtful]
    readings, not_compared = comparable(believed, facts)
    resistance = judge_resistance(readings, facts) if readings else None
    capacity, why_no_capacity = _capacity(evidence, facts, now)
    return _Evidence(
        rows=rows,
        cycles=count_cycles(rows, facts.cycles_at_purchase, capacity_mah=facts.capacity_mah),
        contradictions=contradictions,
        pairs=pairs,
        measured_at=evidence[-1].ended_at if evidence else None,
        capacity=capacity,
        why_no_capacity=" ".join((why_no_capacity, *_newest_left_out(not_paired))),
        resistance=resistance,
        why_no_resistance=" ".join(
            (_why_no_resistance(resistance), *_newest_left_out(not_compared))
        ),
        current=current_limit(
            facts,
            resistance_mohm=resistance.latest.row.resistance_mohm if resistance else (),
            capacity_mah=capacity.value if capacity else None,
        ),
        left_out=(*not_paired, *not_compared),
    )


def _decide(facts: PackFacts, seen: _Evidence, now: datetime) -> tuple[Verdict, tuple[Reason, ...]]:
    stops = find_stops(seen.rows, facts)
    if stops:
        return Verdict.OUT_OF_SERVICE, stops
    withheld = _withheld(seen)
    if withheld:
        return Verdict.CANNOT_TELL, withheld
    missing = _missing(seen)
    found = _graded(facts, seen, now)
    worst = min((reason.verdict for reason in found), key=GRADED.index, default=Verdict.FIT)
    if worst == Verdict.FIT and missing:
        return Verdict.CANNOT_TELL, (*missing, *found)
    found.sort(key=lambda reason: GRADED.index(reason.verdict))
    return worst, (*found, *missing)


def _care(
    verdict: Verdict, rows: Sequence[LogEntry], facts: PackFacts, now: datetime
) -> tuple[str, ...]:
    if verdict == Verdict.OUT_OF_SERVICE:
        return cautions.OUT_OF_SERVICE, cautions.DISPOSAL
    found = advice(rows, facts, now)
    return (LIGHT_WORK, *found) if verdict == Verdict.RETIRE else found


def _withheld(seen: _Evidence) -> tuple[Reason, ...]:
    """Reasons to withhold a verdict whatever the measurements say."""
    impossible = tuple(
        Reason(
            Verdict.CANNOT_TELL,
            "log",
            contradiction.message,
            f"Correct the rows ({', '.join(contradiction.row_ids)}); or start afresh: "
            f"{CAPACITY_TEST}",
        )
        for contradiction in seen.contradictions
        if contradiction.is_impossible
    )
    if impossible or seen.cycles.counted >= FEWEST_CYCLES:
        return impossible
    return (
        Reason(
            Verdict.CANNOT_TELL,
            "cycles",
            f"{seen.cycles.counted} cycles: too new to judge; {FEWEST_CYCLES} are needed.",
            "Keep logging.",
        ),
    )


def _missing(seen: _Evidence) -> tuple[Reason, ...]:
    missing = []
    if seen.capacity is None:
        missing.append(
            Reason(
                Verdict.CANNOT_TELL,
                "capacity",
                f"Capacity is not known. {seen.why_no_capacity}",
                CAPACITY_TEST,
            )
        )
    if seen.resistance is None or seen.resistance.ratio_to_first is None:
        missing.append(
            Reason(
                Verdict.CANNOT_TELL,
                "resistance",
                f"Resistance is not followed: {seen.why_no_resistance}",
                RESISTANCE_TEST,
            )
        )
    return tuple(missing)


def _why_no_resistance(resistance: Resistance | None) -> str:
    return "no comparable reading." if resistance is None else "one comparable reading only."


def _newest_left_out(left_out: Sequence[LeftOut]) -> tuple[str, ...]:
    return (f"Newest reading left out: {left_out[-1].why}.",) if left_out else ()


def _graded(facts: PackFacts, seen: _Evidence, now: datetime) -> list[Reason]:
    rows = [row for row in seen.rows if row.started_at <= now]
    found: list[Reason] = []
    if seen.capacity is not None and seen.measured_at is not None:
        found += grades.by_capacity(seen.capacity, facts, seen.measured_at)
    if seen.resistance is not None:
        found += grades.by_resistance(seen.resistance)
        found += grades.by_class(seen.resistance, facts)
    found += drift.by_cells(rows, facts)
    found += drift.by_swelling(rows, facts)
    found += drift.by_overcharge(rows, facts, now)
    found += grades.by_idling(idle_state(rows, facts, now), facts)
    found += grades.by_current(seen.current)
    found += grades.by_full_voltage(facts)
    return found


def _capacity(
    evidence: Sequence[Pair], facts: PackFacts, now: datetime
) -> tuple[Interval | None, str]:
    if evidence:
        days = (now - evidence[-1].ended_at).days
        if days > STALE_DAYS:
            old = f"The newest evidence is {days} days old; {STALE_DAYS} is the limit."
            return None, f"{wanted_for_capacity((), facts)} {old}"
    try:
        return present_capacity(evidence, rated_mah=facts.capacity_mah), ""
    except NotEnoughData as error:
        return None, f"{wanted_for_capacity(evidence, facts)} {error}".strip()


def _percent(capacity: Interval | None, facts: PackFacts) -> float | None:
    return None if capacity is None else 100 * capacity.value / facts.capacity_mah


def _end_of_life(pairs: Sequence[Pair], facts: PackFacts) -> tuple[EndOfLife | None, str]:
    try:
        found = estimates(pairs, rated_mah=facts.capacity_mah)
        share = facts.end_percent / 100
        return end_of_life(found, rated_mah=facts.capacity_mah, end_share=share), ""
    except NoEndDate as error:
        return None, f"{wanted_for_trend(pairs, facts)} {error}".strip()
