"""Radio links in free space, and how far the aerials are apart."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from functools import partial
from itertools import combinations

from builds.engineering.radio import (
    Link,
    circular_isolation_loss,
    linear_to_circular_loss,
    link_margin,
    wavelength,
)
from builds.figures.places import distance_between
from builds.figures.reading import Reading, named
from builds.figures.results import Figures, Input, Labelled, Maker, NotKnown, Worked
from builds.figures.units import MILLIMETRE
from builds.records import BuildSnapshot, PositionRecord

DISTANCE_M = 1000.0
GROUND_GAIN_DBI = 0.0
"""Where nobody said more: an isotropic aerial."""
MEGAHERTZ, MILLIWATT = 1e6, 1e-3
SOURCE = (
    "Friis' transmission equation with free-space loss, Recommendation ITU-R P.525. Free sight to"
    " both ends: an upper bound, no promise of range."
)
POLARISATION_SOURCE = (
    "Half of a circular wave's power lies in any one linear polarisation: 3.01 dB. 20 dB between"
    " opposite hands is common practice, no source: read it as at least."
)
ALIGNED_NOTE = "Linear aerials are taken as parallel; across each other they lose 20 dB or more."
APART_SOURCE = (
    "Distance over the longer wavelength of the two bands. A quarter to one wavelength or more is"
    " common practice, no source."
)


@dataclass(frozen=True)
class Ground:
    """What a link is asked for: distance, and of the ground side what no sheet carries."""

    distance_m: float = DISTANCE_M
    transmitter_power_mw: float | None = None
    transmitter_gain_dbi: float | None = None
    video_sensitivity_dbm: float | None = None
    video_gain_dbi: float | None = None


@dataclass(frozen=True)
class End:
    """The unit in the air and its aerial, if it has one of its own."""

    unit: PositionRecord
    aerial: PositionRecord | None
    ground: Ground


@dataclass
class Budget:
    """What goes into a link, collected with gaps."""

    reading: Reading = field(default_factory=Reading)

    def given(self, value: float | None, name: str, unit: str) -> float:
        """A value of the ground side; a gap when nobody gave it."""
        if value is None:
            self.reading.missing.append(name)
            return 0.0
        self.reading.inputs.append(Input(name, value, unit, "asked"))
        return value

    def gain(self, value: float | None, name: str) -> float:
        """A gain of the ground side [dBi], else that of an isotropic aerial."""
        if value is None:
            return self.reading.assume(name, GROUND_GAIN_DBI, "dBi")
        return self.given(value, name, "dBi")


def link_figures(figures: Figures, ground: Ground) -> tuple[Labelled, ...]:
    """Path loss, polarisation loss, level received and margin of each radio link."""
    ends = [
        End(unit, _aerial_of(figures.snapshot, unit), ground)
        for unit in figures.snapshot.fitted("video_unit", "receiver")
    ]
    return tuple(
        figures.beside(_label(end), name, Maker(unit, partial(work, end=end)))
        for end in ends
        for name, (unit, work) in LINKS.items()
    )


def aerial_figures(figures: Figures) -> tuple[Labelled, ...]:
    """How far each two aerials are apart, in millimetres and wavelengths."""
    aerials = figures.snapshot.fitted("antenna", "receiver")
    # A receiver with a screwed-on aerial is where its own aerial is not.
    own = [p for p in aerials if p.kind == "antenna" or not _has_connector(p)]
    return tuple(
        figures.beside(f"{one.title} and {other.title}", name, Maker(unit, partial(work, pair)))
        for pair in combinations(own, 2)
        for one, other in [pair]
        for name, (unit, work) in APART.items()
    )


def _label(end: End) -> str:
    kind = "Video link" if end.unit.kind == "video_unit" else "Control link"
    return f"{kind}: {end.unit.title}"


def _has_connector(unit: PositionRecord) -> bool:
    return bool(unit.part and unit.part.get("antenna_connector"))


def _aerial_of(snapshot: BuildSnapshot, unit: PositionRecord) -> PositionRecord | None:
    """The aerial in the unit's band; a receiver without a connector has its own soldered on."""
    if unit.kind == "receiver" and not _has_connector(unit):
        return None
    band = unit.part.get("band_mhz") if unit.part else None
    for aerial in snapshot.fitted("antenna"):
        low, high = (aerial.part.get(f"band_{end}_mhz") if aerial.part else None for end in MINMAX)
        if None not in (band, low, high) and low <= band <= high:
            return aerial
    return None


def _link(figures: Figures, end: End) -> tuple[Link, Budget]:
    budget, ground, reading = Budget(), end.ground, Reading()
    budget.reading = reading
    frequency = reading.take(end.unit, "band_mhz", "MHz") * MEGAHERTZ
    reading.inputs.append(Input("distance (m)", ground.distance_m, "m", "asked"))
    if end.unit.kind == "video_unit":
        power = reading.take(end.unit, "power_mw", "mW")
        sensitivity = budget.given(
            ground.video_sensitivity_dbm, "video receiver on the ground: sensitivity (dBm)", "dBm"
        )
        on_ground = budget.gain(ground.video_gain_dbi, "aerial on the ground: gain (dBi)")
    else:
        power = budget.given(
            ground.transmitter_power_mw, "radio transmitter: power (mW)", "mW"
        )
        sensitivity = reading.take(end.unit, "sensitivity_dbm", "dBm")
        on_ground = budget.gain(ground.transmitter_gain_dbi, "transmitter's aerial: gain (dBi)")
    in_air = _gain_in_air(end, reading)
    loss, _, inputs = _polarisation(figures.snapshot, end)
    reading.inputs.extend(inputs)
    reading.check()
    link = link_margin(
        power=power * MILLIWATT,
        frequency=frequency,
        distance=ground.distance_m,
        sensitivity=sensitivity,
        transmit_gain=in_air,
        receive_gain=on_ground,
        other_loss=loss,
    )
    return link, budget
