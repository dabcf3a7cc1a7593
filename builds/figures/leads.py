"""What each lead loses and how warm it gets at full throttle."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import cast

from builds.engineering.wiring import conductor_resistance, gauge_area
from builds.figures.reading import Reading
from builds.figures.results import Figures, Labelled, Maker, NotKnown, Worked, propagate
from builds.figures.units import MILLIMETRE, MILLIOHM
from builds.records import BuildSnapshot, PositionRecord

SOURCE = (
    "Copper of the gauge, ASTM B258 and IEC 60028, over the length there and back; Ohm's law. No"
    " standard rates short leads in moving air by current: judge by drop and by watts a metre."
)
SHEET_SOURCE = "Resistance a metre by the sheet, over the length there and back; Ohm's law."


def lead_figures(figures: Figures) -> tuple[Labelled, ...]:
    """Resistance, drop, heat and heat per metre of conductor of each lead."""
    return tuple(
        figures.beside(lead.title, name, Maker(unit, partial(work, lead=lead)))
        for lead in figures.snapshot.fitted("lead")
        for name, (unit, work) in WORK.items()
    )


def carrying_leads(snapshot: BuildSnapshot) -> tuple[PositionRecord, ...]:
    """Leads that carry the current of the packs: those with the plug of one, else all."""
    leads = snapshot.fitted("lead")
    plugs = {_plug(pack, "plug") for pack in snapshot.fitted("pack")} - {""}
    mating = tuple(lead for lead in leads if plugs & {_plug(lead, "plug_a"), _plug(lead, "plug_b")})
    return mating or leads


def _plug(position: PositionRecord, name: str) -> str:
    return str(position.part.get(name, "")).casefold() if position.part else ""


def _resistance(_: Figures, *, lead: PositionRecord) -> Worked:
    reading = Reading()
    ohm, source = _read(lead, reading)
    return Worked(ohm / MILLIOHM, 0.0, tuple(reading.inputs), source)


def _read(lead: PositionRecord, reading: Reading) -> tuple[float, str]:
    length = reading.take(lead, "loop_length_mm", "mm") * MILLIMETRE
    if lead.part and lead.part.known("resistance_mohm_m"):
        per_metre = reading.take(lead, "resistance_mohm_m", "mΩ/m") * MILLIOHM
        reading.check()
        return per_metre * length, SHEET_SOURCE
    gauge = reading.take(lead, "gauge_awg", "AWG")
    reading.check()
    # The formula itself refuses a gauge that is not a whole number.
    return conductor_resistance(area=gauge_area(gauge=cast(int, gauge)), length=length), SOURCE


def _of_current(
    figures: Figures, lead: PositionRecord, formula: Callable[[float, float, float], float]
) -> Worked:
    """What a formula makes of current [A], resistance [ohm] and length [m]."""
    if lead not in carrying_leads(figures.snapshot):
        raise NotKnown((f"{lead.title}: what current it carries; it has no plug of the pack's",))
    reading = Reading()
    ohm, source = _read(lead, reading)
    length = reading.take(lead, "loop_length_mm", "mm") * MILLIMETRE
    current = figures.need("current_max_a")
    value, uncertainty = propagate(
        lambda numbers: formula(numbers[0], ohm, length), [(current.value, current.uncertainty)]
    )
    inputs = (current.as_input(), *dict.fromkeys(reading.inputs))
    return Worked(value, uncertainty, inputs, source, dominant=current.dominant)


def _drop(figures: Figures, *, lead: PositionRecord) -> Worked:
    return _of_current(figures, lead, lambda current, ohm, _: current * ohm)


def _heat(figures: Figures, *, lead: PositionRecord) -> Worked:
    return _of_current(figures, lead, lambda current, ohm, _: current**2 * ohm)


def _heat_per_metre(figures: Figures, *, lead: PositionRecord) -> Worked:
    return _of_current(figures, lead, lambda current, ohm, length: current**2 * ohm / length)


WORK: dict[str, tuple[str, Callable[..., Worked]]] = {
    "lead_resistance_mohm": ("mΩ", _resistance),
    "lead_drop_v": ("V", _drop),
    "lead_heat_w": ("W", _heat),
    "lead_heat_per_metre": ("W/m", _heat_per_metre),
}
