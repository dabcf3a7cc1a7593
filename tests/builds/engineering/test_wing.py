"""Planform, mean chord and static margin."""

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from builds.engineering import wing
from builds.engineering.checks import OutOfRange
from builds.engineering.wing import Planform, Station


def straight_taper(span, root, tip, tip_behind, root_x):
    return wing.planform(
        stations=[Station(0, root_x, root), Station(span / 2, root_x + tip_behind, tip)]
    )


# Reference: geometry of aerosandbox 4.2.10 (Wing.area, aspect_ratio, mean_aerodynamic_chord),
# which gives the same digits. (area, aspect ratio, mean chord, its leading edge, quarter chord)
PLANFORMS = {
    "rectangle": ([(0, 0, 0.2), (0.5, 0, 0.2)], (0.2, 5.0, 0.2, 0.0, 0.05)),
    "swept back": (
        [(0, 0, 0.25), (0.45, 0.25, 0.13)],
        (0.1710, 4.736842, 0.196316, 0.111842, 0.160921),
    ),
    "swept forward": (
        [(0, 0.10, 0.22), (0.45, 0, 0.16)],
        (0.1710, 4.736842, 0.191579, 0.052632, 0.100526),
    ),
    "two panels forward": (
        [(0, 0.12, 0.26), (0.15, 0.09, 0.22), (0.5, 0, 0.12)],
        (0.1910, 5.235602, 0.199651, 0.070524, 0.120436),
    ),
    "cranked back": (
        [(0, 0, 0.35), (0.12, 0.10, 0.22), (0.5, 0.24, 0.12)],
        (0.1976, 5.060729, 0.214723, 0.122659, 0.176339),
    ),
}


@pytest.mark.parametrize(("sections", "expected"), PLANFORMS.values(), ids=PLANFORMS.keys())
def test_planform_matches_the_reference_program(sections, expected):
    result = wing.planform(stations=[Station(*section) for section in sections])
    quarter_chord = wing.x_at_percent_of_mean_chord(percent=25, wing=result)
    figures = (
        result.area,
        result.aspect_ratio,
        result.mean_chord,
        result.mean_chord_x,
        quarter_chord,
    )
    assert figures == pytest.approx(expected, abs=6e-7)


# Invented demo wings, mm: span, root, tip, tip leading edge behind the root's, root leading edge
# -> area dm2, mean chord mm, its leading edge mm (independent numerical solution).
@pytest.mark.parametrize(
    ("sizes_mm", "expected"),
    [
        ((640, 190, 110, 95, 60), (9.60, 153.6, 103.3)),
        ((900, 240, 150, 140, 70), (17.55, 198.5, 134.6)),
        ((1200, 210, 170, 15, 170), (22.80, 190.7, 177.2)),
    ],
)
def test_invented_demo_wings_have_their_figures(sizes_mm, expected):
    result = straight_taper(*(size / 1000 for size in sizes_mm))
    assert result.area * 100 == pytest.approx(expected[0], abs=0.005)
    assert result.mean_chord * 1000 == pytest.approx(expected[1], abs=0.05)
    assert result.mean_chord_x * 1000 == pytest.approx(expected[2], abs=0.05)


def test_tapered_wing_has_the_textbook_mean_chord_and_its_place():
    # Textbook closed forms (e.g. Raymer, Aircraft Design, wing geometry; from memory, not
    # verified): MAC = 2/3 c (1 + t + t2)/(1 + t); y = b/6 (1 + 2t)/(1 + t).
    taper, root, span = 0.6, 0.25, 1.4
    result = straight_taper(span, root, root * taper, 0.1, 0.0)
    assert result.mean_chord == pytest.approx(2 / 3 * root * (1 + taper + taper**2) / (1 + taper))
    assert result.mean_chord_y == pytest.approx(span / 6 * (1 + 2 * taper) / (1 + taper))


def test_delta_wing_has_two_thirds_of_the_root_as_mean_chord():
    # Geometry of a triangle, any textbook.
    assert straight_taper(1.0, 0.3, 0.0, 0.3, 0.0).mean_chord == pytest.approx(0.2)


def test_upright_tip_fin_adds_no_area():
    flat = [Station(0, 0, 0.2), Station(0.5, 0.1, 0.15)]
    with_fin = [*flat, Station(0.5, 0.2, 0.1, z=0.1)]
    assert wing.planform(stations=with_fin).area == wing.planform(stations=flat).area


def test_wing_outboard_of_a_fuselage_counts_no_carry_through():
    result = wing.planform(stations=[Station(0.05, 0, 0.2), Station(0.55, 0, 0.2)])
    assert result.area == pytest.approx(0.2)
    assert result.span == pytest.approx(1.1)


@pytest.mark.parametrize(
    ("stations", "message"),
    [
        ([Station(0, 0, 0.2)], "at least two stations"),
        ([Station(0, 0, 0.2), Station(0, 0, 0.2)], "station 2 lies at the same place"),
        ([Station(0, 0, 0.2), Station(0.5, 0, 0.2), Station(0.3, 0, 0.1)], "3 lies inboard"),
        ([Station(-0.1, 0, 0.2), Station(0.5, 0, 0.2)], "station 1: y must not be negative"),
        ([Station(0, 0, 0.2), Station(0.5, 0, -0.1)], "station 2: chord must not be negative"),
        ([Station(0, 0, 0.0), Station(0.5, 0, 0.1)], "station 1 has no chord"),
        ([Station(0, math.nan, 0.2), Station(0.5, 0, 0.1)], "station 1: x le must be a finite"),
        ([Station(0, 0, 0.2), Station(0, 0, 0.2, z=0.3)], "no area in plan"),
    ],
)
def test_impossible_stations_are_refused(stations, message):
    with pytest.raises(OutOfRange, match=message):
        wing.planform(stations=stations)


# Independent solution: neutral point 231.0 mm, mean chord 199.65 mm.
@pytest.mark.parametrize(("cg", "percent"), [(0.20607, 12.49), (0.21261, 9.21), (0.20972, 10.66)])
def test_static_margin_matches_an_independent_solution(cg, percent):
    margin = wing.static_margin(neutral_point=0.231, cg=cg, mean_chord=0.19965)
    assert 100 * margin == pytest.approx(percent, abs=0.006)


def test_margin_needs_a_chord():
    with pytest.raises(OutOfRange, match="mean chord must be more than 0"):
        wing.static_margin(neutral_point=0.2, cg=0.2, mean_chord=0)


@st.composite
def wings(draw):
    count = draw(st.integers(2, 5))
    stations, y = [], 0.0
    for _ in range(count):
        stations.append(Station(y, draw(st.floats(-0.5, 0.5)), draw(st.floats(0.05, 0.5))))
        y += draw(st.floats(0.05, 0.5))
    return stations


@given(wings())
def test_planform_equals_its_numerical_integrals(stations):
    def between(y, attribute):
        for inner, outer in zip(stations, stations[1:], strict=False):
            if y <= outer.y:
                share = (y - inner.y) / (outer.y - inner.y)
                a, b = getattr(inner, attribute), getattr(outer, attribute)
                return a + share * (b - a)
        return getattr(stations[-1], attribute)

    breaks = [station.y for station in stations]

    def integral(function):
        return sum(
            quad(function, low, high)[0] for low, high in zip(breaks, breaks[1:], strict=False)
        )

    area = integral(lambda y: between(y, "chord"))
    result = wing.planform(stations=stations)
    assert result.area == pytest.approx(2 * area)
    assert result.mean_chord == pytest.approx(integral(lambda y: between(y, "chord") ** 2) / area)
    assert result.mean_chord_x == pytest.approx(
        integral(lambda y: between(y, "x_le") * between(y, "chord")) / area, abs=1e-9
    )
    assert result.mean_chord_y == pytest.approx(integral(lambda y: y * between(y, "chord")) / area)


@given(wings(), st.floats(0.1, 10))
def test_scaled_wing_scales_its_figures(stations, scale):
    scaled = [Station(s.y * scale, s.x_le * scale, s.chord * scale) for s in stations]
    before, after = wing.planform(stations=stations), wing.planform(stations=scaled)
    assert after.area == pytest.approx(before.area * scale**2)
    assert after.mean_chord == pytest.approx(before.mean_chord * scale)
    assert after.aspect_ratio == pytest.approx(before.aspect_ratio)
    assert after.half_chord_slope == pytest.approx(before.half_chord_slope, abs=1e-9)


@given(wings(), st.floats(-1, 1))
def test_moving_the_datum_moves_only_the_place(stations, offset):
    moved = [replace(s, x_le=s.x_le + offset) for s in stations]
    before, after = wing.planform(stations=stations), wing.planform(stations=moved)
    assert after.mean_chord == before.mean_chord
    assert after.mean_chord_x == pytest.approx(before.mean_chord_x + offset, abs=1e-9)


@given(wings(), st.floats(0.05, 0.95))
def test_splitting_a_panel_changes_nothing(stations, share):
    a, b = stations[0], stations[1]
    between = Station(
        *(p + share * (q - p) for p, q in ((a.y, b.y), (a.x_le, b.x_le), (a.chord, b.chord)))
    )
    whole = wing.planform(stations=stations)
    split = wing.planform(stations=[a, between, *stations[1:]])
    for name in Planform.__dataclass_fields__:
        assert getattr(split, name) == pytest.approx(getattr(whole, name), abs=1e-9)


@given(st.floats(-1, 1), st.floats(0.01, 1), st.floats(-0.5, 0.5))
def test_balance_for_a_margin_has_that_margin(neutral_point, chord, margin):
    cg = wing.cg_for_static_margin(neutral_point=neutral_point, margin=margin, mean_chord=chord)
    back = wing.static_margin(neutral_point=neutral_point, cg=cg, mean_chord=chord)
    assert back == pytest.approx(margin, abs=1e-9)


@given(wings(), st.floats(-50, 150))
def test_percent_of_chord_and_its_inverse_agree(stations, percent):
    plan = wing.planform(stations=stations)
    x = wing.x_at_percent_of_mean_chord(percent=percent, wing=plan)
    assert wing.percent_of_mean_chord(x=x, wing=plan) == pytest.approx(percent, abs=1e-6)
