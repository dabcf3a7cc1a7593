"""The curves of the power page."""

from xml.etree import ElementTree as Xml

import pytest

from builds.drawing.power import draw_current, draw_endurance, draw_thrust
from builds.powering import power_report
from tests.builds.figures.drives import bench, small_wing

SVG = "{http://www.w3.org/2000/svg}"
REPORT = power_report(small_wing(cells=[4.1, 4.0, 4.2, 4.1]))


def texts(svg):
    return [text.text for text in Xml.fromstring(svg).iter(f"{SVG}text")]


def test_axes_carry_their_units():
    assert "thrust (g)" in texts(draw_thrust(REPORT))
    assert "pack (A)" in texts(draw_current(REPORT))
    assert {"power in cruise (W)", "minutes"} <= set(texts(draw_endurance(REPORT)))


def test_thrust_is_drawn_with_both_ends_of_its_range():
    lines = list(Xml.fromstring(draw_thrust(REPORT)).iter(f"{SVG}polyline"))
    assert len(lines) == 3


def test_words_say_the_curve_without_the_drawing():
    said = Xml.fromstring(draw_endurance(REPORT)).find(f"{SVG}desc").text
    assert "This build cruises at" in said


def test_nothing_is_drawn_of_what_is_not_known():
    empty = power_report(bench(changes={"motor": {"kv_rpm_v": None}}))
    assert (draw_thrust(empty), draw_endurance(empty)) == ("", "")


def test_curves_end_at_the_figures_of_full_throttle():
    last, figures = REPORT.over_duty[-1], REPORT.figures
    assert last.duty == 1.0
    assert last.current_a.value == pytest.approx(figures["current_max_a"].value)
    assert last.thrust_g.value == pytest.approx(figures["thrust_max_g"].value)
    assert f"{round(last.thrust_g.value, -1):.0f} at full throttle" in draw_thrust(REPORT)


def test_the_endurance_of_the_cruise_lies_on_the_curve():
    watts = REPORT.flight["flight_power_w"].value
    minutes = REPORT.flight["endurance_cruise_min"]
    below = max((p for p in REPORT.over_power if p.power_w <= watts), key=lambda p: p.power_w)
    above = min((p for p in REPORT.over_power if p.power_w >= watts), key=lambda p: p.power_w)
    assert above.minutes <= minutes.value <= below.minutes
    assert above.low_min <= minutes.low <= below.low_min
    assert above.high_min <= minutes.high <= below.high_min


def test_endurance_is_drawn_with_both_ends_of_its_range_and_the_cruise_marked():
    lines = list(Xml.fromstring(draw_endurance(REPORT)).iter(f"{SVG}polyline"))
    assert len(lines) == 4


def test_words_write_large_figures_out():
    assert "e+" not in draw_thrust(REPORT)
    assert f"to {round(REPORT.over_duty[-1].thrust_g.high, -1):.0f}." in draw_thrust(REPORT)
