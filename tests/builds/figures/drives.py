"""Drives as plain records: a bench motor of known constants, and the invented small wing."""

from dataclasses import replace
from datetime import UTC, datetime

from builds.figures import figures_of
from builds.records import (
    BuildSnapshot,
    PartRecord,
    PositionRecord,
    PowerReadingRecord,
    Value,
)

MOTOR, PROPELLER = 3, 4
READ_AT = datetime(2026, 3, 1, 9, 30, tzinfo=UTC)
NEWTON_G = 1000 / 9.80665


def position(number, kind, values, *, quantity=1, **shape):
    part = PartRecord(
        number, f"C{number}", kind, kind, values={k: Value(v) for k, v in values.items()}
    )
    name = kind.replace("_", " ").capitalize()
    return PositionRecord(number, kind, name, kind, part=part, quantity=quantity, **shape)


# scipy.optimize.brentq 1.17.1, outside this project: 900 rpm/V, 90 mohm, 0.9 A, a propeller of
# 254 mm with Ct 0.1185 and Cp 0.0480, 11.1 V, 30 mohm of pack, 5 mohm of controller, 1.225 kg/m3
# give 8016.23 rpm, 17.5447 A, 10.7852 N and 10.5737 V at the controller.
BENCH = {
    "motor": {"kv_rpm_v": 900, "resistance_mohm": 90, "no_load_current_a": 0.9},
    "propeller": {"diameter_mm": 254, "thrust_coefficient": 0.1185, "power_coefficient": 0.0480},
    "speed_controller": {"resistance_mohm": 5},
    "lead": {"resistance_mohm_m": 0.0, "gauge_awg": 12, "loop_length_mm": 1},
    "pack": {
        "cell_count": 3,
        "cell_full_v": 3.8,
        "cell_resistance_mohm": [10.0, 10.0, 10.0],
        "capacity_mah": 2200,
    },
}


def bench(*readings, changes=None, quantity=1, **build):
    """The bench motor; `changes` replace values by kind, None takes one away."""
    kinds = ("airframe", "speed_controller", "motor", "propeller", "lead", "pack")
    sheets = {"airframe": {"mass_g": 1000}, **BENCH}
    for kind, values in (changes or {}).items():
        sheets[kind] = {k: v for k, v in {**sheets[kind], **values}.items() if v is not None}
    positions = tuple(
        position(
            number, kind, sheets[kind], quantity=quantity if kind in ("motor", "propeller") else 1
        )
        for number, kind in enumerate(kinds, start=1)
    )
    return BuildSnapshot(1, "Bench", positions, power_readings=readings, **build)


def reading(**values):
    """What the bench motor shows at full throttle on the bench."""
    given = {
        "id": 1,
        "voltage_v": 10.5737,
        "current_a": 17.5447,
        "speed_rpm": 8016.23,
        "thrust_g": 10.7852 * NEWTON_G,
        "motor_id": MOTOR,
        "propeller_id": PROPELLER,
        "at": READ_AT,
    }
    return PowerReadingRecord(**(given | values))


def small_wing(*, cells, motor=None, auw_g=509.1, **build):
    """The invented small wing with a propeller of 6 x 4.5 in and a pack of those cells [mohm]."""
    values = motor or {"kv_rpm_v": 1900, "resistance_mohm": 43, "no_load_current_a": 1.2}
    stations = [
        {"y_mm": 0.0, "leading_edge_x_mm": 60.0, "chord_mm": 190.0, "z_mm": 0.0},
        {"y_mm": 320.0, "leading_edge_x_mm": 155.0, "chord_mm": 110.0, "z_mm": 0.0},
    ]
    positions = (
        position(
            1,
            "airframe",
            {"mass_g": auw_g, "layout": "flying_wing", "wing_stations": stations},
        ),
        position(2, "speed_controller", {"resistance_mohm": 10.0, "current_continuous_a": 40.0}),
        position(MOTOR, "motor", {**values, "current_max_a": 38.0, "power_max_w": 900.0}),
        position(
            PROPELLER, "propeller", {"diameter_mm": 152.4, "pitch_mm": 114.3, "blade_count": 2}
        ),
        position(5, "lead", {"gauge_awg": 14.0, "loop_length_mm": 600.0, "plug_a": "two-pin"}),
        position(
            6,
            "pack",
            {
                "cell_count": len(cells),
                "chemistry": "lipo",
                "cell_resistance_mohm": cells,
                "capacity_mah": 1300.0,
                "continuous_c_rate": 75.0,
                "plug": "two-pin",
            },
        ),
    )
    weightless = tuple(
        replace(p, part=replace(p.part, values={**p.part.values, "mass_g": Value(0.0)}))
        if p.kind != "airframe"
        else p
        for p in positions
    )
    return BuildSnapshot(1, "Small wing", weightless, **build)


def figures(snapshot):
    return figures_of(snapshot)
