"""One thing wrong for each rule: what must fire in an aircraft that is otherwise good."""

from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta

from builds.rechecks import BY_KEY
from builds.records import PositionRecord, RadioLimit, Value, WeighInRecord
from tests.builds.controls.surfaces import ELEVON, reading, wing
from tests.builds.records_builder import (
    PLACES,
    aircraft,
    part,
    with_ground,
    with_part,
    with_place,
)


@dataclass(frozen=True)
class Mutation:
    """Steps that spoil a good aircraft, and which other rules may fire with the one meant.

    Most take one step; more where a fault needs two facts.
    """

    steps: tuple
    others: tuple = ()

    def build(self):
        """The spoilt aircraft."""
        spoilt = aircraft()
        for step in self.steps:
            spoilt = step(spoilt)
        return spoilt


def spoil(*steps, others=()):
    return Mutation(steps, tuple(others))


def part_of(key, **values):
    """The part in one place with other values, measured where they were; None takes one away."""

    def step(build):
        old = build.at(key).part.values
        changed = {
            name: Value(value, old[name].source) if name in old and _is_bare(value) else value
            for name, value in values.items()
        }
        return with_part(build, key, **changed)

    return step


def _is_bare(value):
    return value is not None and not isinstance(value, Value)


WEIGHED_AT = datetime(2026, 3, 1, tzinfo=UTC)


def known(key, **facts):
    """What is known of the part in one place beside its figures."""

    def step(build):
        place = build.at(key)
        return build.with_part(place.id, replace(place.part, **facts))

    return step


def place_of(key, **columns):
    return lambda build: with_place(build, key, **columns)


def build_of(**columns):
    return lambda build: replace(build, **columns)


def gear_of(role, **values):
    return lambda build: with_ground(build, role, **values)


def emptied(key):
    return lambda build: build.with_part(build.at(key).id, None)


def fitted(key, **values):
    """Something in a place that is empty in the good aircraft."""
    return lambda build: build.with_part(
        build.at(key).id, part(PLACES[key]["kind"], id=900, **values)
    )


def added(key, kind, x_mm=100.0, **values):
    """A further position with a part in it."""
    return lambda build: replace(
        build,
        positions=(
            *build.positions,
            PositionRecord(
                id=901, key=key, name=key.capitalize(), kind=kind, x_mm=x_mm, y_mm=0.0, z_mm=0.0,
                supply="pack", part=part(kind, id=901, **values),
            ),
        ),
    )  # fmt: skip


def hinged(servo=None, **columns):
    """The aircraft with one elevon, spoilt."""
    return lambda build: replace(wing(replace(ELEVON, **columns), **servo or {}), revision=0)


def weighed(**columns):
    """A weigh-in of the whole aircraft."""
    return lambda build: replace(
        build,
        weigh_ins=(
            WeighInRecord(
                id=1, revision=build.revision, pack=build.pack, on_scale=build.fitted(),
                uncertainty_g=1.0, **columns,
            ),
        ),
    )  # fmt: skip


ONLY_GAPS = {
    # It only asks for a figure and never finds a fault.
    "video.limits_of_unknown_revision",
}
TWO_PACKS = (
    "aerodynamics.wing_loaded_beyond_role",
    "weight.balance_out_of_range",
    "weight.pack_place_outside_tray",
)
MUTATIONS = {
    "aerials.aerial_near_carbon_or_wire": spoil(place_of("receiver", aerial_clearance_mm=0.0)),
    "aerials.diversity_pair_parallel": spoil(
        part_of("receiver", antenna_count=2), place_of("receiver", aerial_angle_deg=10.0)
    ),
    "aerials.receiver_near_video_aerial": spoil(place_of("receiver", z_mm=8)),
    "aerials.video_unit_in_receiver_band": spoil(
        part_of("video", band_mhz=0.001), others=("radio.aerial_for_another_band",)
    ),
    "aerodynamics.balance_not_known": spoil(part_of("camera", mass_g=None)),
    "aerodynamics.one_side_heavier": spoil(place_of("pack", y_mm=60.0)),
    "aerodynamics.wing_loaded_beyond_role": spoil(build_of(role="trainer")),
    "ageing.capacity_low": spoil(part_of("pack", capacity_percent=87.3)),
    "ageing.log_contradicts_itself": spoil(
        part_of("pack", log_contradictions=["more charge than it holds"])
    ),
    "ageing.resistance_high_for_class": spoil(part_of("pack", capacity_mah=1950.0)),
    "ageing.resistance_risen": spoil(part_of("pack", resistance_ratio=1.575)),
    "ageing.worn_pack_for_hard_duty": spoil(
        part_of("pack", health_verdict="retire"),
        build_of(is_hand_launched=True),
        others=("packs.pack_not_fit",),
    ),
    "alarms.charge_too_short_for_plan": spoil(build_of(planned_flight_s=5000)),
    "alarms.timer_too_long": spoil(build_of(timer_s=5000)),
    "alarms.voltage_alarm_wrong": spoil(build_of(voltage_alarm_v=0.0)),
    "buses.address_clash": spoil(
        part_of("gps", has_compass=True, compass_address=30),
        part_of("board", has_compass=True, compass_address=30, bus_count=1),
        others=("placing.compass_near_motor_current",),
    ),
    "buses.gps_message_not_read": spoil(part_of("gps", messages=["other"])),
    "buses.gps_speed_differs": spoil(part_of("gps", baud_hz=103680.0)),
    "buses.signal_level_too_high": spoil(part_of("receiver", signal_v=6.6)),
    "buses.signal_level_too_low": spoil(part_of("servo_left", signal_min_v=3.75)),
    "care.charged_too_cold_or_hot": spoil(part_of("pack", charge_temperature_c=-10.0)),
    "care.charged_too_fast": spoil(part_of("pack", charge_current_a=10.0)),
    "care.hot_after_flight": spoil(part_of("pack", use_temperature_c=80.0)),
    "care.stored_empty": spoil(part_of("pack", stored_days=30.0, stored_low_v=3.0)),
    "care.stored_full": spoil(part_of("pack", stored_days=10.0, stored_high_v=4.2)),
    "care.used_too_deep": spoil(part_of("pack", last_uses_mah=[1290.0] * 10)),
    "cells.cell_of_high_resistance": spoil(
        part_of("pack", cell_resistance_mohm=[4.6, 4.6, 4.6, 12.0]),
        others=("ageing.resistance_high_for_class",),
    ),
    "cells.cell_too_low": spoil(part_of("pack", cell_rest_v=[1.925, 1.92, 1.925, 1.925])),
    "cells.cells_apart": spoil(part_of("pack", cell_rest_v=[4.1, 4.1, 4.1, 3.9], rest_hours=5.0)),
    "clearance.propeller_near_airframe": spoil(place_of("propeller", axis_to_airframe_mm=0.0)),
    "clearance.propeller_near_ground": spoil(place_of("propeller", axis_to_ground_mm=0.0)),
    "controls.combined_throw_out_of_reach": spoil(
        hinged(arm_radius_mm=5.0), others=("controls.throw_out_of_reach",)
    ),
    "controls.servo_torque_too_small": spoil(
        hinged(servo={"torque_kgcm": 0.1}),
        others=("controls.combined_throw_out_of_reach", "controls.servos_of_pair_differ"),
    ),
    "controls.servos_of_pair_differ": spoil(part_of("servo_left", torque_kgcm=1.53)),
    "controls.throw_larger_than_surface": spoil(part_of("airframe", throw_roll_mm=56.0)),
    "controls.throw_out_of_reach": spoil(
        hinged(arm_radius_mm=1.0), others=("controls.combined_throw_out_of_reach",)
    ),
    "controls.throw_records_disagree": spoil(
        hinged(throws=(reading(up_mm=14.0), reading(up_mm=20.0))),
        others=("controls.combined_throw_out_of_reach",),
    ),
    "controls.travel_too_small": spoil(
        hinged(arm_radius_mm=30.0), others=("controls.servo_torque_too_small",)
    ),
    "drive.current_scale_differs": spoil(build_of(current_scale_mv_a=0.0)),
    "drive.more_cells_than_usual": spoil(build_of(usual_cell_count=0.001)),
    "drive.sag_at_end_of_flight": spoil(
        part_of("motor", kv_rpm_v=3800.0),
        others=(
            "leads.main_lead_overloaded",
            "power.motor_current_above_controller_rating",
            "power.motor_overloaded",
            "power.pack_current_too_high",
            "propeller.propeller_too_fast",
        ),
    ),
    "electrical.capacitor_voltage_too_low": spoil(part_of("controller", capacitor_voltage_v=17.5)),
    "electrical.pack_voltage_beyond_sensing": spoil(part_of("board", sense_voltage_max_v=10.8)),
    "electrical.pack_voltage_too_high": spoil(part_of("controller", voltage_max_v=13.0)),
    "electrical.too_little_voltage_at_landing": spoil(part_of("controller", voltage_min_v=15)),
    "electrical.wrong_cell_count": spoil(part_of("controller", cells_min=6)),
    "fit.camera_loose_in_slot": spoil(place_of("camera", width_mm=30)),
    "fit.hole_pattern_differs": spoil(place_of("motor", hole_pattern_mm=[9.0, 9.0])),
    "fit.motor_screw_of_wrong_length": spoil(part_of("motor", screw_depth_max_mm=2.0)),
    "fit.pack_without_room_to_swell": spoil(place_of("pack", length_mm=75)),
    "fit.part_larger_than_room": spoil(place_of("servo_left", length_mm=0.0)),
    "fit.spar_does_not_fit": spoil(
        part_of("airframe", spar_diameter_mm=8.0),
        added("spar", "hardware", purpose="spar", diameter_mm=9.0),
    ),
    "fit.spar_of_another_length": spoil(
        part_of("airframe", spar_length_mm=400.0, spar_diameter_mm=3.0),
        added("spar", "hardware", purpose="spar", length_mm=500.0),
    ),
    "joined.charged_unlike_in_parallel": spoil(
        build_of(packs_wiring="parallel"),
        added("second", "pack", x_mm=66.0, cell_rest_v=[3.7] * 4),
        others=TWO_PACKS,
    ),
    "joined.unlike_in_series": spoil(
        build_of(packs_wiring="series"),
        part_of("pack", cell_count=2, cell_resistance_mohm=[4.6] * 2, cell_rest_v=[3.85] * 2),
        added(
            "second",
            "pack",
            x_mm=66.0,
            cell_count=2,
            capacity_mah=1000.0,
            cell_resistance_mohm=[4.6] * 2,
            cell_rest_v=[3.85] * 2,
        ),
        others=TWO_PACKS,
    ),
    "joints.arm_spline_differs": spoil(part_of("servo_left", spline_teeth=19)),
    "joints.retainer_without_spare": spoil(added("band", "hardware", purpose="rubber band")),
    "joints.screw_holds_by_too_little": spoil(
        added("screw", "hardware", purpose="wing screw", engaged_mm=0.5, diameter_mm=3.0)
    ),
    "joints.screw_not_locked": spoil(part_of("screws", is_locked=False)),
    "joints.work_cannot_be_undone": spoil(build_of(work_planned="X")),
    "leads.long_lead_without_capacitor": spoil(
        part_of("lead", loop_length_mm=600.0, gauge_awg=8, capacitor_uf=None),
        part_of("controller", capacitor_uf=0.0, capacitor_voltage_v=None),
    ),
    "leads.main_lead_overloaded": spoil(part_of("lead", current_rating_a=30.0)),
    "leads.pack_does_not_plug_in": spoil(part_of("pack", plug="other")),
    "outputs.map_differs_from_usual": spoil(part_of("board", motor_outputs=["other"])),
    "outputs.motor_and_servo_share_timer": spoil(
        place_of("motor", output=1),
        others=("outputs.map_differs_from_usual", "outputs.two_functions_on_one_output"),
    ),
    "outputs.no_such_output": spoil(part_of("board", timer_groups=["other"])),
    "outputs.too_few_outputs": spoil(part_of("board", timer_groups=["X"])),
    "outputs.two_functions_on_one_output": spoil(place_of("servo_left", output=2)),
    "packs.charger_for_fewer_cells": spoil(gear_of("charger", cells_max=3)),
    "packs.charger_of_another_chemistry": spoil(part_of("pack", chemistry="other")),
    "packs.charger_set_to_another_voltage": spoil(gear_of("charger", cell_full_v=0.0)),
    "packs.pack_not_fit": spoil(
        part_of("pack", health_verdict="retire"), others=("ageing.worn_pack_for_hard_duty",)
    ),
    "packs.pack_swollen": spoil(part_of("pack", height_mm=31.9)),
    "packs.pack_too_large_for_air_travel": spoil(part_of("pack", cell_nominal_v=20)),
    "packs.unlike_in_parallel": spoil(
        build_of(packs_wiring="parallel"),
        added("second", "pack", x_mm=66.0, capacity_mah=2000.0),
        others=(
            "aerodynamics.wing_loaded_beyond_role",
            "ageing.resistance_high_for_class",
            "weight.balance_out_of_range",
            "weight.pack_place_outside_tray",
        ),
    ),
    "placing.compass_near_motor_current": spoil(part_of("gps", has_compass=True)),
    "placing.gps_near_video_unit": spoil(place_of("gps", x_mm=0.0)),
    "placing.gps_without_sky": spoil(place_of("gps", has_sky_view=False)),
    "placing.hot_part_closed_in": spoil(place_of("controller", opening_cm2=0.0)),
    "placing.magnet_near_compass": spoil(
        part_of("gps", has_compass=True),
        part_of("screws", is_magnetic=True),
        place_of("screws", x_mm=112.0),
        others=("placing.compass_near_motor_current",),
    ),
    "plugs.adapter_in_the_way": spoil(
        added("adapter", "lead", plug_a="T60", plug_b="T90"), part_of("lead", plug_a="T90")
    ),
    "plugs.plug_overloaded": spoil(part_of("pack", plug_rating_a=30.0)),
    "plugs.polarity_reversed": spoil(part_of("pack", plug_polarity="reversed")),
    "ports.no_bus_for_compass": spoil(
        part_of("gps", has_compass=True),
        part_of("board", bus_count=0),
        others=("placing.compass_near_motor_current",),
    ),
    "ports.no_such_port": spoil(place_of("receiver", serial_port=5)),
    "ports.overlay_missing": spoil(part_of("board", overlay="digital")),
    "ports.too_few_serial_ports": spoil(part_of("board", serial_port_count=2)),
    "ports.two_parts_on_one_port": spoil(place_of("receiver", serial_port=2)),
    "ports.usb_out_of_reach": spoil(build_of(is_usb_reachable=False)),
    "power.current_beyond_sensor": spoil(part_of("board", current_sensor_max_a=0.0)),
    "power.motor_current_above_controller_rating": spoil(
        part_of("controller", current_continuous_a=40.0)
    ),
    "power.motor_overloaded": spoil(part_of("motor", current_max_a=22.5)),
    "power.pack_current_too_high": spoil(part_of("pack", current_continuous_a=0.001)),
    "power.pitch_speed_too_low": spoil(
        part_of("motor", kv_rpm_v=570.0), others=("power.thrust_too_low",)
    ),
    "power.thrust_too_low": spoil(
        part_of("motor", kv_rpm_v=570.0), others=("power.pitch_speed_too_low",)
    ),
    "propeller.nut_turns_loose": spoil(
        part_of("motor", propeller_fixing="nut", thread_hand="right"),
        place_of("motor", turning="left"),
        others=("propeller.turns_the_wrong_way",),
    ),
    "propeller.propeller_bore_differs": spoil(part_of("propeller", bore_mm=4.5)),
    "propeller.propeller_too_fast": spoil(part_of("propeller", speed_max_rpm=24000.0)),
    "propeller.propeller_too_large": spoil(part_of("airframe", propeller_diameter_max_mm=144.0)),
    "propeller.tip_too_fast": spoil(
        part_of("pack", cell_full_v=6.3),
        others=(
            "leads.main_lead_overloaded",
            "power.motor_current_above_controller_rating",
            "power.motor_overloaded",
            "propeller.propeller_too_fast",
        ),
    ),
    "propeller.turns_the_wrong_way": spoil(part_of("propeller", hand="cw")),
    "radio.aerial_does_not_plug_in": spoil(part_of("aerial", connector="other")),
    "radio.aerial_for_another_band": spoil(part_of("aerial", band_min_mhz=6160.0)),
    "radio.band_not_allowed": spoil(
        build_of(radio_limits=(RadioLimit(100.0, 6000.0, False, None),))
    ),
    "radio.polarisation_differs": spoil(part_of("aerial", polarisation="linear")),
    "radio.radiated_power_too_high": spoil(part_of("video", power_mw=37.5)),
    "radio.telemetry_power_too_high": spoil(
        part_of("receiver", telemetry_power_mw=100.0),
        build_of(radio_limits=(RadioLimit(100.0, 6000.0, True, 50.0),)),
    ),
    "radio.unit_without_aerial": spoil(part_of("receiver", antenna_connector="other")),
    "rails.linear_regulator_hot": spoil(fitted("regulator", topology="linear", voltage_out_v=9.0)),
    "rails.rail_overloaded": spoil(part_of("board", rail_5v_a=0.0)),
    "rails.rail_voltage_unsuitable": spoil(part_of("receiver", voltage_min_v=5.4)),
    "rails.servo_rail_without_supply": spoil(
        emptied("board"), others=("records.required_place_empty",)
    ),
    "rails.servo_voltage_unsuitable": spoil(part_of("board", servo_rail_v=4.5)),
    "reach.lead_too_short": spoil(part_of("servo_left", lead_length_mm=125.0)),
    "checks.checks_due": spoil(build_of(revision=4, changed_in={"part.servo": 4})),
    "checks.crash_not_inspected": spoil(
        build_of(
            revision=4,
            changed_in={"crash": 4},
            checks_done=dict.fromkeys(set(BY_KEY) - {"crash_inspection"}, 4),
        )
    ),
    "records.figures_from_memory": spoil(part_of("gps", mass_g=Value(6.6, "guessed"))),
    "records.mass_older_than_repair": spoil(
        part_of("gps", mass_g=Value(6.6, "weighed", at=WEIGHED_AT)),
        known("gps", repaired_at=WEIGHED_AT + timedelta(days=3)),
    ),
    "records.promised_part_fitted": spoil(known("gps", claimed_by_id=9, claimed_by="ada")),
    "records.read_in_another_unit": spoil(part_of("gps", mass_g=6.6 / 28.35)),
    "records.airframe_mass_unclear": spoil(part_of("airframe", dry_mass_contents=None)),
    "records.required_place_empty": spoil(emptied("airframe")),
    "records.unusable_part_fitted": spoil(part_of("airframe", condition="suspect")),
    "records.weighed_far_from_sheet": spoil(part_of("airframe", mass_g=141.6)),
    "signal.inverted_signal_not_read": spoil(
        part_of("receiver", is_output_inverted=True), part_of("board", accepts_inverted=False)
    ),
    "signal.link_band_differs": spoil(part_of("receiver", band_mhz=2160.0)),
    "signal.link_family_differs": spoil(part_of("receiver", link_family="other")),
    "signal.link_version_differs": spoil(part_of("receiver", link_version=2)),
    "signal.motor_signal_not_understood": spoil(part_of("controller", protocols=["other"])),
    "signal.pulse_centre_differs": spoil(
        part_of("servo_left", pulse_centre_us=1200.0), others=("controls.servos_of_pair_differ",)
    ),
    "signal.receiver_not_understood": spoil(part_of("receiver", output_protocols=["other"])),
    "signal.servo_rate_too_high": spoil(part_of("servo_left", frame_rate_max_hz=0.0)),
    "signal.too_few_channels": spoil(part_of("receiver", channel_count=4)),
    "sources.single_source_of_power": spoil(
        part_of("pack", mass_g=10000),
        others=(
            "aerodynamics.wing_loaded_beyond_role",
            "power.pitch_speed_too_low",
            "power.thrust_too_low",
            "records.weighed_far_from_sheet",
            "weight.balance_out_of_range",
            "weight.pack_place_outside_tray",
            "weight.too_heavy",
        ),
    ),
    "sources.two_sources_on_one_rail": spoil(part_of("controller", has_regulator=True)),
    "sources.video_shares_rail_with_servos": spoil(place_of("camera", supply="servo_rail")),
    "surfaces.arm_or_horn_not_square": spoil(
        hinged(arm_angle_deg=60.0, horn_angle_deg=90.0),
        others=("controls.combined_throw_out_of_reach", "controls.throw_out_of_reach"),
    ),
    "surfaces.play_at_high_speed": spoil(
        hinged(play_mm=0.6),
        build_of(speed_max_m_s=45.0),
        others=("controls.combined_throw_out_of_reach", "controls.servo_torque_too_small"),
    ),
    "surfaces.too_much_play": spoil(
        hinged(play_mm=5.0), others=("controls.combined_throw_out_of_reach",)
    ),
    "video.camera_of_another_system": spoil(part_of("camera", video_system="other")),
    "video.camera_plug_differs": spoil(
        part_of("camera", video_standard="digital", plug="M14"), part_of("video", camera_plug="M20")
    ),
    "video.control_not_wired": spoil(place_of("video", serial_port=0.0)),
    "video.ground_of_another_system": spoil(gear_of("video_receiver", video_system="other")),
    "video.hot_when_standing": spoil(
        part_of("video", power_mw=5000.0, needs_airflow=True),
        others=("radio.radiated_power_too_high",),
    ),
    "video.standard_differs": spoil(build_of(overlay_standard="525/60")),
    "weight.above_club_line": spoil(build_of(club_mass_line_g=0.0)),
    "weight.balance_out_of_range": spoil(build_of(cg_min_x_mm=1.0)),
    "weight.heavy_parts_not_weighed": spoil(part_of("airframe", mass_g=Value(177.0, "sheet"))),
    "weight.pack_off_its_tray": spoil(place_of("pack", x_max_mm=62.4)),
    "weight.pack_place_outside_tray": spoil(part_of("airframe", mass_g=194.7)),
    "weight.sum_far_from_scale": spoil(
        weighed(mass_g=600.0, cg_x_mm=134.0), others=("aerodynamics.wing_loaded_beyond_role",)
    ),
    "weight.too_heavy": spoil(build_of(takeoff_mass_max_g=0.0)),
    "weight.weigh_in_is_stale": spoil(weighed(mass_g=509.0), build_of(revision=9)),
}
