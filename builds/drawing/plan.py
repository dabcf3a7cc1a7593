"""A build drawn to scale from above, nose up."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from xml.etree import ElementTree as Xml

from builds.figures import Figure, Unknown
from builds.records import BuildSnapshot, PartRecord, PositionRecord
from hangar.drawing.paper import (
    EDGE,
    WIDTH,
    Point,
    Svg,
    add,
    add_area,
    add_centre_of_gravity,
    add_line,
    add_words,
    sheet_of_paper,
    text_of,
)

HEIGHT_MOST = 900.0
MARKER_RADIUS = 25.0
MARKER_STEPS = 12
SMALLEST_SIDE_MM = 50.0
"""Nothing is drawn larger than if it were this size, so that a half-known build stays readable."""
BAND_HALF_WIDTH = 110.0
MARKED = ("cg_x_mm", "cg_min_x_mm", "cg_max_x_mm", "cg_target_x_mm", "neutral_point_mm")

AnyFigures = Mapping[str, Figure | Unknown]


@dataclass(frozen=True)
class DrawnPart:
    """One line of the table behind the drawing; `is_drawn` is false without x."""

    number: int
    position: PositionRecord
    is_drawn: bool


@dataclass(frozen=True)
class PlanDrawing:
    """The drawing as SVG text, empty when nothing has a place yet, and the parts by number."""

    svg: Svg
    parts: tuple[DrawnPart, ...]


@dataclass(frozen=True)
class Scale:
    """Where a place of the aircraft [mm] lies on the paper: y to the right, x aft, down."""

    per_mm: float
    top_mm: float

    def at(self, x_mm: float, y_mm: float) -> Point:
        """Horizontal and vertical place on the paper."""
        return WIDTH / 2 + y_mm * self.per_mm, EDGE + (x_mm - self.top_mm) * self.per_mm


def draw_plan(snapshot: BuildSnapshot, figures: AnyFigures) -> PlanDrawing:
    """Draw wing or frame, parts at their places, centre of gravity, its range and neutral point."""
    parts = _numbered(snapshot)
    outlines = _outlines(snapshot)
    discs, is_flat = _propellers(snapshot), bool(_rotors(snapshot))
    places = [_place(part.position) for part in parts if part.is_drawn]
    points = [
        *places,
        *(point for line in outlines for point in line),
        *_rims(discs, is_flat=is_flat),
    ]
    if not points:
        return PlanDrawing(Svg(), parts)
    points += [(one.value, 0.0) for one in map(figures.get, MARKED) if isinstance(one, Figure)]
    scale, height = _scale(points)
    title = f"{snapshot.name} from above"
    root = sheet_of_paper("plan", height, title, _words(parts, figures))
    for line in outlines:
        add_area(root, [scale.at(x, y) for x, y in line], "airframe")
    for x_mm, y_mm, radius_mm in discs:
        _disc(root, scale, (x_mm, y_mm), radius_mm, is_flat=is_flat)
    _range(root, scale, figures)
    _parts(root, scale, parts, figures)
    _centre(root, scale, figures)
    return PlanDrawing(text_of(root), parts)


def _numbered(snapshot: BuildSnapshot) -> tuple[DrawnPart, ...]:
    shown = [position for position in snapshot.positions if position.kind != "airframe"]
    return tuple(
        DrawnPart(number, position, position.x_mm is not None)
        for number, position in enumerate(shown, start=1)
    )


def _place(position: PositionRecord) -> Point:
    return position.x_mm or 0.0, position.y_mm or 0.0


def _outlines(snapshot: BuildSnapshot) -> list[list[Point]]:
    """Closed lines as (x, y) [mm]: both halves of wing and tail, or the arms of a multirotor."""
    airframe = snapshot.airframe
    if airframe is None:
        return []
    surfaces = [airframe.get(name, ()) for name in ("wing_stations", "tail_stations")]
    drawn = [_both_halves(stations) for stations in surfaces if stations]
    return drawn or _arms(_rotors(snapshot))


def _both_halves(stations: Sequence[Mapping[str, float]]) -> list[Point]:
    front = [(station["leading_edge_x_mm"], station["y_mm"]) for station in stations]
    back = [(x + station["chord_mm"], y) for (x, y), station in zip(front, stations, strict=True)]
    right = [*front, *reversed(back)]
    left = [(x, -y) for x, y in reversed(right)]
    return [*right, *left]


def _rotors(snapshot: BuildSnapshot) -> list[PositionRecord]:
    """Motor positions of an aircraft that hangs on its propellers."""
    airframe = snapshot.airframe
    if airframe is None or airframe.get("layout") != "multirotor":
        return []
    return [p for p in snapshot.positions if p.kind == "motor" and p.x_mm is not None]


def _arms(rotors: Sequence[PositionRecord]) -> list[list[Point]]:
    if not rotors:
        return []
    places = [_place(rotor) for rotor in rotors]
    middle = (sum(x for x, _ in places) / len(places), sum(y for _, y in places) / len(places))
    return [[middle, place] for place in places]


def _propellers(snapshot: BuildSnapshot) -> list[tuple[float, float, float]]:
    """Middle and radius [mm] of each propeller: at the motors of a multirotor, else its own."""
    sized = [p for p in snapshot.fitted("propeller") if p.part and p.part.get("diameter_mm")]
    places = _rotors(snapshot) if sized else []
    if places:
        radius_mm = _radius_mm(sized[0])
        return [(*_place(place), radius_mm) for place in places]
    return [(*_place(p), _radius_mm(p)) for p in sized if p.x_mm is not None]


def _radius_mm(position: PositionRecord) -> float:
    return float(position.part.get("diameter_mm")) / 2 if position.part else 0.0


def _rims(discs: Iterable[tuple[float, float, float]], *, is_flat: bool) -> list[Point]:
    depth = 1.0 if is_flat else 0.0
    return [
        point
        for x, y, radius in discs
        for point in ((x - depth * radius, y - radius), (x + depth * radius, y + radius))
    ]


def _scale(points: Sequence[Point]) -> tuple[Scale, float]:
    """Scale that fits all points on the paper, and the height this takes."""
    xs, ys = [x for x, _ in points], [y for _, y in points]
    half_mm = max(SMALLEST_SIDE_MM / 2, *(abs(y) for y in ys))
    length_mm = max(SMALLEST_SIDE_MM, max(xs) - min(xs))
    per_mm = min((WIDTH - 2 * EDGE) / (2 * half_mm), (HEIGHT_MOST - 2 * EDGE) / length_mm)
    return Scale(per_mm, min(xs)), 2 * EDGE + length_mm * per_mm


def _words(parts: Sequence[DrawnPart], figures: AnyFigures) -> str:
    drawn = sum(part.is_drawn for part in parts)
    cg = figures["cg_x_mm"]
    where = f"{cg.value:.0f} mm aft of the datum" if isinstance(cg, Figure) else "not known"
    return (
        f"Nose up, to scale. {drawn} of {len(parts)} positions have a place."
        f" Centre of gravity: {where}. The table after the drawing gives every place."
    )


def _disc(
    root: Xml.Element, scale: Scale, middle: Point, radius_mm: float, *, is_flat: bool
) -> None:
    """A propeller from above: a circle when it lies flat, else a line across."""
    across, down = scale.at(*middle)
    radius = radius_mm * scale.per_mm
    if is_flat:
        add(root, "circle", "propeller", cx=across, cy=down, r=radius, stroke_dasharray="8 6")
        return
    add_line(root, (across - radius, down), (across + radius, down), "propeller", dashes="8 6")


def _range(root: Xml.Element, scale: Scale, figures: AnyFigures) -> None:
    """The allowed range as a band, the target and the neutral point as lines across it."""
    left, right = WIDTH / 2 - BAND_HALF_WIDTH, WIDTH / 2 + BAND_HALF_WIDTH
    low, high = figures["cg_min_x_mm"], figures["cg_max_x_mm"]
    if isinstance(low, Figure) and isinstance(high, Figure) and low.value < high.value:
        top, bottom = scale.at(low.value, 0)[1], scale.at(high.value, 0)[1]
        add(
            root, "rect", "cg-range", x=left, y=top, width=right - left, height=bottom - top,
            fill="currentColor", fill_opacity="0.2",
        )  # fmt: skip
    for name, dashes in (("cg_target_x_mm", "10 6"), ("neutral_point_mm", "3 7")):
        figure = figures[name]
        if isinstance(figure, Figure):
            down = scale.at(figure.value, 0)[1]
            add_line(root, (left, down), (right, down), name, dashes=dashes)


def _centre(root: Xml.Element, scale: Scale, figures: AnyFigures) -> None:
    """The centre of gravity and its 95 % interval along x."""
    cg, place = figures["cg_x_mm"], _centre_place(scale, figures)
    if not isinstance(cg, Figure) or place is None:
        return
    if cg.low is not None and cg.high is not None:
        ends = [(place[0], scale.at(end, 0.0)[1]) for end in (cg.low, cg.high)]
        add_line(root, ends[0], ends[1], "cg-interval", width=6)
    add_centre_of_gravity(root, place)


def _centre_place(scale: Scale, figures: AnyFigures) -> Point | None:
    cg, side = figures["cg_x_mm"], figures["cg_y_mm"]
    if not isinstance(cg, Figure):
        return None
    return scale.at(cg.value, side.value if isinstance(side, Figure) else 0.0)


def _parts(
    root: Xml.Element, scale: Scale, parts: Sequence[DrawnPart], figures: AnyFigures
) -> None:
    """Each part's body to scale where its size is known, and its number at or beside its place."""
    drawn = [part for part in parts if part.is_drawn]
    for part in drawn:
        _body(root, scale, part.position)
    taken = [place for place in (_centre_place(scale, figures),) if place]
    markers: list[tuple[DrawnPart, Point]] = []
    for part in sorted(drawn, key=lambda one: _place(one.position)):
        place = scale.at(*_place(part.position))
        marker = _free_place(place, taken)
        taken.append(marker)
        markers.append((part, marker))
        if marker != place:
            add_line(root, place, marker, "leader", width=1.5)
            add(root, "circle", "spot", cx=place[0], cy=place[1], r=5, fill="currentColor")
    # Numbers last, so that no leader crosses them.
    for part, marker in markers:
        _marker(root, part, marker)


def _marker(root: Xml.Element, part: DrawnPart, place: Point) -> None:
    name, dashes = ("marker", "none") if part.position.part else ("marker empty", "5 4")
    add(
        root, "circle", name, cx=place[0], cy=place[1], r=MARKER_RADIUS, stroke_dasharray=dashes
    )  # fmt: skip
    add_words(root, (place[0], place[1] + 11), str(part.number))


def _body(root: Xml.Element, scale: Scale, position: PositionRecord) -> None:
    part: PartRecord | None = position.part
    if part is None or position.kind == "propeller":
        return
    length_mm, width_mm = part.get("length_mm"), part.get("width_mm")
    if not length_mm or not width_mm:
        return
    across, down = scale.at(*_place(position))
    wide, long = width_mm * scale.per_mm, length_mm * scale.per_mm
    add(root, "rect", "body", x=across - wide / 2, y=down - long / 2, width=wide, height=long)


def _free_place(place: Point, taken: Sequence[Point]) -> Point:
    """The place itself, else the nearest one to its right or left where no number stands."""
    for step in range(MARKER_STEPS):
        for side in (1, -1):
            moved = (place[0] + side * step * 2.2 * MARKER_RADIUS, place[1])
            is_inside = MARKER_RADIUS <= moved[0] <= WIDTH - MARKER_RADIUS
            if is_inside and all(_is_apart(moved, other) for other in taken):
                return moved
    return place


def _is_apart(one: Point, other: Point) -> bool:
    return (one[0] - other[0]) ** 2 + (one[1] - other[1]) ** 2 >= (2.1 * MARKER_RADIUS) ** 2
