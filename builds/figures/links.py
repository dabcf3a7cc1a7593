"""Radio links in free space, and how far the aerials are apart."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from itertools import combinations

from builds.engineering.radio import (
    circular_isolation_loss,
    free_space_path_loss,
    linear_to_circular_loss,
    link_margin,
    wavelength,
)
from builds.figures.places import distance_between
from builds.figures.reading import Reading
from builds.figures.results import Figures, Input, Labelled, Maker, NotKnown, Worked
from builds.figures.units import MILLIMETRE
from builds.findings import GROUND_WORDS
from builds.records import BuildSnapshot, PartRecord, PositionRecord, Value

DISTANCE_M = 1000.0
GROUND_GAIN_DBI = 0.0
"""Where nobody said more: an isotropic aerial."""
HANDS = {"right": "right-handed", "left": "left-handed", "linear": "linear"}
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
    """What a link is asked for: distance, and of the ground side what shall count for its sheet."""

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
    # A receiver with a connector has its aerial elsewhere.
    own = [p for p in aerials if p.kind == "antenna" or not _has_connector(p)]
    return tuple(
        figures.beside(
            " and ".join(one.title for one in pair), name, Maker(unit, partial(work, pair=pair))
        )
        for pair in combinations(own, 2)
        for name, (unit, work) in APART.items()
    )


Pair = tuple[PositionRecord, PositionRecord]


def _label(end: End) -> str:
    kind = "Video link" if end.unit.kind == "video_unit" else "Control link"
    return f"{kind}: {end.unit.title}"


def _has_connector(unit: PositionRecord) -> bool:
    return bool(unit.part and unit.part.get("antenna_connector"))


def _aerial_of(snapshot: BuildSnapshot, unit: PositionRecord) -> PositionRecord | None:
    """The aerial in the unit's band; a receiver without a connector has its own soldered on."""
    if unit.kind == "receiver" and not _has_connector(unit):
        return None
    band = _mhz(unit, "band_mhz")
    for aerial in snapshot.fitted("antenna"):
        low, high = _mhz(aerial, "band_min_mhz"), _mhz(aerial, "band_max_mhz")
        if low <= band <= high:
            return aerial
    return None


def _mhz(position: PositionRecord, name: str) -> float:
    """A frequency [MHz]; what nobody gave compares with nothing."""
    return float(position.part.get(name, math.nan)) if position.part else math.nan


@dataclass(frozen=True)
class GroundSide:
    """The ground gear of one role, and where its values are collected."""

    part: PartRecord | None
    reading: Reading

    def find(self, asked: float | None, column: str, name: str, unit: str) -> float | None:
        """A value as asked for, else that of the gear; None when nobody gave it."""
        known = self.part.known(column) if self.part else None
        if asked is not None:
            known = Value(asked, "asked")
        if known is None:
            return None
        value = float(known.value)
        self.reading.inputs.append(Input(name, value, unit, known.source, known.at))
        return value

    def need(self, asked: float | None, column: str, name: str, unit: str) -> float:
        """The same; what nobody gave is a gap."""
        found = self.find(asked, column, name, unit)
        if found is None:
            self.reading.missing.append(name)
        return math.nan if found is None else found

    def gain(self, asked: float | None, name: str) -> float:
        """Gain of the aerial [dBi], that of an isotropic one where nobody said more."""
        found = self.find(asked, "antenna_gain_dbi", name, "dBi")
        return self.reading.assume(name, GROUND_GAIN_DBI, "dBi") if found is None else found


def _ground_of(figures: Figures, end: End, reading: Reading) -> GroundSide:
    return GroundSide(figures.snapshot.ground.get(_role_of(end)), reading)


def _role_of(end: End) -> str:
    return "video_receiver" if end.unit.kind == "video_unit" else "transmitter"


def _distance(end: End, reading: Reading) -> float:
    reading.inputs.append(Input("distance (m)", end.ground.distance_m, "m", "asked"))
    return end.ground.distance_m


def _gain_in_air(end: End, reading: Reading) -> float:
    if end.aerial is not None:
        return reading.take(end.aerial, "gain_dbi", "dBi")
    if end.unit.kind == "video_unit" or _has_connector(end.unit):
        reading.missing.append(f"{end.unit.title}: an aerial in its band")
        return math.nan
    name = f"{end.unit.title}: gain of its own aerial (dBi)"
    return reading.assume(name, GROUND_GAIN_DBI, "dBi")


def _polarisation(figures: Figures, *, end: End) -> Worked:
    """Loss between the aerials of both ends [dB]."""
    role = _role_of(end)
    ground = figures.snapshot.ground.get(role)
    theirs = ground.get("polarisation", "") if ground else ""
    ours = end.aerial.part.get("polarisation", "") if end.aerial and end.aerial.part else ""
    # Radio control is linear at both ends, unless somebody says otherwise.
    usual = "" if end.unit.kind == "video_unit" else "linear"
    ours, theirs = ours or usual, theirs or usual
    missing = [
        name
        for name, known in (
            (f"{end.unit.title}: polarisation of its aerial", ours),
            (f"{GROUND_WORDS[role]} on the ground: polarisation", theirs),
        )
        if not known
    ]
    if missing:
        raise NotKnown(missing)
    inputs = (
        Input("polarisation in the air", HANDS[ours], "", "sheet"),
        Input("polarisation on the ground", HANDS[theirs], "", "sheet"),
    )
    if ours == theirs == "linear":
        return Worked(0.0, 0.0, inputs, POLARISATION_SOURCE, ALIGNED_NOTE)
    if "linear" in (ours, theirs):
        return Worked(linear_to_circular_loss(), 0.0, inputs, POLARISATION_SOURCE)
    loss = circular_isolation_loss(same_hand=ours == theirs)
    return Worked(loss, 0.0, inputs, POLARISATION_SOURCE)


def _path_loss(_: Figures, *, end: End) -> Worked:
    reading = Reading()
    frequency = reading.take(end.unit, "band_mhz", "MHz") * MEGAHERTZ
    distance = _distance(end, reading)
    reading.check()
    loss = free_space_path_loss(frequency=frequency, distance=distance)
    return Worked(loss, 0.0, tuple(reading.inputs), SOURCE)


def _received(figures: Figures, *, end: End) -> Worked:
    """Level at the receiving end [dBm]."""
    reading, asked = Reading(), end.ground
    ground = _ground_of(figures, end, reading)
    if end.unit.kind == "video_unit":
        power = reading.take(end.unit, "power_mw", "mW")
        far = ground.gain(asked.video_gain_dbi, "aerial on the ground: gain (dBi)")
    else:
        name = "radio transmitter: power (mW)"
        power = ground.need(asked.transmitter_power_mw, "power_mw", name, "mW")
        far = ground.gain(asked.transmitter_gain_dbi, "transmitter's aerial: gain (dBi)")
    near = _gain_in_air(end, reading)
    frequency = reading.take(end.unit, "band_mhz", "MHz") * MEGAHERTZ
    distance = _distance(end, reading)
    reading.check()
    turned = _polarisation(figures, end=end)
    link = link_margin(
        power=power * MILLIWATT,
        frequency=frequency,
        distance=distance,
        sensitivity=0.0,
        transmit_gain=near,
        receive_gain=far,
        other_loss=turned.value,
    )
    inputs = (*reading.inputs, *turned.inputs)
    return Worked(link.received, 0.0, inputs, SOURCE, turned.note)


def _margin(figures: Figures, *, end: End) -> Worked:
    reading = Reading()
    if end.unit.kind == "video_unit":
        name = "video receiver on the ground: sensitivity (dBm)"
        asked = end.ground.video_sensitivity_dbm
        ground = _ground_of(figures, end, reading)
        least = ground.need(asked, "sensitivity_dbm", name, "dBm")
    else:
        least = reading.take(end.unit, "sensitivity_dbm", "dBm")
    reading.check()
    received = _received(figures, end=end)
    inputs = (*received.inputs, *reading.inputs)
    return Worked(received.value - least, 0.0, inputs, SOURCE, received.note)


def _apart(_: Figures, *, pair: Pair) -> Worked:
    return distance_between(*pair)


def _wavelengths(_: Figures, *, pair: Pair) -> Worked:
    reading = Reading()
    lowest = min(_lowest_mhz(position, reading) for position in pair)
    reading.check()
    apart = distance_between(*pair)
    wave_mm = wavelength(frequency=lowest * MEGAHERTZ) / MILLIMETRE
    return Worked(
        apart.value / wave_mm,
        apart.uncertainty / wave_mm,
        (*apart.inputs, *reading.inputs),
        APART_SOURCE,
    )


def _lowest_mhz(position: PositionRecord, reading: Reading) -> float:
    name = "band_mhz" if position.kind == "receiver" else "band_min_mhz"
    return reading.take(position, name, "MHz")


LINKS: dict[str, tuple[str, Callable[..., Worked]]] = {
    "path_loss_db": ("dB", _path_loss),
    "polarisation_loss_db": ("dB", _polarisation),
    "received_dbm": ("dBm", _received),
    "link_margin_db": ("dB", _margin),
}
APART: dict[str, tuple[str, Callable[..., Worked]]] = {
    "apart_mm": ("mm", _apart),
    "apart_wavelengths": ("", _wavelengths),
}
