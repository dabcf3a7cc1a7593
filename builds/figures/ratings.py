"""What full throttle draws beside what each part may carry, by its maker."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import partial

from builds.figures.reading import Reading
from builds.figures.results import (
    Figure,
    Figures,
    Input,
    Labelled,
    Maker,
    NotKnown,
    Worked,
    propagate,
)
from builds.figures.units import PERCENT
from builds.records import BuildSnapshot, PositionRecord

SOURCE = "Drawn over rated: definition. The rating is what the sheet says; it assumes good cooling."
AMPERE_HOUR_MAH = 1000.0
RATINGS = (
    ("speed_controller", "current_continuous_a", "motor_current_max_a", "all the time"),
    ("speed_controller", "current_burst_a", "motor_current_max_a", "for a burst"),
    ("motor", "current_max_a", "motor_current_max_a", "at most"),
    ("motor", "power_max_w", "power_max_w", "at most"),
    ("lead", "current_rating_a", "current_max_a", "all the time"),
)


def ratings(figures: Figures) -> tuple[Labelled, ...]:
    """Share of each rating that full throttle uses [%]."""
    return tuple(
        figures.beside(label, "share_percent", Maker("%", work))
        for label, work in _rated(figures.snapshot)
    )


def _rated(snapshot: BuildSnapshot) -> Iterator[tuple[str, Callable[[Figures], Worked]]]:
    for kind, column, drawn, when in RATINGS:
        what = "power" if column.endswith("_w") else "current"
        for position in snapshot.fitted(kind):
            work = partial(_share, position=position, column=column, drawn=drawn)
            yield f"{position.title}: {what} {when}", work
    for position in snapshot.fitted("pack"):
        yield f"{position.title}: current by its label", partial(_pack, pack=position)
        plug = position.part.get("plug", "") if position.part else ""
        yield f"{position.title}: plug {plug}".rstrip(), _plug


def _share(figures: Figures, *, position: PositionRecord, column: str, drawn: str) -> Worked:
    reading = Reading()
    unit = "W" if column.endswith("_w") else "A"
    limit = reading.take(position, column, unit)
    reading.check()
    return _of(figures.need(drawn), limit, reading, motors=_motors(figures, column))


def _motors(figures: Figures, column: str) -> int:
    # Power is worked out for all motors together and rated for one.
    if column != "power_max_w":
        return 1
    return sum(position.quantity for position in figures.snapshot.fitted("motor"))


def _pack(figures: Figures, *, pack: PositionRecord) -> Worked:
    reading = Reading()
    if pack.part and pack.part.known("current_continuous_a"):
        limit = reading.take(pack, "current_continuous_a", "A")
    else:
        rate = reading.take(pack, "continuous_c_rate", "C")
        limit = rate * reading.take(pack, "capacity_mah", "mAh") / AMPERE_HOUR_MAH
    reading.check()
    return _of(figures.need("pack_current_each_max_a"), limit, reading)


def _plug(_: Figures) -> Worked:
    raise NotKnown(("what the plug may carry: no sheet says it, its maker's data decide",))


def _of(drawn: Figure, limit: float, reading: Reading, motors: int = 1) -> Worked:
    value, uncertainty = propagate(
        lambda numbers: numbers[0] / motors / limit / PERCENT, [(drawn.value, drawn.uncertainty)]
    )
    each = (Input("motors", float(motors), "", "build"),) if motors > 1 else ()
    return Worked(
        value=value,
        uncertainty=uncertainty,
        inputs=(drawn.as_input(), *each, *reading.inputs),
        source=SOURCE,
        dominant=drawn.dominant,
    )
