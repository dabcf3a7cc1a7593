"""What ends a flight: voltage alarm, timer and the flight that is planned."""

from __future__ import annotations

from collections.abc import Iterator

from builds.findings import Case, Finding, Level, Limit, MissingValue, book
from builds.limits import is_above, is_below, number
from builds.supply import LANDING_V, need_cells

PRACTICE = "common practice, no source"
SECONDS = 60.0


@book.rule(
    group="alarms",
    needs=(
        "build.voltage_alarm_v",
        "build.cell_alarm_v",
        "build.packs_wiring",
        "pack.cell_count",
        "pack.chemistry",
    ),
    source=PRACTICE,
    limits=(
        Limit("cell_min_v", 3.3, "least alarm voltage of a cell (LiPo)", 2.0, 4.2),
        Limit("cell_max_v", 3.7, "highest alarm voltage of a cell (LiPo)", 2.0, 4.2),
    ),
)
def voltage_alarm_wrong(case: Case) -> Iterator[Finding]:
    """Does the voltage alarm sound too late, or always, with the cells of this pack?

    Set too low, or for fewer cells, it sounds when the pack is ruined or the motor already stops;
    set too high it sounds all the time and nobody heeds it. For another chemistry than lithium
    polymer both limits move with its voltage at landing.
    """
    packs = case.build.fitted("pack")
    if not packs:
        return
    (whole, each), missing = case.look(
        (case.build, "voltage_alarm_v"), (case.build, "cell_alarm_v")
    )
    if whole is None and each is None:
        raise MissingValue(missing[:1])
    if whole is not None:
        cells = need_cells(case)
        yield from _alarm(case, whole / cells, f"{number(whole)} V on {cells} cells, ")
    if each is not None:
        yield from _alarm(case, each, "")


def _alarm(case: Case, cell_v: float, how: str) -> Iterator[Finding]:
    pack = case.build.pack
    chemistry = (case.ask(pack, "chemistry") if pack else None) or "lipo"
    shift = LANDING_V.get(chemistry, LANDING_V["lipo"]) - LANDING_V["lipo"]
    least, most = case.limit("cell_min_v") + shift, case.limit("cell_max_v") + shift
    if not is_below(cell_v, least) and not is_above(cell_v, most):
        return
    yield case.finding(
        Level.WARNING,
        f"The voltage alarm is set to {how}{cell_v:.2f} V a cell; {number(least)} to "
        f"{number(most)} V is usual.",
        "Let it count the cells by itself, or set it for this pack.",
        cell_v=cell_v,
        least_v=least,
        most_v=most,
    )


@book.rule(
    group="alarms",
    needs=("build.timer_s", "figure.endurance_min"),
    source=PRACTICE,
)
def timer_too_long(case: Case) -> Iterator[Finding]:
    """Does the flight timer sound later than the charge lasts?

    The charge is the pack's present one less the reserve, the flight the one chosen in the set-up.
    The estimate is honest to some 30 %: a log of real flights is better.
    """
    if not case.build.fitted("motor"):
        return
    (timer,) = case.need((case.build, "timer_s"))
    lasts = case.need_figure("endurance_min").value
    if not is_above(timer / SECONDS, lasts):
        return
    yield case.finding(
        Level.CAUTION,
        f"The timer sounds after {_minutes(timer)}; the charge lasts about "
        f"{_minutes(lasts * SECONDS)}.",
        "Set a shorter time, and correct it by the charge put back.",
        timer_s=timer,
        usable_s=lasts * SECONDS,
    )


@book.rule(
    group="alarms",
    needs=("build.planned_flight_s", "figure.endurance_min"),
    source=PRACTICE,
)
def charge_too_short_for_plan(case: Case) -> Iterator[Finding]:
    """Is the flight that is planned longer than the charge lasts?

    The reserve is kept back. The estimate is honest to some 30 %.
    """
    if not case.build.fitted("motor"):
        return
    (planned,) = case.need((case.build, "planned_flight_s"))
    lasts = case.need_figure("endurance_min").value
    if not is_above(planned / SECONDS, lasts):
        return
    yield case.finding(
        Level.NOTE,
        f"A flight of {_minutes(planned)} is planned; with the reserve kept back the charge lasts "
        f"about {_minutes(lasts * SECONDS)}.",
        "Plan a shorter flight, or fly a larger pack.",
        planned_s=planned,
        usable_s=lasts * SECONDS,
    )


def _minutes(seconds: float) -> str:
    whole = round(seconds)
    return f"{whole // 60}:{whole % 60:02d} min"
