"""A chart of curves over two axes with units, as SVG. Plain Python."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from xml.etree import ElementTree as Xml

from hangar.drawing.paper import (
    WIDTH,
    Point,
    Svg,
    add,
    add_line,
    add_words,
    sheet_of_paper,
    text_of,
)

LEFT, RIGHT, TOP, FOOT, HEIGHT = 120.0, 150.0, 60.0, 110.0, 640.0
LABEL_ROOM = 220.0
TICKS_MOST = 8
ROUND_STEPS = (1.0, 2.0, 2.5, 5.0, 10.0)


@dataclass(frozen=True)
class Scale:
    """One axis: its title with the unit, and its ends."""

    title: str
    low: float
    high: float

    def ticks(self) -> Iterator[float]:
        """Round values along it."""
        rough = (self.high - self.low) / TICKS_MOST
        power = 10 ** math.floor(math.log10(rough))
        step = next(power * one for one in ROUND_STEPS if power * one >= rough * (1 - 1e-9))
        for place in range(math.ceil(self.low / step), math.floor(self.high / step) + 1):
            yield place * step


@dataclass(frozen=True)
class Curve:
    """A curve with the word at its end; `dashes` as in SVG, none for a full line."""

    label: str
    points: Sequence[Point]
    dashes: str = ""
    width: float = 3.0


@dataclass(frozen=True)
class Level:
    """A straight line across the chart at a height; its word stands at one of a few places."""

    label: str
    height: float
    place: int = 0


@dataclass(frozen=True)
class Band:
    """What is allowed: a stripe across the chart from one height to another."""

    low: float
    high: float


@dataclass(frozen=True)
class Chart:
    """What a chart shows: `kind` names it within the page, `words` say it without the drawing."""

    kind: str
    title: str
    words: str
    across: Scale
    upward: Scale
    curves: Sequence[Curve]
    levels: Sequence[Level] = ()
    bands: Sequence[Band] = ()
    stops: Sequence[Level] = ()
    """Upright lines, each at a place along the axis across."""


def draw_chart(chart: Chart) -> Svg:
    """The chart as SVG text."""
    root = sheet_of_paper(chart.kind, HEIGHT, chart.title, chart.words)
    _axes(root, chart)
    for band in chart.bands:
        _band(root, chart, band)
    for stop in chart.stops:
        place = _along(chart, stop.height)
        add_line(root, (place, TOP), (place, HEIGHT - FOOT), "stop", dashes="10 6")
        add_words(root, (place, TOP + 30), stop.label)
    for level in chart.levels:
        height = _up(chart, level.height)
        add_line(root, (LEFT, height), (WIDTH - RIGHT, height), "level", dashes="2 8")
        if level.label:
            begin = LEFT + 12 + level.place * LABEL_ROOM
            add_words(root, (begin, height - 8), level.label, anchor="start")
    for curve in chart.curves:
        _curve(root, chart, curve)
    return text_of(root)


def _along(chart: Chart, value: float) -> float:
    scale = chart.across
    return LEFT + (value - scale.low) / (scale.high - scale.low) * (WIDTH - LEFT - RIGHT)


def _up(chart: Chart, value: float) -> float:
    scale = chart.upward
    share = (value - scale.low) / (scale.high - scale.low)
    return HEIGHT - FOOT - share * (HEIGHT - TOP - FOOT)


def _axes(root: Xml.Element, chart: Chart) -> None:
    bottom = HEIGHT - FOOT
    for value in chart.across.ticks():
        place = _along(chart, value)
        add_line(root, (place, TOP), (place, bottom), "gridline", width=1)
        add_words(root, (place, bottom + 38), _plain(value))
    for value in chart.upward.ticks():
        height = _up(chart, value)
        add_line(root, (LEFT, height), (WIDTH - RIGHT, height), "gridline", width=1)
        add_words(root, (LEFT - 12, height + 11), _plain(value), anchor="end")
    add_words(root, ((LEFT + WIDTH - RIGHT) / 2, HEIGHT - 22), chart.across.title)
    add_words(root, (LEFT - 90, TOP - 22), chart.upward.title, anchor="start")


def _band(root: Xml.Element, chart: Chart, band: Band) -> None:
    top, bottom = _up(chart, band.high), _up(chart, band.low)
    add(
        root, "rect", "band", x=LEFT, y=top, width=WIDTH - LEFT - RIGHT, height=bottom - top,
        fill="currentColor", fill_opacity="0.16", stroke="none",
    )  # fmt: skip


def _curve(root: Xml.Element, chart: Chart, curve: Curve) -> None:
    drawn = [(_along(chart, across), _up(chart, height)) for across, height in curve.points]
    if not drawn:
        return
    extra = {"stroke_dasharray": curve.dashes} if curve.dashes else {}
    add(
        root, "polyline", "curve", points=" ".join(f"{x:.1f},{y:.1f}" for x, y in drawn),
        stroke_width=curve.width, stroke_linejoin="round", **extra,
    )  # fmt: skip
    end = drawn[-1]
    add_words(root, (end[0] + 10, end[1] + 11), curve.label, anchor="start")


def _plain(value: float) -> str:
    return f"{value:g}".replace("-", "−")
