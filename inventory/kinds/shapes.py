"""Structured columns of data sheets: wing stations and timer groups, as text and as JSON."""

from __future__ import annotations

from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.db import models

STATION_KEYS = ("y_mm", "leading_edge_x_mm", "chord_mm", "z_mm")
STATION_LIMIT_MM = 20_000.0
STATIONS_MAX = 40
OUTPUTS_MAX = 64


def check_timer_groups(groups: Any) -> None:
    """Refuse anything but lists of output numbers, each output in one group only."""
    if not isinstance(groups, list) or not all(isinstance(group, list) for group in groups):
        raise ValidationError("Give the groups as lists of output numbers.")
    outputs = [output for group in groups for output in group]
    for output in outputs:
        if type(output) is not int or not 1 <= output <= OUTPUTS_MAX:
            raise ValidationError(f"An output is a whole number from 1 to {OUTPUTS_MAX}.")
    if len(set(outputs)) != len(outputs):
        raise ValidationError("An output belongs to one timer group only.")
    if not all(groups):
        raise ValidationError("A timer group has at least one output.")


def check_stations(stations: Any) -> None:
    """Refuse wing stations that are not finite numbers from the root outwards."""
    if not isinstance(stations, list) or len(stations) > STATIONS_MAX:
        raise ValidationError(f"Give a list of at most {STATIONS_MAX} stations.")
    for station in stations:
        if not isinstance(station, dict) or set(station) != set(STATION_KEYS):
            raise ValidationError(f"A station has the figures {', '.join(STATION_KEYS)}.")
        for key, number in station.items():
            _check_station_number(key, number)
    if stations and len(stations) < 2:
        raise ValidationError("A wing needs at least two stations: root and tip.")
    spanwise = [station["y_mm"] for station in stations]
    if any(outer <= inner for inner, outer in zip(spanwise, spanwise[1:], strict=False)):
        raise ValidationError("Stations run from the root outwards: each y_mm above the last.")


def _check_station_number(key: str, number: Any) -> None:
    if isinstance(number, bool) or not isinstance(number, int | float):
        raise ValidationError(f"{key} is a number in millimetres.")
    if not abs(number) <= STATION_LIMIT_MM:
        raise ValidationError(f"{key} is at most {STATION_LIMIT_MM:g} mm either way.")
    if key == "chord_mm" and number <= 0:
        raise ValidationError("chord_mm is above zero.")
    if key == "y_mm" and number < 0:
        raise ValidationError("y_mm is measured outwards from the middle, so it is not negative.")


class TimerGroupsFormField(forms.Field):
    """Timer groups as text: outputs separated by spaces, groups by a slash or a new line."""

    widget = forms.Textarea(attrs={"rows": 2, "placeholder": "1 2 / 3 4 5 / 6"})

    def prepare_value(self, value: Any) -> Any:
        """Show stored groups as text; leave what a person typed as it is."""
        if isinstance(value, list):
            return " / ".join(" ".join(str(output) for output in group) for group in value)
        return value

    def to_python(self, value: Any) -> list[list[int]]:
        """Read the groups; say which word is not an output number."""
        text = str(value or "")
        groups = [group.replace(",", " ").split() for group in text.replace("\n", "/").split("/")]
        for word in (word for group in groups for word in group):
            if not (word.isascii() and word.isdigit() and len(word) <= 3):
                raise ValidationError(f"“{word[:20]}” is not an output number.")
        parsed = [[int(word) for word in group] for group in groups if group]
        check_timer_groups(parsed)
        return parsed


class StationsFormField(forms.Field):
    """Wing stations as text: one a line, y, leading edge x, chord and z in millimetres."""

    widget = forms.Textarea(attrs={"rows": 4, "placeholder": "0 60 190 0\n320 155 110 0"})

    def prepare_value(self, value: Any) -> Any:
        """Show stored stations as lines; leave what a person typed as it is."""
        if isinstance(value, list):
            return "\n".join(
                " ".join(f"{station[key]:g}" for key in STATION_KEYS) for station in value
            )
        return value

    def to_python(self, value: Any) -> list[dict[str, float]]:
        """Read the stations; say which line is wrong and why."""
        text = str(value or "")
        stations = [
            self._read_line(number, line)
            for number, line in enumerate(text.splitlines(), start=1)
            if line.strip()
        ]
        check_stations(stations)
        return stations

    @staticmethod
    def _read_line(number: int, line: str) -> dict[str, float]:
        words = line.replace(";", " ").split()
        if len(words) not in (3, 4):
            raise ValidationError(
                f"Line {number}: give y, leading edge x, chord and, if not 0, z in millimetres."
            )
        try:
            figures = [float(word.replace(",", ".")) for word in words]
        except ValueError as error:
            raise ValidationError(f"Line {number}: “{line[:40]}” is not numbers.") from error
        return dict(zip(STATION_KEYS, [*figures, 0.0][:4], strict=True))


class TimerGroupsField(models.JSONField):
    """Outputs of a flight controller by timer: a list of lists of output numbers."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        kwargs.setdefault("default", list)
        kwargs.setdefault("blank", True)
        kwargs.setdefault("validators", [check_timer_groups])
        super().__init__(*args, **kwargs)

    def formfield(self, **kwargs: Any) -> forms.Field | None:
        """Offer the text form of the groups."""
        return models.Field.formfield(self, **{"form_class": TimerGroupsFormField, **kwargs})


class StationsField(models.JSONField):
    """Stations of one wing half from root to tip, [mm]."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        kwargs.setdefault("default", list)
        kwargs.setdefault("blank", True)
        kwargs.setdefault("validators", [check_stations])
        super().__init__(*args, **kwargs)

    def formfield(self, **kwargs: Any) -> forms.Field | None:
        """Offer the text form of the stations."""
        return models.Field.formfield(self, **{"form_class": StationsFormField, **kwargs})
