"""The balance along x, enlarged: allowed range, wanted place, centre of gravity, neutral point."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from xml.etree import ElementTree as Xml

from builds.figures import Figure, Unknown
from hangar.drawing.paper import (
    EDGE,
    WIDTH,
    Svg,
    add,
    add_centre_of_gravity,
    add_line,
    add_words,
    sheet_of_paper,
    text_of,
)

AXIS = 92.0
HALF_BAND = 26.0
ROWS = {"limits": 168.0, "target": 212.0, "neutral": 256.0}
HEIGHT = 275.0
SPREAD_LEAST_MM = 10.0
MARGIN = 0.3
"""Share of the spread left free at either end."""

Say = Callable[[float], str]
Across = Callable[[float], float]


def draw_balance(figures: Mapping[str, Figure | Unknown], say: Say) -> Svg:
    """The balance along x as SVG text; empty while fewer than two of its places are known.

    `say` writes a length [mm] for the reader.
    """
    values = _values(figures)
    if len(values) < 2:
        return Svg()
    least, most = min(values.values()), max(values.values())
    spread = max(most - least, SPREAD_LEAST_MM)
    scale = (WIDTH - 2 * EDGE) / (spread * (1 + 2 * MARGIN))
    begin = (least + most) / 2 - spread * (0.5 + MARGIN)

    def across(x_mm: float) -> float:
        return EDGE + (x_mm - begin) * scale

    root = sheet_of_paper("balance", HEIGHT, "Balance, nose to the left", _words(values, say))
    add_line(root, (EDGE, AXIS), (WIDTH - EDGE, AXIS), "axis", width=1.5)
    _band(root, values, across, say)
    _ticks(root, values, across, say)
    _centre(root, values, across, say)
    return text_of(root)


def _values(figures: Mapping[str, Figure | Unknown]) -> dict[str, float]:
    names = {
        "low": "cg_min_x_mm",
        "high": "cg_max_x_mm",
        "target": "cg_target_x_mm",
        "neutral": "neutral_point_mm",
        "cg": "cg_x_mm",
    }
    known = {short: figures[name] for short, name in names.items()}
    values = {short: one.value for short, one in known.items() if isinstance(one, Figure)}
    cg = known["cg"]
    if isinstance(cg, Figure) and cg.low is not None and cg.high is not None:
        values |= {"cg_low": cg.low, "cg_high": cg.high}
    return values


def _words(values: Mapping[str, float], say: Say) -> str:
    names = {
        "cg": "centre of gravity",
        "low": "foremost allowed",
        "high": "rearmost allowed",
        "target": "wanted",
        "neutral": "neutral point",
    }
    known = [f"{word} {say(values[short])}" for short, word in names.items() if short in values]
    return f"Aft of the datum: {', '.join(known)}."


def _band(root: Xml.Element, values: Mapping[str, float], across: Across, say: Say) -> None:
    for short, anchor in (("low", "end"), ("high", "start")):
        if short not in values:
            continue
        place = across(values[short])
        add_line(root, (place, AXIS - HALF_BAND), (place, AXIS + HALF_BAND), "limit", width=4)
        add_words(root, (place, ROWS["limits"]), say(values[short]), anchor=anchor)
    if {"low", "high"} <= set(values) and values["low"] < values["high"]:
        left, right = across(values["low"]), across(values["high"])
        add(
            root, "rect", "cg-range", x=left, y=AXIS - HALF_BAND, width=right - left,
            height=2 * HALF_BAND, fill="currentColor", fill_opacity="0.16", stroke="none",
        )  # fmt: skip


def _ticks(root: Xml.Element, values: Mapping[str, float], across: Across, say: Say) -> None:
    for short, dashes, word in (("target", "10 6", "wanted"), ("neutral", "3 7", "neutral point")):
        if short not in values:
            continue
        place, row = across(values[short]), ROWS[short]
        add_line(root, (place, AXIS - HALF_BAND), (place, row - 30), short, dashes=dashes)
        words = f"{word} {say(values[short])}"
        add_words(root, (place, row), words, anchor=_anchor(place))


def _centre(root: Xml.Element, values: Mapping[str, float], across: Across, say: Say) -> None:
    if "cg" not in values:
        return
    place = across(values["cg"])
    words = f"centre of gravity {say(values['cg'])}"
    if {"cg_low", "cg_high"} <= set(values):
        ends = across(values["cg_low"]), across(values["cg_high"])
        add_line(root, (ends[0], AXIS), (ends[1], AXIS), "cg-interval", width=7)
        for end in ends:
            add_line(root, (end, AXIS - 14), (end, AXIS + 14), "cg-end", width=4)
        words += f" ± {say((values['cg_high'] - values['cg_low']) / 2)}"
    add_centre_of_gravity(root, (place, AXIS))
    add_words(root, (place, AXIS - HALF_BAND - 16), words, anchor=_anchor(place))


def _anchor(across: float) -> str:
    if across < WIDTH * 0.3:
        return "start"
    return "end" if across > WIDTH * 0.7 else "middle"
