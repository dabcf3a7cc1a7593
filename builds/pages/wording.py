"""Figures, numbers and names of the build as a reader sees them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, is_dataclass, replace
from datetime import datetime
from functools import lru_cache
from math import floor, log10
from typing import Any

from builds.figures import Figure, Input, Unknown
from builds.findings import Given, words_of
from hangar.clubs.models import User
from hangar.form_fields import label_without_unit
from hangar.quantities import format_quantity
from hangar.units import unit_label, unit_of
from inventory.models import Source

GROUPS: Mapping[str, Mapping[str, str]] = {
    "Mass and balance": {
        "auw_g": "All-up weight",
        "empty_g": "Mass without the pack",
        "cg_x_mm": "Centre of gravity, aft of the datum",
        "cg_percent": "Centre of gravity on the mean chord",
        "cg_target_x_mm": "Centre of gravity wanted",
        "cg_min_x_mm": "Foremost centre of gravity",
        "cg_max_x_mm": "Rearmost centre of gravity",
        "pack_x_wanted_mm": "Where the pack's middle should sit",
        "neutral_point_mm": "Neutral point, aft of the datum",
        "static_margin_percent": "Static margin",
        "cg_y_mm": "Centre of gravity, to the right",
        "cg_z_mm": "Centre of gravity, above the datum",
        "empty_cg_x_mm": "Centre of gravity without the pack",
        "cg_suggested_min_x_mm": "Foremost by a usual margin",
        "cg_suggested_max_x_mm": "Rearmost by a usual margin",
        "weighed_difference_g": "Scale less the sum of the parts",
        "balance_point_difference_mm": "Balance point less that of the sum",
        "inertia_roll_kg_m2": "Moment of inertia, roll",
        "inertia_pitch_kg_m2": "Moment of inertia, pitch",
        "inertia_yaw_kg_m2": "Moment of inertia, yaw",
    },
    "Wing": {
        "wing_span_mm": "Wing span",
        "wing_area_dm2": "Wing area",
        "mean_chord_mm": "Mean aerodynamic chord",
        "mean_chord_le_mm": "Leading edge of that chord",
        "wing_loading_g_dm2": "Wing loading",
        "cubic_loading_kg_m3": "Cubic wing loading",
        "stall_speed_m_s": "Stall speed",
        "cruise_speed_m_s": "Cruise speed",
        "reynolds_stall": "Reynolds number at the stall",
        "reynolds_cruise": "Reynolds number in cruise",
    },
    "Air and hover": {
        "air_density_kg_m3": "Density of the air",
        "density_altitude_m": "Density altitude",
        "disc_loading_g_dm2": "Disc loading",
        "hover_throttle_percent": "Throttle in hover",
    },
    "Power": {
        "pack_full_v": "Voltage of the full pack",
        "motor_current_max_a": "Current of one motor, full power",
        "current_max_a": "Current of the pack, full power",
        "pack_current_each_max_a": "Current of the pack that gives most",
        "power_max_w": "Power, full",
        "thrust_max_g": "Static thrust, full power",
        "thrust_to_weight": "Thrust to weight",
        "rpm_max": "Propeller speed, full power",
        "tip_mach": "Mach number of the propeller's tip",
        "endurance_min": "Endurance",
    },
}
OF_THE_BALANCE = {
    "cg_for_margin_mm": "Centre of gravity for the margin chosen",
    "pack_x_for_margin_mm": "Rearmost place of the pack's middle for that margin",
    "cg_shift_mm": "The centre of gravity moves by",
}
"""Figures that only the page of the balance shows."""
OF_POWER = {
    "endurance_cruise_min": "In cruise or hover alone",
    "endurance_full_min": "At full throttle alone",
    "flight_throttle_percent": "Throttle in cruise or hover, as duty",
    "flight_current_a": "Current of the pack in cruise or hover",
    "flight_power_w": "Power in cruise or hover",
    "charge_used_mah": "Charge used in a flight",
    "share_percent": "Share of the rating",
    "input_power_w": "Power into the controllers",
    "thrust_g": "Thrust, all motors",
    "pitch_speed_m_s": "Pitch speed (a label, no top speed)",
    "lead_resistance_mohm": "Resistance there and back",
    "lead_drop_v": "Voltage lost",
    "lead_heat_w": "Heat",
    "lead_heat_per_metre": "Heat for each metre of conductor",
    "rail_rest_a": "At rest",
    "rail_use_a": "In use",
    "rail_stalled_a": "All servos stalled",
    "rail_continuous_left_a": "Left of the continuous rating",
    "rail_peak_left_a": "Left of the peak rating, servos stalled",
}
"""Figures that only the page of the power shows."""
OF_PLACING = {
    "earth_field": "Earth's horizontal field",
    "apart_mm": "Apart now",
    "apart_wavelengths": "Apart, in wavelengths",
    "pair_field": "Field of the two leads side by side",
    "pair_share_percent": "Share of the earth's field",
    "heading_error_deg": "Turns the heading by at most",
    "pair_distance_wanted_mm": "Distance for 5 %, two leads side by side",
    "lone_lead_field": "Field of a lead whose return runs elsewhere",
    "lone_lead_distance_wanted_mm": "Distance for 5 %, return elsewhere",
    "path_loss_db": "Path loss in free space",
    "polarisation_loss_db": "Polarisation loss",
    "received_dbm": "Level received",
    "link_margin_db": "Margin over the sensitivity",
}
"""Figures that only the page of the placing shows."""
OF_ROOM = {
    "room_to_spare_mm": "To spare",
    "gap_each_side_mm": "Gap each side, part in the middle",
    "least_to_spare_mm": "Least to spare, worst case",
    "likely_least_to_spare_mm": "Least to spare, root-sum-square",
    "shim_each_side_mm": "Shim wanted each side",
    "turned_to_spare_mm": "To spare on the tightest side",
    "holes_to_spare_mm": "Screw play left over",
    "holes_apart_mm": "The holes miss by",
    "screw_play_mm": "Play of a screw in its hole",
    "screw_tip_gap_mm": "Left below the tip",
    "screw_engagement_mm": "Thread engaged",
    "screw_diameters": "Thread engaged, in diameters",
    "screw_shortest_mm": "Shortest screw, one diameter of thread",
    "screw_longest_mm": "Longest screw, short of the winding",
}
"""Figures that only the page of what fits where shows."""
LABELS = {
    name: label
    for group in (*GROUPS.values(), OF_THE_BALANCE, OF_POWER, OF_PLACING, OF_ROOM)
    for name, label in group.items()
}
SOURCES = dict(Source.choices) | {
    "build": "entered for this build",
    "assumed": "assumed",
    "asked": "as asked",
    "default": "common practice, no source",
    "club": "set by the club",
}


@dataclass(frozen=True)
class InputRow:
    """One input of a figure, ready to be read."""

    name: str
    text: str
    source: str
    at: datetime | None
    by: str = ""


@dataclass(frozen=True)
class FigureRow:
    """One figure, ready to be read; `missing` is filled when it is not known."""

    name: str
    label: str
    text: str
    interval: str
    source: str
    note: str
    inputs: tuple[InputRow, ...]
    missing: tuple[str, ...]
    is_known: bool
    dominant: str = ""


# The same inputs stand under many figures of a page.
_write = lru_cache(maxsize=4096)(format_quantity)


class Reader:
    """Writes figures in the units that a person likes to read."""

    def __init__(self, user: User) -> None:
        self.mass_unit = user.mass_unit
        self.length_unit = user.length_unit

    def say(self, value: Any, name: str) -> str:
        """A value in the unit that ends a name."""
        if value is None:
            return "not known"
        if isinstance(value, bool):
            return "yes" if value else "no"
        if isinstance(value, list | tuple):
            return ", ".join(self.say(one, name) for one in value)
        if not isinstance(value, int | float):
            return str(value)
        text = _write(
            value, unit_of(name) or "ratio", mass_unit=self.mass_unit, length_unit=self.length_unit
        )
        return text.replace("-", "−")

    def length(self, value_mm: float) -> str:
        """A length along the build, to a tenth of a millimetre."""
        return self.say(round(value_mm, 1), "x_mm")

    def mass_change(self, value_g: float | None) -> str:
        """A change of mass, to a tenth of a gram."""
        if value_g is None:
            return "not known"
        if not round(value_g, 1):
            return "no change"
        word = "heavier" if value_g > 0 else "lighter"
        return f"{self.say(round(abs(value_g), 1), 'mass_g')} {word}"

    def shift(self, value_mm: float | None) -> str:
        """A shift along the build, to a tenth of a millimetre."""
        if value_mm is None:
            return "not known"
        if not round(value_mm, 1):
            return "no change"
        return f"{self.length(abs(value_mm))} {'aft' if value_mm > 0 else 'forward'}"

    def figure(self, figure: Figure | Unknown) -> FigureRow:
        """A figure with its 95 % interval, inputs and source, or what it lacks."""
        label = LABELS.get(figure.name, label_without_unit(figure.name).capitalize())
        if isinstance(figure, Unknown):
            missing = tuple(plain_name(one) for one in figure.missing)
            text = "not known" if missing else "does not apply"
            return FigureRow(figure.name, label, text, "", "", figure.note, (), missing, False)
        text = self.amount(figure.value, figure)
        return FigureRow(
            name=figure.name,
            label=label,
            text=f"at least {text}" if figure.is_lower_bound else text,
            interval=self._interval(figure),
            source=figure.source,
            note=_plain_sentence(figure.note),
            inputs=self.inputs(figure.inputs),
            missing=(),
            is_known=True,
            dominant=figure.dominant,
        )

    def groups(self, figures: Mapping[str, Figure | Unknown]) -> list[tuple[str, list[FigureRow]]]:
        """All figures by group; those without a group come last."""
        grouped = [
            (title, [self.figure(figures[name]) for name in names if name in figures])
            for title, names in GROUPS.items()
        ]
        rest = [self.figure(figures[name]) for name in figures if name not in LABELS]
        return [*grouped, ("Further", rest)] if rest else grouped

    def amount(self, value: float, figure: Figure) -> str:
        """A value with as many digits as the figure deserves."""
        text = self.say(_readable(value, figure), figure.name)
        return text if unit_of(figure.name) else _with_unit(text, figure.unit)

    def inputs(self, given: Iterable[Input]) -> tuple[InputRow, ...]:
        """Inputs of a figure or of a table, each with where it comes from."""
        return tuple(
            InputRow(
                plain_name(one.name), self._input(one), SOURCES.get(one.source, one.source), one.at
            )
            for one in given
        )

    def givens(self, read: Iterable[Given]) -> tuple[InputRow, ...]:
        """What a finding rests on, each value with where it comes from."""
        return tuple(
            InputRow(
                _given_label(one),
                self._given(one),
                SOURCES.get(one.source, one.source),
                one.at,
                one.by,
            )
            for one in read
        )

    def _given(self, given: Given) -> str:
        value = given.value
        if isinstance(value, list | tuple) and any(is_dataclass(one) for one in value):
            return f"{len(value)} on record"
        return self.say(_short(value), given.name)

    def _input(self, given: Input) -> str:
        column = given.name.rpartition(": ")[2]
        text = self.say(given.value, column)
        # A name without a unit at its end leaves it to the input to say it.
        return text if unit_of(column) else _with_unit(text, given.unit)

    def _interval(self, figure: Figure) -> str:
        low, high = (
            None if end is None else self.amount(end, figure) for end in (figure.low, figure.high)
        )
        if low == high:
            return ""
        if high is None:
            return f"from {low}"
        return f"{low} to {high}" if low else f"to {high}"


def _with_unit(text: str, unit: str) -> str:
    return f"{text}\u00a0{unit}" if unit else text


def _given_label(given: Given) -> str:
    """What was read, without the unit, which its value is shown with."""
    if given.source == "computed" and given.name in LABELS:
        return LABELS[given.name]
    unit = unit_of(given.name)
    return given.what.removesuffix(f" ({unit_label(unit)})") if unit else given.what


def _short(value: Any) -> Any:
    """A calculated number to four digits; its figure tells the rest."""
    return float(f"{value:.4g}") if isinstance(value, float) else value


def _readable(value: float, figure: Figure) -> float:
    """Rounded to two digits of the expanded uncertainty, JCGM 100:2008, 7.2.6."""
    if figure.uncertainty <= 0:
        return value
    return round(value, 1 - floor(log10(2 * figure.uncertainty)))


def rounded(figure: Figure | Unknown, digits: int) -> Figure | Unknown:
    """A figure to some decimals, where no uncertainty tells how many it deserves."""
    if isinstance(figure, Unknown) or figure.uncertainty:
        return figure
    # Adding nothing turns a rounded minus nought into nought.
    value = round(figure.value, digits) + 0.0
    return replace(figure, value=value, low=value, high=value)


def plain_name(name: str) -> str:
    """A name such as `Motor (one): mass_g` with its column in words."""
    before, colon, column = name.rpartition(": ")
    words = words_of(column) if column.isidentifier() and column.islower() else column
    return f"{before}{colon}{LABELS.get(column, words)}"


def _plain_sentence(note: str) -> str:
    """A note in which columns at the end of a word are written as words."""
    start, mark, listed = note.partition("left out are ")
    if not mark:
        return note
    names = (plain_name(one) for one in listed.removesuffix(".").split("; "))
    return f"{start}{mark}{'; '.join(names)}."
