"""What hangs on each rail: at rest, in use, and with all servos stalled."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from functools import partial

from builds.figures.reading import Reading
from builds.figures.results import Figures, Labelled, Maker, Worked
from builds.records import BuildSnapshot
from builds.supply import TYPICAL, Rail, rails_of

SOURCE = "Sum of the currents at a node (Kirchhoff)."
LEFT_SOURCE = (
    "Rating less the sum of the currents (Kirchhoff). That the continuous rating is held against"
    " the use and the peak against all servos stalled is common practice, no source."
)
SOURCES = ("regulator", "speed_controller", "flight_controller")
REST, USE, STALLED = "current_idle_ma", "current_working_ma", "current_stall_ma"
MILLI = 1e-3


def rail_figures(figures: Figures) -> tuple[Labelled, ...]:
    """Currents of each rail on which something hangs, and what is left of its ratings [A]."""
    return tuple(
        figures.beside(
            f"{rail.source.title}: {rail.name}", name, Maker("A", partial(work, rail=rail))
        )
        for rail in _rails(figures.snapshot)
        for name, work in WORK.items()
    )


def _rails(snapshot: BuildSnapshot) -> Iterator[Rail]:
    for source in snapshot.fitted(*SOURCES):
        yield from (rail for rail in rails_of(snapshot, source) if rail.loads)


def _drawn(rail: Rail, servos: str, reading: Reading) -> float:
    """What all that hangs on a rail draws [A]; `servos` is the column that counts for servos."""
    return math.fsum(
        reading.take(load, servos if load.kind == "servo" else TYPICAL[load.kind], "mA")
        * load.quantity
        * MILLI
        for load in rail.loads
    )


def _sum(_: Figures, *, rail: Rail, servos: str) -> Worked:
    reading = Reading()
    total = _drawn(rail, servos, reading)
    reading.check()
    return Worked(total, 0.0, tuple(reading.inputs), SOURCE)


def _left(_: Figures, *, rail: Rail, servos: str, rating: str) -> Worked:
    reading = Reading()
    allowed = reading.take(rail.source, getattr(rail, rating), "A")
    left = allowed - _drawn(rail, servos, reading)
    reading.check()
    return Worked(left, 0.0, tuple(reading.inputs), LEFT_SOURCE)


WORK: dict[str, Callable[..., Worked]] = {
    "rail_rest_a": partial(_sum, servos=REST),
    "rail_use_a": partial(_sum, servos=USE),
    "rail_stalled_a": partial(_sum, servos=STALLED),
    "rail_continuous_left_a": partial(_left, servos=USE, rating="continuous"),
    "rail_peak_left_a": partial(_left, servos=STALLED, rating="peak"),
}
