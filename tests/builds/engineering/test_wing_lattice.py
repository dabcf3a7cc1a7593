"""The vortex lattice against published wings, closed forms and its own symmetries."""

import math
from dataclasses import replace

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from builds.engineering import wing
from builds.engineering.checks import OutOfRange
from builds.engineering.wing import Station, SurfaceLift

MAIN = (Station(0, 0.10, 0.2), Station(0.6, 0.125, 0.15))


def tail(z):
    return (Station(0, 0.70, 0.12, z), Station(0.22, 0.72, 0.10, z))


def point_of(*surfaces):
    lifts = wing.surface_lifts(surfaces=surfaces)
    return wing.neutral_point(lifts=lifts, pressure_ratios=[1.0] * len(lifts))


def with_each(stations, change):
    return [replace(one, **change(one)) for one in stations]


def slope_of(half):
    (lift,) = wing.surface_lifts(surfaces=[half])
    return lift.per_angle / wing.planform(stations=half).area


def percent_of(half):
    return wing.percent_of_mean_chord(x=point_of(half), wing=wing.planform(stations=half))


def test_four_panels_a_half_give_the_worked_example():
    # Bertin, Aerodynamics for Engineers, example 7.2 (the place was read in public code, the value
    # is from memory, not verified): 45 degrees, aspect ratio 5, constant chord, 1.096 pi per rad.
    swept = [Station(0, 0, 0.2), Station(0.5, 0.5, 0.2)]
    (lift,) = wing.lattice_lifts(surfaces=[swept], strips=4, rows=1)
    assert lift.per_angle / 0.2 == pytest.approx(1.096 * math.pi, rel=1e-3)


def test_a_tapered_swept_wing_has_its_published_derivatives():
    # The wing known as Warren 12, values as public test code gives them: 2.743 and -3.10 per rad,
    # about the apex over a chord of 1; chords 1.5 and 0.5, half span sqrt 2, sweep 53.54 degrees.
    half_span = math.sqrt(2)
    behind = half_span * math.tan(math.radians(53.54))
    (lift,) = wing.surface_lifts(surfaces=[[Station(0, 0, 1.5), Station(half_span, behind, 0.5)]])
    slope = lift.per_angle / (2 * half_span)
    assert slope == pytest.approx(2.743, rel=0.005)
    assert -slope * lift.x == pytest.approx(-3.10, rel=0.01)


def test_a_square_plate_lifts_what_the_exact_theory_says():
    # Tuck, Some accurate solutions of the lifting surface integral equation, J. Austral. Math.
    # Soc. B 35 (1993): 1.4602 per rad (from memory, not verified).
    assert slope_of([Station(0, 0, 1.0), Station(0.5, 0, 1.0)]) == pytest.approx(1.4602, rel=0.005)


@pytest.mark.parametrize("span", [0.8, 1.2, 2.0])
def test_a_slender_plank_nears_the_elliptic_wing_and_the_quarter_chord(span):
    # Lifting-line theory, elliptic load: 2 pi A / (A + 2); a rectangle lifts a little less, a
    # chord that is no line a little less again.
    plank = [Station(0, 0, 0.1), Station(span / 2, 0, 0.1)]
    elliptic = 2 * math.pi * (span / 0.1) / (span / 0.1 + 2)
    assert 0.9 * elliptic < slope_of(plank) < elliptic
    assert 24 < percent_of(plank) < 25


@pytest.mark.parametrize("half", [MAIN, tail(0)])
def test_lift_slope_is_near_the_closed_form(half):
    # 2 pi A / (2 + sqrt(4 + A2 (1 + tan2 half-chord sweep))), USAF DATCOM 4.1.3.2 (from memory,
    # not verified).
    plan = wing.planform(stations=half)
    root = math.sqrt(4 + plan.aspect_ratio**2 * (1 + plan.half_chord_slope**2))
    closed = 2 * math.pi * plan.aspect_ratio / (2 + root)
    assert slope_of(half) == pytest.approx(closed, rel=0.07)


def test_wing_and_tail_are_near_the_textbook_balance():
    # (x_w + k x_t)/(1 + k), Etkin & Reid, Dynamics of Flight, 2.3 (from memory, not verified) with
    # slopes of aerosandbox 4.2.10 and de/da = 2 a / (pi A) is 57.46 % of the mean chord. That
    # downwash is the one far behind in the plane of the wing; its short form would give 61 %.
    plan = wing.planform(stations=MAIN)
    place = wing.percent_of_mean_chord(x=point_of(MAIN, tail(0.0)), wing=plan)
    assert place == pytest.approx(57.46, abs=2)


def test_a_higher_tail_leaves_the_downwash():
    places = [point_of(MAIN, tail(z)) for z in (0.02, 0.05, 0.10, 0.30)]
    assert places == sorted(places)


def test_a_tail_far_away_lifts_as_if_alone_but_for_the_wake():
    # Far above there is no downwash, so the lifts are those of both alone.
    far = tail(50.0)
    _, lift = wing.surface_lifts(surfaces=[MAIN, far])
    (alone,) = wing.surface_lifts(surfaces=[far])
    assert lift.per_angle == pytest.approx(alone.per_angle, rel=0.01)


def test_a_foreplane_moves_the_neutral_point_forward():
    foreplane = [Station(0, -0.3, 0.1, 0.03), Station(0.2, -0.28, 0.08, 0.03)]
    assert point_of(MAIN, foreplane) < point_of(MAIN)


def test_less_pressure_at_the_tail_moves_the_neutral_point_forward():
    lifts = wing.surface_lifts(surfaces=[MAIN, tail(0.05)])
    full, less = (wing.neutral_point(lifts=lifts, pressure_ratios=[1.0, n]) for n in (1.0, 0.9))
    assert less < full


@pytest.mark.parametrize(
    "surfaces",
    [
        [[Station(0, 0, 0.25), Station(0.45, 0.25, 0.13)]],
        [[Station(0, 0.12, 0.26), Station(0.15, 0.09, 0.22), Station(0.5, 0, 0.12)]],
        [[Station(0, 0.07, 0.24), Station(0.45, 0.21, 0.15)]],
        [[Station(0, 0, 0.5), Station(0.4, 0.4, 0.05)]],
        [MAIN, tail(0.05)],
    ],
)
def test_a_much_finer_lattice_changes_little(surfaces):
    places = [
        wing.neutral_point(lifts=lifts, pressure_ratios=[1.0] * len(lifts))
        for lifts in (
            wing.surface_lifts(surfaces=surfaces),
            *(
                wing.lattice_lifts(surfaces=surfaces, strips=24, rows=6, halvings=halvings)
                for halvings in (0, 1)
            ),
        )
    ]
    chosen, coarse, fine = places
    chord = wing.planform(stations=surfaces[0]).mean_chord
    assert chosen == pytest.approx(2 * fine - coarse, abs=0.002 * chord)


def test_a_root_beside_the_fuselage_is_carried_on_to_the_middle():
    beside = [Station(0.05, 0, 0.2), Station(0.5, 0, 0.2)]
    through = [Station(0, 0, 0.2), *beside]
    assert wing.surface_lifts(surfaces=[beside]) == wing.surface_lifts(surfaces=[through])


def test_dihedral_costs_lift_with_the_square_of_its_cosine():
    # Air meets a panel at the angle of attack times the cosine of its dihedral, and what it lifts
    # is tilted by as much again.
    rise = math.radians(10)
    flat = [Station(0, 0, 0.2), Station(0.6, 0, 0.2)]
    raised = [flat[0], Station(0.6 * math.cos(rise), 0, 0.2, 0.6 * math.sin(rise))]
    (lift,), (less,) = (wing.surface_lifts(surfaces=[half]) for half in (flat, raised))
    assert less.per_angle / lift.per_angle == pytest.approx(math.cos(rise) ** 2, rel=0.01)


@st.composite
def halves(draw):
    """One half of a wing of one to four panels, within the range of the lattice."""
    x_le, chord = draw(st.floats(-0.5, 0.5)), draw(st.floats(0.1, 0.4))
    stations = [Station(0, x_le, chord, draw(st.floats(-0.1, 0.1)))]
    for _ in range(draw(st.integers(1, 4))):
        last, width = stations[-1], draw(st.floats(0.1, 0.4))
        stations.append(
            Station(
                last.y + width,
                last.x_le + width * draw(st.floats(-0.7, 1.0)),
                last.chord * draw(st.floats(0.5, 1.1)),
                last.z + width * draw(st.floats(-0.3, 0.5)),
            )
        )
    plan = wing.planform(stations=stations)
    assume(1 <= plan.aspect_ratio <= 40 and abs(plan.half_chord_slope) <= 1.7)
    return stations


@given(halves())
def test_every_wing_in_range_has_a_neutral_point_on_itself(stations):
    lift = wing.surface_lifts(surfaces=[stations])[0]
    assert 0 < slope_of(stations) < 2 * math.pi
    assert min(s.x_le for s in stations) < lift.x < max(s.x_le + s.chord for s in stations)


@given(halves(), st.floats(0.01, 50))
def test_a_larger_wing_has_its_neutral_point_in_proportion_and_the_same_slope(stations, scale):
    def grown(one):
        return {n: getattr(one, n) * scale for n in ("y", "x_le", "chord", "z")}

    larger = with_each(stations, grown)
    assert point_of(larger) == pytest.approx(scale * point_of(stations), rel=1e-6, abs=1e-6 * scale)
    assert slope_of(larger) == pytest.approx(slope_of(stations), rel=1e-6)


@given(halves(), st.floats(-1, 1), st.floats(-1, 1))
def test_moving_the_datum_moves_only_the_place(stations, aft, up):
    moved = with_each(stations, lambda one: {"x_le": one.x_le + aft, "z": one.z + up})
    assert point_of(moved) == pytest.approx(point_of(stations) + aft, abs=1e-8)
    assert slope_of(moved) == pytest.approx(slope_of(stations), rel=1e-8)


@given(halves())
def test_a_wing_upside_down_balances_the_same(stations):
    turned = with_each(stations, lambda one: {"z": -one.z})
    assert point_of(turned) == pytest.approx(point_of(stations), abs=1e-9)
    assert slope_of(turned) == pytest.approx(slope_of(stations), rel=1e-9)


@given(halves(), st.floats(0.05, 0.3))
def test_sweep_aft_moves_the_neutral_point_aft(stations, slope):
    swept = with_each(stations, lambda one: {"x_le": one.x_le + slope * one.y})
    plan = wing.planform(stations=swept)
    assume(plan.half_chord_slope <= 1.7)
    assert point_of(swept) > point_of(stations)


@given(halves(), halves())
def test_the_order_of_the_surfaces_does_not_matter(stations, others):
    above = with_each(others, lambda one: {"z": one.z + 5, "x_le": one.x_le + 2})
    first = wing.surface_lifts(surfaces=[stations, above])
    second = wing.surface_lifts(surfaces=[above, stations])
    for one, same in zip(first, reversed(second), strict=True):
        assert one.per_angle == pytest.approx(same.per_angle, rel=1e-9)
        assert one.x == pytest.approx(same.x, abs=1e-9)


@given(halves(), st.floats(0.1, 0.9))
def test_a_station_more_on_a_straight_edge_changes_little(stations, share):
    a, b = stations[:2]
    between = Station(
        *(p + share * (q - p) for p, q in ((a.y, b.y), (a.x_le, b.x_le), (a.chord, b.chord))),
        a.z + share * (b.z - a.z),
    )
    chord = wing.planform(stations=stations).mean_chord
    assert point_of([a, between, *stations[1:]]) == pytest.approx(
        point_of(stations), abs=0.02 * chord
    )


@pytest.mark.parametrize(
    ("surfaces", "message"),
    [
        ([], "at least one surface"),
        ([[Station(0, 0, 0.2)]], "at least two stations"),
        ([[Station(0, 0, 0.2), Station(0.05, 0, 0.2)]], "aspect ratio must be from 1 to 40"),
        ([[Station(0, 0, 0.02), Station(0.9, 0, 0.02)]], "aspect ratio must be from 1 to 40"),
        ([[Station(0, 0, 0.2), Station(0.5, 1.0, 0.2)]], "tangent of the sweep"),
        ([[*MAIN, Station(0.6, 0.2, 0.1, 0.1)]], "no upright panel"),
        ([MAIN, MAIN], "surfaces run through each other"),
        ([MAIN, with_each(MAIN, lambda one: {"x_le": one.x_le + 0.1})], "through each other"),
        ([MAIN, with_each(MAIN, lambda one: {"z": 0.5 * one.y - 0.1})], "through each other"),
        ([[Station(0, math.nan, 0.2), Station(0.5, 0, 0.2)]], "x le must be a finite"),
        ([[]], "at least two stations"),
    ],
)
def test_what_the_lattice_cannot_judge_is_refused_in_words(surfaces, message):
    with pytest.raises(OutOfRange, match=message):
        wing.surface_lifts(surfaces=surfaces)


@pytest.mark.parametrize(
    ("lifts", "ratios", "message"),
    [
        ([], [], "at least one lifting surface"),
        ([SurfaceLift(-1.0, 0.1)], [1.0], "lift per angle must be more than 0"),
        ([SurfaceLift(1.0, math.inf)], [1.0], "place of the lift must be a finite"),
        ([SurfaceLift(1.0, 0.1)], [0.0], "pressure ratio must be more than 0"),
        ([SurfaceLift(1.0, 0.1)], [1.6], "pressure ratio must be from 0 to 1.5"),
    ],
)
def test_lift_that_cannot_be_is_refused(lifts, ratios, message):
    with pytest.raises(OutOfRange, match=message):
        wing.neutral_point(lifts=lifts, pressure_ratios=ratios)


@given(st.floats(0.5, 1), st.floats(0.01, 1), st.floats(0.3, 2))
def test_neutral_point_of_two_lifts_divides_their_distance(ratio, lift, arm):
    # Law of the lever.
    lifts = [SurfaceLift(1.0, 0.1), SurfaceLift(lift, 0.1 + arm)]
    place = wing.neutral_point(lifts=lifts, pressure_ratios=[1.0, ratio])
    assert place - 0.1 == pytest.approx(ratio * lift * (0.1 + arm - place))
