"""The drawings: to scale, readable without colour, and with nothing that a page must not take."""

import re
from itertools import combinations
from xml.etree import ElementTree as Xml

import pytest

from builds.drawing import draw_balance, draw_plan
from builds.figures import Figure, Unknown, figures_of
from builds.records import BuildSnapshot, PartRecord, PositionRecord, Value

SVG = "{http://www.w3.org/2000/svg}"
WING = (
    {"y_mm": 0.0, "leading_edge_x_mm": 60.0, "chord_mm": 190.0, "z_mm": 0.0},
    {"y_mm": 320.0, "leading_edge_x_mm": 155.0, "chord_mm": 110.0, "z_mm": 0.0},
)
LIMITS = {"cg_min_x_mm": 128.0, "cg_max_x_mm": 138.0, "cg_target_x_mm": 133.0}


def part(kind, number=1, **values):
    return PartRecord(number, f"CODE{number}", kind, f"{kind} {number}", values={
        name: Value(value, "weighed") for name, value in values.items() if value is not None
    })  # fmt: skip


def place(number, kind, x_mm=None, y_mm=0.0, fitted=None, **values):
    return PositionRecord(
        number, f"place-{number}", f"Place {number}", kind, x_mm=x_mm, y_mm=y_mm, part=fitted,
        **values,
    )  # fmt: skip


def wing(*more, stations=WING, **frame):
    values = {"mass_g": 158.0, "layout": "flying_wing", "wing_stations": stations} | frame
    frame_place = place(1, "airframe", 172.0, fitted=part("airframe", **values))
    return BuildSnapshot(1, "Wing", (frame_place, *more))


def quad():
    corners = [(-80.0, -80.0), (-80.0, 80.0), (80.0, -80.0), (80.0, 80.0)]
    motors = [
        place(number, "motor", x, y, part("motor", number, mass_g=30.0))
        for number, (x, y) in enumerate(corners, start=2)
    ]
    propeller = place(9, "propeller", fitted=part("propeller", 9, diameter_mm=130.0), quantity=4)
    frame = place(1, "airframe", 0.0, fitted=part("airframe", layout="multirotor", mass_g=100.0))
    return BuildSnapshot(1, "Cross", (frame, *motors, propeller))


def plan_of(snapshot):
    return Xml.fromstring(draw_plan(snapshot, figures_of(snapshot)).svg)


def of_class(root, name):
    return [one for one in root.iter() if one.get("class") == name]


def corners(polygon):
    return [tuple(map(float, pair.split(","))) for pair in polygon.get("points").split()]


def size(points):
    across, down = zip(*points, strict=True)
    return max(across) - min(across), max(down) - min(down)


def test_both_halves_of_the_wing_are_drawn_to_one_scale():
    wide, deep = size(corners(of_class(plan_of(wing()), "airframe")[0]))
    # From the stations: 2 x 320 mm across; from the root's leading edge at 60 mm to the tip's
    # trailing edge at 155 + 110 mm.
    assert wide / deep == pytest.approx(640.0 / 205.0, rel=1e-3)


def test_the_halves_mirror_each_other():
    points = corners(of_class(plan_of(wing()), "airframe")[0])
    assert {(round(1000.0 - across, 1), down) for across, down in points} == {
        (round(across, 1), down) for across, down in points
    }


def test_a_tail_is_drawn_too():
    tail = [{**station, "leading_edge_x_mm": 500.0, "chord_mm": 90.0} for station in WING]
    assert len(of_class(plan_of(wing(tail_stations=tail)), "airframe")) == 2


def test_a_part_right_of_the_middle_is_drawn_on_the_right_and_aft_is_down():
    servo = place(2, "servo", 200.0, 140.0, part("servo", 2, mass_g=9.0))
    receiver = place(3, "receiver", 100.0, 140.0, part("receiver", 3, mass_g=2.0))
    lower, upper = sorted(
        of_class(plan_of(wing(servo, receiver)), "marker"), key=lambda one: -float(one.get("cy"))
    )
    assert float(lower.get("cx")) == float(upper.get("cx")) > 500.0
    scale = 920.0 / 640.0
    assert float(lower.get("cy")) - float(upper.get("cy")) == pytest.approx(100.0 * scale, abs=0.2)


def test_a_body_is_drawn_in_its_own_size():
    pack = place(2, "pack", 66.0, 0.0, part("pack", 2, mass_g=155.0, length_mm=75.0, width_mm=35.0))
    body = of_class(plan_of(wing(pack)), "body")[0]
    ratio = float(body.get("height")) / float(body.get("width"))
    assert ratio == pytest.approx(75.0 / 35.0, rel=1e-2)


def test_numbers_stand_apart_where_parts_sit_close_together():
    crowd = [
        place(number, "hardware", 120.0 + number, 0.0, part("hardware", number, mass_g=1.0))
        for number in range(2, 9)
    ]
    places = [
        (float(one.get("cx")), float(one.get("cy")), float(one.get("r")))
        for one in of_class(plan_of(wing(*crowd)), "marker")
    ]
    assert len(places) == 7
    for (x1, y1, radius), (x2, y2, _) in combinations(places, 2):
        assert (x1 - x2) ** 2 + (y1 - y2) ** 2 >= (2 * radius) ** 2


def test_an_empty_position_is_drawn_with_a_broken_line():
    markers = of_class(plan_of(wing(place(2, "camera", 15.0))), "marker empty")
    assert [one.get("stroke-dasharray") for one in markers] == ["5 4"]


def test_a_position_without_a_place_is_listed_and_not_drawn():
    drawing = draw_plan(wing(place(2, "camera")), figures_of(wing()))
    assert [(one.number, one.is_drawn) for one in drawing.parts] == [(1, False)]
    assert not of_class(Xml.fromstring(drawing.svg), "marker empty")


def test_nothing_is_drawn_while_nothing_has_a_place():
    empty = BuildSnapshot(1, "Nothing yet", (place(1, "airframe"),))
    assert draw_plan(empty, figures_of(empty)).svg == ""


def test_the_centre_of_gravity_lies_at_its_place_and_its_bar_spans_the_interval():
    snapshot = wing(**LIMITS)
    cg = figures_of(snapshot)["cg_x_mm"]
    root = plan_of(snapshot)
    scale = 920.0 / 640.0
    plate = of_class(root, "plate")[0]
    assert float(plate.get("cy")) == pytest.approx(40.0 + (172.0 - 60.0) * scale, abs=0.1)
    bar = of_class(root, "cg-interval")[0]
    length = float(bar.get("y2")) - float(bar.get("y1"))
    assert length == pytest.approx((cg.high - cg.low) * scale, abs=0.2)


def test_the_allowed_range_is_a_band_to_scale():
    band = of_class(plan_of(wing(**LIMITS)), "cg-range")[0]
    assert float(band.get("height")) == pytest.approx(10.0 * 920.0 / 640.0, abs=0.1)


@pytest.mark.parametrize("name", ["cg-range", "cg_target_x_mm", "plate"])
def test_what_is_not_known_is_not_drawn(name):
    weightless = wing(mass_g=None)
    assert of_class(plan_of(weightless), name) == []


def test_a_multirotor_is_drawn_as_its_arms_with_a_disc_at_each_motor():
    root = plan_of(quad())
    assert len(of_class(root, "airframe")) == 4
    discs = of_class(root, "propeller")
    assert [one.tag for one in discs] == [f"{SVG}circle"] * 4
    height = float(root.get("viewBox").split()[3])
    assert all(float(one.get("cy")) + float(one.get("r")) <= height for one in discs)


def test_a_drawing_has_a_title_and_a_description_for_those_who_cannot_see_it():
    root = plan_of(wing(**LIMITS))
    ids = root.get("aria-labelledby").split()
    assert root.get("role") == "img"
    assert [root.find(f"{SVG}{tag}").get("id") for tag in ("title", "desc")] == ids
    assert "172 mm aft of the datum" in root.find(f"{SVG}desc").text


def drawings():
    named = wing(place(2, "motor", 258.0, 0.0, part("motor", 2, mass_g=30.0)), **LIMITS)
    yield draw_plan(named, figures_of(named)).svg
    yield draw_plan(quad(), figures_of(quad())).svg
    yield draw_balance(figures_of(named), str)


@pytest.mark.parametrize("svg", list(drawings()))
def test_drawings_hold_no_style_script_or_colour_of_their_own(svg):
    root = Xml.fromstring(svg)
    assert all(one.get("style") is None for one in root.iter())
    assert not {one.tag for one in root.iter()} & {f"{SVG}script", f"{SVG}style"}
    colours = {one.get(paint) for one in root.iter() for paint in ("fill", "stroke")}
    assert colours <= {None, "none", "currentColor"}


def test_a_name_with_markup_in_it_is_shown_as_it_was_written():
    snapshot = BuildSnapshot(1, "<b>&", wing().positions)
    svg = draw_plan(snapshot, figures_of(snapshot)).svg
    assert "<b>" not in svg
    assert Xml.fromstring(svg).find(f"{SVG}title").text == "<b>& from above"


def say(value_mm):
    return f"{value_mm:.1f} mm"


def figure(name, value, low=None, high=None):
    low = value if low is None else low
    return Figure(name, value, 0.0, low, value if high is None else high, "mm", (), "")


def balance(**values):
    names = ("cg_min_x_mm", "cg_max_x_mm", "cg_target_x_mm", "neutral_point_mm", "cg_x_mm")
    return {name: values.get(name, Unknown(name, "mm", ("mass",))) for name in names}


def test_the_balance_says_each_place_it_shows():
    svg = draw_balance(
        balance(
            cg_min_x_mm=figure("cg_min_x_mm", 128.0),
            cg_max_x_mm=figure("cg_max_x_mm", 138.0),
            cg_x_mm=figure("cg_x_mm", 134.0, 132.0, 136.0),
            neutral_point_mm=figure("neutral_point_mm", 146.0),
        ),
        say,
    )
    words = [one.text for one in Xml.fromstring(svg).iter(f"{SVG}text")]
    assert sorted(words) == [
        "128.0 mm",
        "138.0 mm",
        "centre of gravity 134.0 mm ± 2.0 mm",
        "neutral point 146.0 mm",
    ]


def test_the_balance_is_drawn_to_one_scale():
    svg = draw_balance(
        balance(
            cg_min_x_mm=figure("cg_min_x_mm", 120.0),
            cg_max_x_mm=figure("cg_max_x_mm", 140.0),
            cg_x_mm=figure("cg_x_mm", 125.0, 124.0, 126.0),
        ),
        say,
    )
    root = Xml.fromstring(svg)
    band, plate = of_class(root, "cg-range")[0], of_class(root, "plate")[0]
    share = (float(plate.get("cx")) - float(band.get("x"))) / float(band.get("width"))
    assert share == pytest.approx(0.25, abs=1e-3)


def test_a_target_alone_makes_no_balance():
    assert draw_balance(balance(cg_target_x_mm=figure("cg_target_x_mm", 133.0)), say) == ""


def test_a_page_takes_a_drawing_as_it_is():
    svg = draw_plan(wing(), figures_of(wing())).svg
    assert re.match(r"<svg ", svg.__html__())
