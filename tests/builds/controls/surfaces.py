"""An elevon of a small wing as plain records, in its aircraft."""

from dataclasses import replace

from builds.records import SurfaceRecord, ThrowReading
from tests.builds.records_builder import aircraft, with_part

ELEVON = SurfaceRecord(
    id=1,
    key="left_elevon",
    name="Left elevon",
    mixing="elevon",
    servo_key="servo_left",
    horn_radius_mm=14.0,
    axis_distance_mm=80.0,
    arm_radius_mm=10.0,
    span_mm=230.0,
)


def elevon(**changes):
    return replace(ELEVON, **changes)


def wing(*surfaces, speed_max_m_s=30.0, **servo):
    """A wing of 36 mm chord with the surfaces; `servo` changes the left servo."""
    arm = {"arm_radii_mm": [8.0, 10.0, 12.0], "travel_deg": 45.0, "pulse_span_us": 500.0}
    build = with_part(aircraft(speed_max_m_s=speed_max_m_s), "servo_left", **{**arm, **servo})
    return replace(build, surfaces=surfaces or (ELEVON,))


def reading(axis="roll", up_mm=None, down_mm=None, travel_percent=None, **more):
    return ThrowReading(axis, up_mm, down_mm, travel_percent, **more)
