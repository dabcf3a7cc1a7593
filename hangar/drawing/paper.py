"""The few marks that the drawings are made of, as SVG elements."""

from __future__ import annotations

from collections.abc import Iterable
from xml.etree import ElementTree as Xml

WIDTH = 1000.0
EDGE = 40.0
CG_RADIUS = 16.0

Point = tuple[float, float]


class Svg(str):
    """The text of a drawing, which a page template takes as it is."""

    def __html__(self) -> str:
        return str(self)


def sheet_of_paper(kind: str, height: float, title: str, words: str) -> Xml.Element:
    """An empty drawing with its title and description; `kind` is its class."""
    root = Xml.Element(
        "svg",
        {
            "xmlns": "http://www.w3.org/2000/svg",
            "viewBox": f"0 0 {WIDTH:g} {height:.0f}",
            "class": f"drawing {kind}",
            "role": "img",
            "aria-labelledby": f"{kind}-title {kind}-desc",
            "fill": "none",
            "stroke": "currentColor",
            "stroke-width": "2",
        },
    )
    Xml.SubElement(root, "title", {"id": f"{kind}-title"}).text = title
    Xml.SubElement(root, "desc", {"id": f"{kind}-desc"}).text = words
    return root


def text_of(root: Xml.Element) -> Svg:
    """The drawing as text to put into a page; all that people wrote is escaped."""
    return Svg(Xml.tostring(root, encoding="unicode"))


def add(root: Xml.Element, tag: str, name: str, **attributes: float | str) -> None:
    """Add a mark of a class; a low line in an attribute's name stands for a hyphen."""
    written = {
        key.replace("_", "-"): value if isinstance(value, str) else f"{value:.1f}"
        for key, value in attributes.items()
    }
    Xml.SubElement(root, tag, {"class": name, **written})


def add_line(
    root: Xml.Element, begin: Point, end: Point, name: str, *, dashes: str = "", width: float = 2.5
) -> None:
    """Add a straight line."""
    extra = {"stroke_dasharray": dashes} if dashes else {}
    add(
        root, "line", name, x1=begin[0], y1=begin[1], x2=end[0], y2=end[1],
        stroke_width=width, **extra,
    )  # fmt: skip


def add_area(root: Xml.Element, points: Iterable[Point], name: str) -> None:
    """Add a closed outline, faintly filled."""
    drawn = " ".join(f"{across:.1f},{down:.1f}" for across, down in points)
    add(
        root, "polygon", name, points=drawn, fill="currentColor", fill_opacity="0.06",
        stroke_width="3", stroke_linejoin="round",
    )  # fmt: skip


def add_words(root: Xml.Element, place: Point, words: str, *, anchor: str = "middle") -> None:
    """Add a line of text."""
    attributes = {
        "x": f"{place[0]:.1f}",
        "y": f"{place[1]:.1f}",
        "text-anchor": anchor,
        "fill": "currentColor",
        "stroke": "none",
        "font-size": "34",
    }
    Xml.SubElement(root, "text", attributes).text = words


def add_centre_of_gravity(root: Xml.Element, place: Point) -> None:
    """Add the quartered circle that marks a centre of gravity."""
    across, down = place
    group = Xml.SubElement(root, "g", {"class": "cg"})
    add(group, "circle", "plate", cx=across, cy=down, r=CG_RADIUS)
    for start, turn in (((0, -1), (1, 1)), ((0, 1), (-1, -1))):
        path = (
            f"M{across:.1f},{down:.1f}l{start[0] * CG_RADIUS:g},{start[1] * CG_RADIUS:g}"
            f"a{CG_RADIUS:g},{CG_RADIUS:g} 0 0 1"
            f" {turn[0] * CG_RADIUS:g},{turn[1] * CG_RADIUS:g}z"
        )
        add(group, "path", "quarter", d=path, fill="currentColor", stroke="none")
