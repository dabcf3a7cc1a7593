"""The drive as a whole: other cells than usual, sag at the end, the sensor that counts."""

from __future__ import annotations

from collections.abc import Iterator

from builds.findings import Case, Finding, Level, Limit, MissingValue, book
from builds.limits import is_above, is_below, number
from builds.supply import LANDING_V, cells_if_known

PRACTICE = "common practice, no source"
MILLI = 1e-3


@book.rule(
    group="drive",
    needs=(
        "build.usual_cell_count",
        "build.usual_drive",
        "build.packs_wiring",
        "pack.cell_count",
        "motor.kv_rpm_v",
        "propeller.diameter_mm",
        "figure.motor_current_max_a",
        "speed_controller.current_continuous_a",
    ),
    sees="propeller",
    source="physics: speed goes with the voltage, a propeller's power with the cube of its speed",
)
def more_cells_than_usual(case: Case) -> Iterator[Finding]:
    """Has the pack more cells than the usual one, with the same motor and propeller?

    The power goes with the cube of the voltage, so half as many cells again mean some 3.4 times
    the power. It is a warning when the motor then draws more than its speed controller carries.
    """
    build = case.build
    usual = case.ask(build, "usual_cell_count")
    drive = build.fitted("motor", "propeller")
    ids = tuple(position.part.id for position in drive if position.part)
    if usual is None or ids != case.ask(build, "usual_drive"):
        return
    cells = cells_if_known(case)
    if cells is None or cells <= usual:
        return
    ratio = (cells / usual) ** 3
    motor, propeller = build.first("motor"), build.first("propeller")
    kv = case.ask(motor, "kv_rpm_v") if motor else None
    if propeller:
        case.ask(propeller, "diameter_mm")
    wanted = None if kv is None else kv * usual / cells
    keeps = f"about {wanted:.0f} rpm/V" if wanted else f"{usual / cells:.2f} of the present one"
    yield case.finding(
        Level.WARNING if _is_controller_overloaded(case) else Level.CAUTION,
        f"{cells} cells instead of {usual} on the same motor and propeller: about {ratio:.1f} "
        "times the power.",
        f"Fit a smaller propeller, or a motor with a lower speed constant: {keeps}.",
        cell_count=cells,
        usual_cell_count=usual,
        power_ratio=ratio,
        kv_rpm_v=wanted,
    )


def _is_controller_overloaded(case: Case) -> bool:
    figure = case.ask_figure("motor_current_max_a")
    ratings = [
        case.ask(controller, "current_continuous_a")
        for controller in case.build.fitted("speed_controller")
    ]
    known = [rating for rating in ratings if rating is not None]
    return bool(figure and known and is_above(figure.value, min(known)))


@book.rule(
    group="drive",
    each="pack",
    needs=(
        "figure.pack_current_each_max_a",
        "pack.cell_resistance_mohm",
        "pack.chemistry",
        "pack.current_continuous_a",
        "pack.continuous_c_rate",
        "pack.capacity_mah",
    ),
    source="Ohm's law; the voltages are common practice, no source",
    limits=(
        Limit("rest_cell_v", 3.7, "cell at rest at the end of a flight (LiPo)", 3.0, 4.2),
        Limit("sag_caution_v", 3.3, "cell under load, caution below (LiPo)", 2.0, 4.2),
        Limit("sag_warning_v", 3.0, "cell under load, warning below (LiPo)", 2.0, 4.2),
    ),
)
def sag_at_end_of_flight(case: Case) -> Iterator[Finding]:
    """Does a cell fall too low at full throttle at the end of a flight?

    The weakest cell counts: its voltage at rest less its resistance times the current of a fresh
    pack at full throttle. For another chemistry all three voltages move with its voltage at
    landing. A pack that is overloaded anyway is left to the rule on its current.
    """
    subject = case.subject
    assert subject is not None
    if not case.build.fitted("motor"):
        return
    chemistry = case.ask(subject, "chemistry") or "lipo"
    if chemistry == "nimh":
        return
    (resistances,) = case.need((subject, "cell_resistance_mohm"))
    current = case.need_figure("pack_current_each_max_a").value
    rating = _rating(case)
    if not resistances or (rating is not None and is_above(current, rating)):
        return
    shift = LANDING_V.get(chemistry, LANDING_V["lipo"]) - LANDING_V["lipo"]
    worst = max(resistances)
    volts = case.limit("rest_cell_v") + shift - worst * MILLI * current
    caution, warning = case.limit("sag_caution_v") + shift, case.limit("sag_warning_v") + shift
    if not is_below(volts, caution):
        return
    yield case.finding(
        Level.WARNING if is_below(volts, warning) else Level.CAUTION,
        f"{subject.title}: at the end of a flight {number(current)} A pull the weakest cell "
        f"({number(worst)} mΩ) down to {volts:.2f} V; {number(caution)} V is wanted.",
        "Land earlier, keep to less throttle then, or fly a better pack.",
        cell_v=volts,
        wanted_v=caution,
        current_a=current,
        cell_mohm=worst,
    )


def _rating(case: Case) -> float | None:
    """What the pack gives continuously [A], None when nobody says."""
    pack = case.subject
    assert pack is not None
    stated = case.ask(pack, "current_continuous_a")
    if stated is not None:
        return float(stated)
    c_rate, capacity_mah = case.ask(pack, "continuous_c_rate"), case.ask(pack, "capacity_mah")
    if c_rate is None or capacity_mah is None:
        return None
    return float(c_rate * capacity_mah * MILLI)


@book.rule(
    group="drive",
    needs=(
        "build.current_scale_mv_a",
        "flight_controller.current_sensor_mv_a",
        "flight_controller.current_sensor_max_a",
        "speed_controller.current_sensor_mv_a",
        "speed_controller.current_sensor_max_a",
    ),
    source="the maker's sheet; the tolerance is common practice, no source",
    limits=(
        Limit("difference_percent", 10.0, "how far calibration may move the scale", 0.0, 100.0),
    ),
)
def current_scale_differs(case: Case) -> Iterator[Finding]:
    """Is the current sensor's scale set otherwise than its maker says?

    Current and charge used are then told wrong by as much. Of several sensors one must match; a
    sheet that gives neither scale nor range means a part without a sensor.
    """
    sensors = [
        position
        for position in case.build.fitted("flight_controller", "speed_controller")
        if case.ask(position, "current_sensor_max_a") or case.ask(position, "current_sensor_mv_a")
    ]
    if not sensors:
        return
    (setting,) = case.need((case.build, "current_scale_mv_a"))
    scales, missing = case.look(*((sensor, "current_sensor_mv_a") for sensor in sensors))
    known = [scale for scale in scales if scale]
    nearest = min(known, key=lambda scale: abs(scale - setting), default=None)
    if nearest is not None and not is_above(
        abs(setting / nearest - 1) * 100, case.limit("difference_percent")
    ):
        return
    if missing or nearest is None:
        raise MissingValue(missing)
    yield case.finding(
        Level.CAUTION,
        f"The current sensor is set to {number(setting)} mV/A; its maker says "
        f"{number(nearest)} mV/A.",
        "Set the maker's scale, and check it against the charge put back.",
        set_mv_a=setting,
        sheet_mv_a=nearest,
    )
