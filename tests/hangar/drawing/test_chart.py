"""Charts: round ticks, curves to scale, and all of it in words. Arithmetic by hand."""

from xml.etree import ElementTree as Xml

import pytest

from builds.controls import set_up_of
from builds.drawing.throws import draw_throws, throw_points
from builds.figures import figures_of
from builds.figures.surfaces import surface_figures
from hangar.drawing.chart import Chart, Curve, Level, Scale, draw_chart
from tests.builds.controls.surfaces import ELEVON, elevon, wing

SVG = "{http://www.w3.org/2000/svg}"


@pytest.mark.parametrize(
    ("ends", "ticks"),
    [((-125, 125), (-100, -50, 0, 50, 100)), ((0, 1), (0, 0.2, 0.4, 0.6, 0.8, 1.0))],
)
def test_ticks_are_round(ends, ticks):
    assert tuple(Scale("x", *ends).ticks()) == pytest.approx(ticks)


def test_a_curve_is_to_scale_and_the_words_are_escaped():
    chart = Chart(
        kind="one",
        title="A < B",
        words="Rises.",
        across=Scale("x (m)", 0, 10),
        upward=Scale("y (m)", 0, 10),
        curves=[Curve("up", [(0, 0), (5, 5), (10, 10)])],
        levels=[Level("half", 5)],
    )
    root = Xml.fromstring(draw_chart(chart))
    assert root.find(f"{SVG}title").text == "A < B"
    (line,) = root.findall(f"{SVG}polyline")
    first, middle, last = (
        tuple(map(float, pair.split(","))) for pair in line.get("points").split()
    )
    assert middle == pytest.approx(((first[0] + last[0]) / 2, (first[1] + last[1]) / 2))
    (level,) = [one for one in root.findall(f"{SVG}line") if one.get("class") == "level"]
    assert float(level.get("y1")) == pytest.approx(middle[1])


def test_every_hole_has_a_curve_and_the_one_in_use_is_thick():
    found = set_up_of(wing(), ELEVON)
    root = Xml.fromstring(draw_throws(found))
    widths = [float(line.get("stroke-width")) for line in root.findall(f"{SVG}polyline")]
    assert widths == [3, 6, 3]


def test_a_curve_ends_where_the_linkage_does():
    setting = set_up_of(wing(elevon(arm_radius_mm=22.0)), elevon(arm_radius_mm=22.0)).setting
    whole, cut = throw_points(setting, 0.010), throw_points(setting, 0.022)
    assert (whole[0][0], whole[-1][0]) == (-125, 125)
    assert cut[-1][0] < 125


def test_no_chart_without_a_linkage():
    assert draw_throws(set_up_of(wing(travel_deg=None), ELEVON)) == ""


def test_the_curve_of_the_hole_in_use_passes_through_the_figures_of_full_travel():
    build = wing(elevon(throw_roll_mm=8.0))
    setting = set_up_of(build, build.surfaces[0]).setting
    points = dict(throw_points(setting, setting.arm))
    figures = surface_figures(build, build.surfaces[0], figures_of(build))
    assert points[100] == pytest.approx(figures["throw_up_mm"].value)
    assert -points[-100] == pytest.approx(figures["throw_down_mm"].value)


def test_the_axes_of_throw_and_travel_carry_their_units():
    words = [
        text.text
        for text in Xml.fromstring(draw_throws(set_up_of(wing(), ELEVON))).iter(f"{SVG}text")
    ]
    assert {"travel of the servo (%)", "throw, up (mm)"} <= set(words)
