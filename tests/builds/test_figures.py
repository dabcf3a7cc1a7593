"""Figures of a build, made from plain records."""

import json
from datetime import UTC, datetime
from itertools import count

import pytest
from hypothesis import given
from hypothesis import strategies as st

from builds.figures import MAKERS, figures_of
from builds.findings import words_of
from builds.records import BuildSnapshot, PartRecord, PositionRecord, Value

ROUNDED_TO_A_TENTH = 0.051
NUMBERS = count(1)
WEIGHED_AT = datetime(2025, 3, 1, 9, 30, tzinfo=UTC)


def fitted(kind, name, mass_g, x_mm, *, quantity=1, values=None, **place):
    """One position with a part in it; the mass is weighed unless it comes as a Value."""
    known = {
        key: one if isinstance(one, Value) else Value(one) for key, one in (values or {}).items()
    }
    if mass_g is not None:
        is_value = isinstance(mass_g, Value)
        known["mass_g"] = mass_g if is_value else Value(mass_g, "weighed", None, WEIGHED_AT)
    key = next(NUMBERS)
    part = PartRecord(id=key, code=f"C{key}", kind=kind, name=name, values=known)
    return PositionRecord(
        id=key,
        key=f"p{key}",
        name=kind.replace("_", " ").capitalize(),
        kind=kind,
        x_mm=x_mm,
        part=part,
        quantity=quantity,
        **place,
    )


def empty(kind, **values):
    return PositionRecord(id=0, key=kind, name=kind.capitalize(), kind=kind, **values)


def build(*positions, **values):
    return BuildSnapshot(id=1, name="Build", positions=positions, **values)


def figure(name, *positions, **values):
    return figures_of(build(*positions, **values))[name]


def weighed_to(mass_g, uncertainty_g):
    return Value(mass_g, "weighed", uncertainty_g, WEIGHED_AT)


def stations(*rows):
    return [
        dict(zip(("y_mm", "leading_edge_x_mm", "chord_mm", "z_mm"), row, strict=True))
        for row in rows
    ]


# Mass


def test_aircraft_without_pack_and_its_pack_add_up():
    # Common practice, no source: 399 g without pack and a pack of 182 g make 581 g.
    figures = figures_of(
        build(fitted("airframe", "Wing", 399, 150), fitted("pack", "Pack", 182, 60))
    )
    assert figures["empty_g"].value == pytest.approx(399)
    assert figures["auw_g"].value == pytest.approx(581)


def test_quantity_multiplies_the_mass_of_one_piece():
    assert figure("auw_g", fitted("propeller", "Blade", 4.5, 0, quantity=4)).value == 18


def test_light_part_on_a_kitchen_scale_has_a_rectangular_limit():
    # JCGM 100:2008, 4.3.7, equation (7): a limit of 0.1 g is 0.1 g / sqrt(3).
    assert figure("auw_g", fitted("servo", "S", 9.6, 0)).uncertainty == pytest.approx(0.0577350)


def test_heavy_part_on_a_kitchen_scale_has_the_wider_limit():
    # JCGM 100:2008, 4.3.7, equation (7): a limit of 1 g is 1 g / sqrt(3).
    assert figure("auw_g", fitted("pack", "P", 292, 0)).uncertainty == pytest.approx(0.577350)


def test_parts_weighed_on_one_scale_share_its_error():
    # JCGM 100:2008, 5.2.2, example: ten resistors of 1000 ohm compared with one standard of
    # u = 100 mohm give 10 kohm with u = 1 ohm, and not 0.32 ohm. Here in grams.
    parts = [fitted("hardware", "Weight", weighed_to(1000, 0.1), 0) for _ in range(10)]
    total = figure("auw_g", *parts)
    assert total.value == pytest.approx(10_000)
    assert total.uncertainty == pytest.approx(1.0)


def test_masses_from_sheets_are_independent_of_each_other():
    # JCGM 100:2008, 5.2.2, example: uncorrelated, the same ten would give 0.32.
    parts = [fitted("hardware", "W", Value(1000, "sheet", 0.1), 0) for _ in range(10)]
    assert figure("auw_g", *parts).uncertainty == pytest.approx(0.32, abs=0.005)


def test_pieces_weighed_as_one_share_their_error_in_full():
    part = fitted("hardware", "W", Value(1000, "sheet", 0.1), 0, quantity=10)
    assert figure("auw_g", part).uncertainty == pytest.approx(1.0)


def test_sheet_mass_carries_a_tenth_as_its_limit():
    part = fitted("motor", "M", Value(30.0, "sheet"), 0)
    assert figure("auw_g", part).uncertainty == pytest.approx(3.0 / 3**0.5)


def test_guessed_mass_is_the_least_certain_and_named_as_a_guess():
    total = figure("auw_g", fitted("motor", "M", Value(40.0, "guessed"), 0))
    assert total.uncertainty == pytest.approx(10.0)
    assert total.guesses == ("Motor (M): mass (g)",)


def test_interval_covers_twice_the_standard_uncertainty():
    # JCGM 100:2008, 6.3.3: k = 2 for about 95 %.
    total = figure("auw_g", fitted("pack", "P", weighed_to(182, 1.5), 0))
    assert (total.low, total.high) == pytest.approx((179, 185))


def test_inputs_say_what_was_weighed_and_when():
    (given_mass,) = figure("auw_g", fitted("pack", "P", weighed_to(182, 1.5), 0)).inputs
    assert given_mass.name == "Pack (P): mass (g)"
    assert (given_mass.value, given_mass.unit) == (182, "g")
    assert (given_mass.source, given_mass.at) == ("weighed", WEIGHED_AT)


def test_part_without_a_mass_makes_the_total_a_lower_bound_that_names_it():
    total = figure("auw_g", fitted("pack", "P", 182, 0), fitted("camera", "Eye", None, 0))
    assert total.value == 182
    assert total.is_lower_bound
    assert total.high is None
    assert "Camera (Eye): mass (g)" in total.note


def test_empty_place_that_must_be_filled_makes_a_lower_bound_too():
    total = figure("auw_g", fitted("airframe", "Wing", 399, 0), empty("motor"))
    assert total.left_out == ("Motor: nothing fitted",)


def test_empty_place_that_may_stay_empty_changes_nothing():
    total = figure("auw_g", fitted("airframe", "W", 399, 0), empty("gps", is_required=False))
    assert not total.is_lower_bound


def test_build_without_parts_has_no_mass_and_says_what_it_lacks():
    assert figure("auw_g", empty("motor")).missing == ("Motor: nothing fitted",)


masses = st.lists(st.floats(0.1, 5000), min_size=1, max_size=12)


@given(masses)
def test_total_is_never_below_any_part(grams):
    total = figure("auw_g", *(fitted("hardware", "H", mass_g, 0) for mass_g in grams))
    assert total.value >= max(grams) * (1 - 1e-12)


@given(masses)
def test_unweighed_part_leaves_the_number_and_flags_it(grams):
    parts = [fitted("hardware", "H", mass_g, 0) for mass_g in grams]
    before = figure("auw_g", *parts)
    after = figure("auw_g", *parts, fitted("camera", "Eye", None, 0))
    assert (after.value, after.uncertainty) == (before.value, before.uncertainty)
    assert (before.is_lower_bound, after.is_lower_bound) == (False, True)


# Balance


def test_lever_balances_where_the_handbook_says():
    # FAA-H-8083-1, chapter 2, lever of three weights (attribution from memory, not verified):
    # 100 at 50, 100 at 90 and 200 at 150 balance at 110.
    cg = figure(
        "cg_x_mm", *(fitted("hardware", "W", m, x) for m, x in [(100, 50), (100, 90), (200, 150)])
    )
    assert cg.value == pytest.approx(110)


def test_pack_goes_where_the_handbook_shifts_the_weight():
    # FAA-H-8083-25, chapter 10, weight shifting: of 7800 lb, 65 lb moved from station 150 to 30
    # bring the balance from 81.5 to 80.5 in. Here in grams and millimetres.
    rest_x = (7800 * 81.5 - 65 * 150) / (7800 - 65)
    parts = (fitted("airframe", "Rest", 7735, rest_x), fitted("pack", "Moved", 65, 150))
    figures = figures_of(build(*parts, cg_target_x_mm=80.5))
    assert figures["cg_x_mm"].value == pytest.approx(81.5)
    assert figures["pack_x_wanted_mm"].value == pytest.approx(30)


def test_balance_of_two_scales_has_the_uncertainty_of_an_independent_solution():
    # The uncertainties package 3.2.3: 180 +- 1 g and 476 +- 1 g, independent, at exact places 100
    # and 240 mm; here each place adds 2 mm: sqrt(u^2 + (2 m_i / M)^2 summed).
    from uncertainties import ufloat

    m, x = (ufloat(180, 1), ufloat(476, 1)), (ufloat(100, 2), ufloat(240, 2))
    expected = (m[0] * x[0] + m[1] * x[1]) / (m[0] + m[1])
    parts = [
        fitted("hardware", "A", Value(180, "sheet", 1.0), 100),
        fitted("hardware", "B", Value(476, "sheet", 1.0), 240),
    ]
    cg = figure("cg_x_mm", *parts)
    assert (cg.value, cg.uncertainty) == pytest.approx((expected.n, expected.s))


def test_common_scale_error_pulls_the_balance_as_a_whole():
    # The uncertainties package 3.2.3, one error added to both masses.
    from uncertainties import ufloat

    bias = ufloat(0, 1)
    x = (ufloat(100, 2), ufloat(240, 2))
    expected = ((180 + bias) * x[0] + (476 + bias) * x[1]) / (656 + 2 * bias)
    cg = figure(
        "cg_x_mm",
        fitted("hardware", "A", weighed_to(180, 1.0), 100),
        fitted("hardware", "B", weighed_to(476, 1.0), 240),
    )
    assert cg.uncertainty == pytest.approx(expected.s)


def test_balance_is_unknown_without_a_mass_and_names_the_part():
    cg = figure("cg_x_mm", fitted("pack", "P", 182, 60), fitted("camera", "Eye", None, 10))
    assert not cg.is_known
    assert cg.missing == ("Camera (Eye): mass (g)",)


def test_balance_is_unknown_without_a_place_and_names_it():
    assert figure("cg_x_mm", fitted("pack", "P", 182, None)).missing == (
        "the place “Pack”: x (mm)",
    )


def test_missing_height_leaves_the_other_axes_alone():
    figures = figures_of(build(fitted("pack", "P", 182, 60, y_mm=1.5)))
    assert figures["cg_x_mm"].value == pytest.approx(60)
    assert figures["cg_y_mm"].value == pytest.approx(1.5)
    assert figures["cg_z_mm"].missing == ("the place “Pack”: z (mm)",)


def test_own_limit_of_the_build_comes_before_that_of_the_airframe():
    airframe = fitted(
        "airframe", "W", 300, 150, values={"cg_min_x_mm": 129.4, "cg_max_x_mm": 138.6}
    )
    figures = figures_of(build(airframe, cg_min_x_mm=131.0))
    assert figures["cg_min_x_mm"].value == 131.0
    assert figures["cg_max_x_mm"].value == 138.6


def test_range_in_percent_is_told_in_millimetres_of_the_mean_chord():
    # The invented demo wing: mean chord 153.6 mm from 103.3 mm, so 17 % lies at 129.4 mm.
    wing = stations((0, 60, 190, 0), (320, 155, 110, 0))
    values = {"wing_stations": wing, "cg_min_percent": 17.0, "cg_max_percent": 23.0}
    figures = figures_of(build(fitted("airframe", "W", 300, 150, values=values)))
    assert figures["cg_min_x_mm"].value == pytest.approx(129.4, abs=0.05)
    assert figures["cg_max_x_mm"].value == pytest.approx(138.6, abs=0.05)
    assert figures["cg_target_x_mm"].missing == ("Airframe (W): cg target x (mm)",)


def test_range_that_nobody_gave_is_asked_of_the_airframe():
    missing = figure("cg_min_x_mm", fitted("airframe", "W", 300, 150)).missing
    assert missing == ("Airframe (W): cg min x (mm)",)


def test_wanted_place_outside_the_tray_is_said_so():
    parts = (
        fitted("airframe", "W", 300, 200),
        fitted("pack", "P", 150, 60, x_min_mm=58, x_max_mm=78),
    )
    wanted = figure("pack_x_wanted_mm", *parts, cg_target_x_mm=140.0)
    assert wanted.value == pytest.approx(20)
    assert wanted.note == "The tray does not allow it: the pack can only sit from 58 to 78 mm."


def test_wanted_place_has_no_window_without_a_range():
    parts = (fitted("airframe", "W", 300, 200), fitted("pack", "P", 150, 60))
    wanted = figure("pack_x_wanted_mm", *parts, cg_target_x_mm=140.0)
    assert (wanted.low, wanted.high) == (None, None)


def test_limits_the_wrong_way_round_are_said_in_words():
    parts = (fitted("airframe", "W", 300, 200), fitted("pack", "P", 150, 60))
    limits = {"cg_target_x_mm": 140.0, "cg_min_x_mm": 150.0, "cg_max_x_mm": 130.0}
    (message,) = figure("pack_x_wanted_mm", *parts, **limits).missing
    assert "behind the aft limit" in message


def test_pack_at_its_wanted_place_puts_the_balance_on_target():
    parts = (fitted("airframe", "W", 300, 200), fitted("pack", "P", 150, 60))
    before = build(*parts, cg_target_x_mm=140.0)
    wanted = figures_of(before)["pack_x_wanted_mm"].value
    after = before.with_pack(before.pack, wanted)
    assert figures_of(after)["cg_x_mm"].value == pytest.approx(140)


# Wing

AFT_SWEPT = {
    "layout": "flying_wing",
    "wing_stations": stations((0, 0, 250, 0), (450, 250, 130, 0)),
}


def test_geometry_of_a_swept_wing_matches_another_program():
    # aerosandbox 4.2.10, wing of sections (0, 0, 0.25) and (0.45, 0.25, 0.13):
    # area 0.1710 m2, mean chord 0.196316 m at 0.111842 m.
    figures = figures_of(build(fitted("airframe", "W", 300, 150, values=AFT_SWEPT)))
    assert figures["wing_area_dm2"].value == pytest.approx(17.10, abs=0.005)
    assert figures["wing_span_mm"].value == pytest.approx(900)
    assert figures["mean_chord_mm"].value == pytest.approx(196.316, abs=0.001)
    assert figures["mean_chord_le_mm"].value == pytest.approx(111.842, abs=0.001)


def test_neutral_point_of_a_swept_wing_covers_that_of_a_vortex_lattice():
    # aerosandbox 4.2.10, vortex lattice, 16 panels a half: 0.16012 m.
    point = figure("neutral_point_mm", fitted("airframe", "W", 300, 150, values=AFT_SWEPT))
    assert point.low < 160.12 < point.high
    assert point.value == pytest.approx(160.12, abs=0.02 * 196.3)
    assert point.high - point.low < 0.08 * 196.3
    assert "Vortex lattice" in point.source


TAIL = stations((0, 700, 120, 0), (220, 720, 100, 0))


def with_second_surface(layout, second):
    return fitted(
        "airframe",
        "T",
        300,
        150,
        values={
            "layout": layout,
            "wing_stations": stations((0, 100, 200, 0), (600, 125, 150, 0)),
            "tail_stations": second,
        },
    )


def test_neutral_point_with_a_tail_covers_an_independent_solution():
    # Moment balance with lift slopes of aerosandbox 4.2.10 and a tail pressure ratio of 0.9:
    # 54.50 % of the mean chord of 0.176190 m, whose quarter lies at 0.155952 m.
    expected_mm = 155.952 + (54.50 - 25) / 100 * 176.190
    point = figure("neutral_point_mm", with_second_surface("conventional", TAIL))
    assert point.value == pytest.approx(expected_mm, abs=0.025 * 176.190)
    assert point.low < expected_mm < point.high


def test_neutral_point_with_a_tail_says_what_the_tail_does():
    # Sums by hand: the wing alone and what the tail moves it are the whole.
    point = figure("neutral_point_mm", with_second_surface("conventional", TAIL))
    said = {one.name: one.value for one in point.inputs}
    alone, moved = said["neutral point of the wing alone"], said["the tail moves it aft by"]
    assert alone + moved == pytest.approx(point.value)
    assert 0 < said["lift of an angle that the tail takes"] < 50
    assert said["dynamic pressure at the tail, share"] == 0.9


def test_neutral_point_of_a_canard_lies_ahead_of_that_of_its_wing():
    foreplane = stations((0, -200, 100, 30), (200, -180, 80, 30))
    point = figure("neutral_point_mm", with_second_surface("canard", foreplane))
    alone = figure("neutral_point_mm", with_second_surface("flying_wing", []))
    said = {one.name: one.value for one in point.inputs}
    assert point.value < alone.value
    assert alone.value - said["the foreplane moves it forward by"] == pytest.approx(point.value)


@pytest.mark.parametrize(
    ("layout", "x_mm"), [("conventional", -200), ("canard", 700)], ids=["tail ahead", "canard aft"]
)
def test_a_second_surface_on_the_wrong_side_is_asked_about(layout, x_mm):
    second = stations((0, x_mm, 100, 30), (200, x_mm + 20, 80, 30))
    point = figure("neutral_point_mm", with_second_surface(layout, second))
    assert point.missing == ("Airframe (T): layout",)
    assert "A tail lies behind the wing" in point.note


def test_a_canard_without_its_foreplane_lacks_it():
    point = figure("neutral_point_mm", with_second_surface("canard", []))
    assert point.missing == ("Airframe (T): tail stations",)


def test_surfaces_in_one_another_are_said_in_words():
    second = stations((0, 110, 100, 0), (200, 120, 80, 0))
    (message,) = figure("neutral_point_mm", with_second_surface("conventional", second)).missing
    assert "run through each other" in message


def test_static_margin_is_that_of_the_point_and_the_balance():
    figures = figures_of(build(fitted("airframe", "W", 300, 150, values=AFT_SWEPT)))
    # Definition by hand; the mean chord by aerosandbox 4.2.10.
    margin, point = figures["static_margin_percent"], figures["neutral_point_mm"]
    assert margin.value == pytest.approx((point.value - 150) / 1.96316, abs=0.001)
    # JCGM 100:2008, 4.3.7: the lattice alone may be off by 2 %, and the balance by 2 mm.
    assert margin.uncertainty > 100 * (0.02**2 / 3 + (2 / 196.316) ** 2) ** 0.5


def test_balance_in_percent_of_the_mean_chord_follows_its_definition():
    # FAA-H-8083-1B, chapter 3: (150 - 111.842) / 196.316.
    percent = figure("cg_percent", fitted("airframe", "W", 300, 150, values=AFT_SWEPT))
    assert percent.value == pytest.approx(19.437, abs=0.001)


def test_loading_and_stall_of_a_small_wing_match_an_independent_solution():
    # Independent solution: 0.656 kg on 0.191 m2 is 34.3455 g/dm2, and stalls at 7.4155 m/s with a
    # lift coefficient of 1.0, so at 7.4155 / sqrt(0.9) with 0.9.
    wing = {"wing_stations": stations((0, 120, 260, 0), (150, 90, 220, 0), (500, 0, 120, 0))}
    figures = figures_of(build(fitted("airframe", "E", 656, 200, values=wing)))
    assert figures["wing_loading_g_dm2"].value == pytest.approx(34.3455, abs=0.0005)
    assert figures["stall_speed_m_s"].value == pytest.approx(7.4155 / 0.9**0.5, abs=0.0005)


def test_loading_of_a_part_weighed_aircraft_is_a_lower_bound():
    parts = (fitted("airframe", "W", 300, 150, values=AFT_SWEPT), fitted("camera", "E", None, 1))
    assert figure("wing_loading_g_dm2", *parts).left_out == ("Camera (E): mass (g)",)


def test_multirotor_has_no_wing_and_lacks_nothing():
    frame = fitted("airframe", "Q", 118, 0, values={"layout": "multirotor"})
    area = figure("wing_area_dm2", frame)
    assert not area.is_known
    assert (area.missing, area.note) == ((), "A multirotor has no wing.")


def test_unknown_layout_has_no_neutral_point():
    values = {"wing_stations": AFT_SWEPT["wing_stations"]}
    missing = figure("neutral_point_mm", fitted("airframe", "W", 300, 150, values=values)).missing
    assert missing == ("Airframe (W): layout",)


# Drive


def drive(*, motor, propeller, pack, controller=None, motors=1, airframe=None):
    return (
        fitted("airframe", "A", 300, 100, values=airframe or {}),
        *(fitted("motor", f"M{n}", 30, 200, values=motor) for n in range(motors)),
        fitted("propeller", "P", 5, 210, values=propeller),
        fitted("speed_controller", "C", 20, 150, values=controller or {}),
        fitted("pack", "B", 150, 60, values=pack),
    )


RACER = {
    "motor": {"kv_rpm_v": 1960, "resistance_mohm": 55, "no_load_current_a": 1.3},
    "propeller": {"diameter_mm": 152.4, "thrust_coefficient": 0.11, "power_coefficient": 0.055},
    "pack": {"cell_count": 4, "cell_full_v": 3.9, "cell_resistance_mohm": [4.5, 4.5, 4.5, 4.5]},
}


def test_drive_on_four_cells_matches_an_independent_solution():
    # Root found with scipy.optimize.brentq 1.17.1, outside this project: 15.2 V, 18 mohm of cells,
    # leads of 6 mohm, controller of 4 mohm.
    figures = figures_of(build(*drive(**RACER)))
    assert figures["current_max_a"].value == pytest.approx(31.773, abs=0.0005)
    assert figures["thrust_max_g"].value == pytest.approx(1248.3, abs=0.05)
    assert figures["power_max_w"].value == pytest.approx(458.7, abs=0.05)
    assert figures["rpm_max"].value == pytest.approx(24623, abs=0.5)
    assert figures["tip_mach"].value == pytest.approx(0.577, abs=0.0005)


def test_bench_motor_matches_an_independent_solution():
    # Root found with scipy.optimize.brentq 1.17.1, outside this project: 11.1 V, 30 mohm with the
    # leads, controller 5 mohm: 8016.23 rpm, 17.5447 A, 10.7852 N, 185.511 W.
    figures = figures_of(
        build(
            *drive(
                motor={"kv_rpm_v": 900, "resistance_mohm": 90, "no_load_current_a": 0.9},
                propeller={
                    "diameter_mm": 254,
                    "thrust_coefficient": 0.1185,
                    "power_coefficient": 0.0480,
                },
                pack={"cell_count": 3, "cell_full_v": 3.8, "cell_resistance_mohm": [8, 8, 8]},
                controller={"resistance_mohm": 5},
            )
        )
    )
    assert figures["rpm_max"].value == pytest.approx(8016.23, abs=0.005)
    assert figures["motor_current_max_a"].value == pytest.approx(17.5447, abs=5e-5)
    assert figures["thrust_max_g"].value == pytest.approx(10.7852 / 9.80665 * 1000, abs=0.01)
    assert figures["power_max_w"].value == pytest.approx(185.511, abs=5e-4)


def test_gauge_of_the_main_lead_takes_the_place_of_the_assumption():
    # ASTM B258 and IEC 60028 give 13.1745 mohm/m for 16 AWG.
    lead = fitted(
        "lead", "L", 10, 100, values={"gauge_awg": 16, "loop_length_mm": 6 / 13.1745 * 1000}
    )
    thin = fitted("lead", "Servo", 1, 100, values={"gauge_awg": 26, "loop_length_mm": 900})
    current = figure("current_max_a", *drive(**RACER), thin, lead)
    assert current.value == pytest.approx(31.773, abs=0.0005)


def test_generic_propeller_says_how_far_it_may_be_off():
    pack = {"cell_count": 4, "chemistry": "lipo", "cell_resistance_mohm": [4.5] * 4}
    propeller = {"diameter_mm": 152.4, "pitch_mm": 114.3}
    current = figure("current_max_a", *drive(**(RACER | {"propeller": propeller, "pack": pack})))
    # A Monte Carlo run outside this project with these limits: the current within 23 %.
    assert 0.15 < (current.high - current.value) / current.value < 0.30
    assert "15 %" in current.note


def test_three_blades_are_not_guessed_from_pitch_and_diameter():
    propeller = {"diameter_mm": 129.5, "pitch_mm": 101.6, "blade_count": 3}
    missing = figure("thrust_max_g", *drive(**(RACER | {"propeller": propeller}))).missing
    assert missing == ("Propeller (P): thrust coefficient", "Propeller (P): power coefficient")


def test_propeller_outside_the_fit_is_said_in_words():
    propeller = {"diameter_mm": 100, "pitch_mm": 200}
    (message,) = figure("rpm_max", *drive(**(RACER | {"propeller": propeller}))).missing
    assert "pitch over diameter must be from 0.3 to 1.2" in message


def test_drive_without_motor_constants_names_each_of_them():
    missing = figure(
        "motor_current_max_a", *drive(**(RACER | {"motor": {"kv_rpm_v": 1960}}))
    ).missing
    expected = (words_of("resistance_mohm"), words_of("no_load_current_a"))
    assert missing == tuple(f"Motor (M0): {words}" for words in expected)


def test_motors_that_differ_are_not_taken_as_alike():
    parts = drive(**RACER)
    other = fitted("motor", "Other", 30, 200, values=RACER["motor"] | {"kv_rpm_v": 1300})
    assert figure("rpm_max", *parts, other).missing == (
        f"parts that are alike: these differ in {words_of('kv_rpm_v')}",
    )


def test_four_motors_draw_from_one_pack_through_one_resistance():
    one = figures_of(build(*drive(**RACER)))
    four = figures_of(build(*drive(**RACER, motors=4)))
    assert four["current_max_a"].value == pytest.approx(4 * four["motor_current_max_a"].value)
    assert four["motor_current_max_a"].value < one["motor_current_max_a"].value


def test_full_pack_is_cells_times_full_cell():
    # IEC 62133-2 and makers' sheets: lithium polymer cells are charged to 4.20 V (from memory, not
    # verified); high-voltage cells to 4.35 V: common practice, no source.
    def full(**values):
        return figure("pack_full_v", fitted("pack", "P", 150, 60, values=values))

    assert full(cell_count=6, chemistry="lipo").value == pytest.approx(25.2)
    assert full(cell_count=4, chemistry="lipo", cell_full_v=4.35).value == pytest.approx(17.4)
    assert full(cell_count=4).missing == ("Pack (P): cell full (V)",)


def test_unmeasured_pack_is_taken_by_its_capacity_and_says_so():
    pack = {"cell_count": 4, "chemistry": "lipo", "capacity_mah": 1500}
    current = figure("current_max_a", *drive(**(RACER | {"pack": pack})))
    assumed = [one.name for one in current.inputs if one.source == "assumed"]
    assert "resistance of a cell times its capacity" in assumed


def test_thrust_to_weight_is_not_flattered_by_an_unweighed_part():
    parts = drive(**RACER)
    assert figure("thrust_to_weight", *parts).value == pytest.approx(1248.3 / 505, abs=0.001)
    heavier = figure("thrust_to_weight", *parts, fitted("camera", "Eye", None, 10))
    assert heavier.missing == ("Camera (Eye): mass (g)",)


HOVERING = RACER | {
    "propeller": {"diameter_mm": 127, "thrust_coefficient": 0.148, "power_coefficient": 0.103},
    "pack": {
        "cell_count": 4,
        "cell_full_v": 4.2,
        "capacity_mah": 1500,
        "cell_resistance_mohm": [5.0] * 4,
    },
    "airframe": {"layout": "multirotor"},
    "motors": 4,
}


def test_hover_never_outlasts_an_ideal_rotor():
    # Rankine and Froude, actuator disc: 0.5 kg under four discs of 5 in needs at least 30.816 W;
    # power grows with mass to the 1.5.
    figures = figures_of(build(*drive(**HOVERING)))
    ideal_w = 30.816 * (figures["auw_g"].value / 500) ** 1.5
    energy_wh = 1.5 * 4 * 4.1 * 0.8
    assert 0 < figures["endurance_min"].value < energy_wh / ideal_w * 60


def test_hover_is_unknown_where_the_drive_cannot_lift_the_weight():
    parts = drive(**HOVERING)
    anvil = fitted("hardware", "Anvil", 50_000, 0)
    (message,) = figure("endurance_min", *parts, anvil).missing
    assert "full throttle gives" in message


def test_level_cruise_lasts_longer_than_full_throttle():
    pack = RACER["pack"] | {"capacity_mah": 1300}
    propeller = {"diameter_mm": 152.4, "pitch_mm": 114.3}
    parts = drive(**(RACER | {"pack": pack, "propeller": propeller}), airframe=AFT_SWEPT)
    figures = figures_of(build(*parts))
    full_throttle = 1.3 * 0.8 / figures["current_max_a"].value * 60
    assert figures["endurance_min"].value > 2 * full_throttle


# All of them

OF_THE_AIR = ("air_density_kg_m3", "density_altitude_m")
OF_A_WEIGH_IN = ("weighed_difference_g", "balance_point_difference_mm")
# These need places to the side and above, or a multirotor.
OF_A_BODY = (
    "inertia_roll_kg_m2", "inertia_pitch_kg_m2", "inertia_yaw_kg_m2", "disc_loading_g_dm2",
    "hover_throttle_percent",
)  # fmt: skip


def test_every_figure_of_an_empty_build_is_unknown_and_says_why():
    for name, found in figures_of(build()).items():
        if name in OF_THE_AIR:
            continue
        assert not found.is_known
        assert found.missing or found.note, name


def test_every_known_figure_has_inputs_unit_and_source():
    pack = RACER["pack"] | {"capacity_mah": 1300}
    propeller = {"diameter_mm": 152.4, "pitch_mm": 114.3}
    parts = drive(**(RACER | {"pack": pack, "propeller": propeller}), airframe=AFT_SWEPT)
    limits = {"cg_min_x_mm": 90.0, "cg_max_x_mm": 110.0, "cg_target_x_mm": 100.0}
    known = {name: one for name, one in figures_of(build(*parts, **limits)).items() if one.is_known}
    assert set(MAKERS) - set(known) == {"cg_y_mm", "cg_z_mm", *OF_A_WEIGH_IN, *OF_A_BODY}
    for name, found in known.items():
        assert found.inputs, name
        assert found.source, name
        assert found.low <= found.value <= found.high, name
        json.dumps([(one.name, one.value, one.unit, one.source) for one in found.inputs])


def test_a_figure_is_calculated_once():
    figures = figures_of(build(fitted("pack", "P", 182, 60)))
    assert figures["auw_g"] is figures["auw_g"]


def test_a_guess_stays_a_guess_in_what_is_made_of_it():
    airframe = fitted("airframe", "W", Value(300, "guessed"), 150, values=AFT_SWEPT)
    assert figure("wing_loading_g_dm2", airframe).guesses == ("auw_g",)


# The invented demo: mass and x of each part, sums worked out by hand


DEMO = {
    "A1": (
        ("airframe", 158, 172), ("hardware", 7, 82), ("servo", 9.6, 196), ("servo", 9.5, 196),
        ("flight_controller", 24.0, 128), ("speed_controller", 18.5, 190), ("motor", 33.6, 258),
        ("propeller", 4.4, 276), ("gps", 6.6, 112), ("receiver", 3.1, 150), ("camera", 8.2, 16),
        ("video_unit", 15.8, 42), ("antenna", 3.6, 150), ("lead", 24, 122), ("hardware", 6.2, 215),
        ("hardware", 19, 160),
    ),
    "A2": (
        ("airframe", 268, 215), ("hardware", 11, 95), ("servo", 12.4, 250), ("servo", 12.4, 250),
        ("flight_controller", 24, 150), ("speed_controller", 16.9, 240), ("motor", 47.5, 335),
        ("propeller", 8.1, 352), ("gps", 6.5, 120), ("receiver", 3.2, 190), ("camera", 9.6, 18),
        ("video_unit", 28.4, 60), ("antenna", 5.2, 230), ("lead", 36, 160), ("hardware", 34, 190),
        ("hardware", 8, 270),
    ),
    "A3": (
        ("airframe", 410, 330), ("servo", 9.6, 255), ("servo", 9.6, 255), ("servo", 9.5, 640),
        ("servo", 9.7, 640), ("flight_controller", 27, 225), ("speed_controller", 17, 190),
        ("speed_controller", 17, 190), ("motor", 40.5, 140), ("motor", 40.5, 140),
        ("propeller", 6.0, 120), ("propeller", 6.0, 120), ("gps", 9.1, 420),
        ("receiver", 3.2, 300), ("camera", 8.3, 30), ("video_unit", 19, 380),
        ("antenna", 9.4, 400), ("regulator", 13, 230), ("lead", 74, 240), ("hardware", 12, 150),
    ),
    "A4": (
        ("airframe", 118, 0), ("motor", 31.5, 0), ("motor", 31.5, 0), ("motor", 31.5, 0),
        ("motor", 31.5, 0), ("speed_controller", 15.5, 0), ("flight_controller", 9.2, 0),
        ("camera", 9.6, 52), ("video_unit", 28.6, -30), ("antenna", 5.2, -48),
        ("receiver", 1.6, -20), ("propeller", 18.0, 0), ("lead", 22, -25), ("gps", 6.6, -55),
    ),
}  # fmt: skip


def demo_parts(name):
    return tuple(
        fitted(kind, f"{kind} {n}", mass, x) for n, (kind, mass, x) in enumerate(DEMO[name])
    )


@pytest.mark.parametrize(
    ("name", "empty_g", "empty_x_mm"),
    [("A1", 351.1, 164.6), ("A2", 531.2, 207.3), ("A3", 750.4, 288.3), ("A4", 360.3, -4.3)],
)
def test_invented_demo_weighs_and_balances_as_worked_out_by_hand(name, empty_g, empty_x_mm):
    figures = figures_of(build(*demo_parts(name)))
    assert figures["empty_g"].value == pytest.approx(empty_g)
    assert figures["empty_cg_x_mm"].value == pytest.approx(empty_x_mm, abs=ROUNDED_TO_A_TENTH)


# 17, 20 and 23 % of a mean chord of 153.556 mm whose leading edge lies at 103.278 mm.
SMALL_WING_LIMITS = {"cg_min_x_mm": 129.382, "cg_target_x_mm": 133.989, "cg_max_x_mm": 138.596}


def test_small_wing_of_the_invented_demo_balances_with_its_pack():
    pack = fitted("pack", "Four cells", 158, 66, x_min_mm=58, x_max_mm=78)
    figures = figures_of(build(*demo_parts("A1"), pack, **SMALL_WING_LIMITS))
    assert figures["auw_g"].value == pytest.approx(509.1)
    assert figures["cg_x_mm"].value == pytest.approx(134.0, abs=ROUNDED_TO_A_TENTH)
    wanted = figures["pack_x_wanted_mm"]
    # Given to a tenth from limits that were rounded themselves.
    assert (wanted.value, wanted.low, wanted.high) == pytest.approx((65.9, 51.0, 80.7), abs=0.1)
    assert wanted.note == "The tray allows it: the pack can sit from 58 to 78 mm."


def test_other_motor_of_the_invented_demo_draws_about_what_was_worked_out():
    # The invented demo, worked out apart from this code: on six cells 25.3 A, 596 W and 3.2 times
    # the weight; such a model is honest to about 15 %.
    motor = {"kv_rpm_v": 1300, "resistance_mohm": 88, "no_load_current_a": 0.9}
    cells = [3.9, 3.8, 4.0, 3.9, 3.9, 4.1]
    values = {
        "motor": (33.9, motor),
        "propeller": (4.4, {"diameter_mm": 152.4, "pitch_mm": 114.3}),
    }
    parts = [
        fitted(part.kind, "Other", values[part.kind][0], part.x_mm, values=values[part.kind][1])
        if part.kind in values
        else part
        for part in demo_parts("A1")
    ]
    pack = {"cell_count": 6, "chemistry": "lipo", "cell_resistance_mohm": cells}
    figures = figures_of(build(*parts, fitted("pack", "Six cells", 205, 66, values=pack)))
    assert figures["current_max_a"].value == pytest.approx(25.3, rel=0.15)
    assert figures["power_max_w"].value == pytest.approx(596, rel=0.15)
    assert figures["thrust_to_weight"].value == pytest.approx(3.2, rel=0.15)
