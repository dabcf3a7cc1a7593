"""A build as plain frozen records: what every calculation and every rule reads."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime
from functools import cached_property
from typing import Any

GUESSES = ("guessed", "unknown")


@dataclass(frozen=True)
class Value:
    """One figure or fact, and where it comes from."""

    value: Any
    source: str = "sheet"
    uncertainty: float | None = None
    at: datetime | None = None
    by: str = ""

    @property
    def is_guess(self) -> bool:
        """Is it no more than a guess, so that no check may come out well by it."""
        return self.source in GUESSES


@dataclass(frozen=True)
class PartRecord:
    """One part: the values of its sheet, overlaid by what was measured on it.

    Claim and loan are those open today; `overdue_days` counts from the day it should have come
    back. `repaired_at` is when it was last inspected or repaired after damage.
    """

    id: int
    code: str
    kind: str
    name: str
    condition: str = "good"
    out_of_service: str = ""
    owner: str = ""
    place: str = ""
    count: int = 1
    claimed_by_id: int | None = None
    claimed_by: str = ""
    lent_to_id: int | None = None
    lent_to: str = ""
    overdue_days: int | None = None
    repaired_at: datetime | None = None
    values: Mapping[str, Value] = field(default_factory=dict)
    rated: Mapping[str, Value] = field(default_factory=dict)

    def known(self, name: str) -> Value | None:
        """The value of that name, measured before rated; None when nobody gave it."""
        return self.values.get(name)

    def get(self, name: str, default: Any = None) -> Any:
        """The bare value of that name, or `default`."""
        value = self.values.get(name)
        return default if value is None else value.value


@dataclass(frozen=True)
class PositionRecord:
    """One position and the part in it. Lengths in mm from the build's datum."""

    id: int
    key: str
    name: str
    kind: str
    is_required: bool = True
    x_mm: float | None = None
    y_mm: float | None = None
    z_mm: float | None = None
    x_min_mm: float | None = None
    x_max_mm: float | None = None
    length_mm: float | None = None
    width_mm: float | None = None
    height_mm: float | None = None
    hole_pattern_mm: tuple[float, ...] = ()
    plate_mm: float | None = None
    axis_to_airframe_mm: float | None = None
    axis_to_ground_mm: float | None = None
    opening_cm2: float | None = None
    aerial_clearance_mm: float | None = None
    aerial_angle_deg: float | None = None
    has_sky_view: bool | None = None
    supply: str = ""
    regulator_key: str = ""
    output: int | None = None
    serial_port: int | None = None
    turning: str = ""
    route_mm: float | None = None
    extension_mm: float | None = None
    is_regulator_cut: bool = False
    part: PartRecord | None = None
    quantity: int = 1

    @property
    def title(self) -> str:
        """How a message names it: position, and part when one is fitted."""
        return f"{self.name} ({self.part.name})" if self.part else self.name


@dataclass(frozen=True)
class ThrowReading:
    """A throw of one surface as somebody read, set or measured it. Heights in mm."""

    axis: str
    up_mm: float | None = None
    down_mm: float | None = None
    travel_percent: float | None = None
    source: str = "measured"
    at: datetime | None = None
    by: str = ""
    revision: int = 0
    note: str = ""


@dataclass(frozen=True)
class SurfaceRecord:
    """One control surface and the linkage from its servo.

    `since_revision` is the revision in which this linkage came to be as it is: throws read before
    were those of another.
    """

    id: int
    key: str
    name: str
    mixing: str
    servo_key: str = ""
    chord_mm: float | None = None
    span_mm: float | None = None
    horn_radius_mm: float | None = None
    horn_angle_deg: float | None = None
    axis_distance_mm: float | None = None
    arm_radius_mm: float | None = None
    arm_angle_deg: float | None = None
    hinge_limit_deg: float | None = None
    play_mm: float | None = None
    throw_roll_mm: float | None = None
    throw_pitch_mm: float | None = None
    throw_yaw_mm: float | None = None
    throws: tuple[ThrowReading, ...] = ()
    since_revision: int = 0


@dataclass(frozen=True)
class RadioLimit:
    """A band and its radiated power, as entered by the club."""

    band_min_mhz: float
    band_max_mhz: float
    is_allowed: bool
    radiated_power_max_mw: float | None = None


@dataclass(frozen=True)
class AirRecord:
    """The air that figures are worked out for; what nobody gave is assumed as standard.

    `source` says where the elevation comes from: `club`, or `asked` by whoever looks.
    """

    elevation_m: float | None = None
    temperature_c: float | None = None
    source: str = ""


@dataclass(frozen=True)
class WeighInRecord:
    """The finished aircraft as it was on the scale.

    `on_scale` are the positions whose parts were on it, known for a weigh-in of the present
    revision only: an older one was of another aircraft.
    """

    id: int
    mass_g: float
    revision: int
    uncertainty_g: float | None = None
    cg_x_mm: float | None = None
    cg_uncertainty_mm: float | None = None
    pack: PartRecord | None = None
    left_off: tuple[str, ...] = ()
    at: datetime | None = None
    by: str = ""
    note: str = ""
    on_scale: tuple[PositionRecord, ...] = ()


@dataclass(frozen=True)
class PowerReadingRecord:
    """One full-throttle reading on the bench, and the parts it was taken with.

    Current and pull are those of all motors together.
    """

    id: int
    voltage_v: float
    current_a: float
    speed_rpm: float
    thrust_g: float | None = None
    elevation_m: float | None = None
    temperature_c: float | None = None
    motor_id: int | None = None
    propeller_id: int | None = None
    revision: int = 0
    at: datetime | None = None
    by: str = ""
    note: str = ""


@dataclass(frozen=True)
class BuildSnapshot:
    """A frozen picture of a build: the only thing that calculations and rules see.

    `rule_limits` are the thresholds that a club has set, by rule and name: `group.rule.name`.
    `changed_in` says in which revision each kind of change came last, `checks_done` in which each
    check was last made; `person_id` is the owner's where the build is not a club's.
    """

    id: int
    name: str
    positions: tuple[PositionRecord, ...] = ()
    ground: Mapping[str, PartRecord] = field(default_factory=dict)
    radio_limits: tuple[RadioLimit, ...] = ()
    club_mass_line_g: float | None = None
    motor_signal: str = ""
    servo_rate_hz: float | None = None
    cg_min_x_mm: float | None = None
    cg_max_x_mm: float | None = None
    cg_target_x_mm: float | None = None
    takeoff_mass_max_g: float | None = None
    speed_max_m_s: float | None = None
    surfaces: tuple[SurfaceRecord, ...] = ()
    packs_wiring: str = ""
    revision: int = 0
    cruise_speed_m_s: float | None = None
    air: AirRecord = AirRecord()
    weigh_ins: tuple[WeighInRecord, ...] = ()
    full_throttle_share_percent: float | None = None
    reserve_percent: float | None = None
    planned_flight_s: float | None = None
    timer_s: float | None = None
    voltage_alarm_v: float | None = None
    cell_alarm_v: float | None = None
    current_scale_mv_a: float | None = None
    gps_baud_hz: float | None = None
    overlay_standard: str = ""
    is_usb_reachable: bool | None = None
    usual_cell_count: int | None = None
    usual_drive: tuple[int, ...] = ()
    role: str = ""
    is_hand_launched: bool | None = None
    work_planned: str = ""
    power_readings: tuple[PowerReadingRecord, ...] = ()
    rule_limits: Mapping[str, Value] = field(default_factory=dict)
    changed_in: Mapping[str, int] = field(default_factory=dict)
    checks_done: Mapping[str, int] = field(default_factory=dict)
    person_id: int | None = None

    def fitted(self, *kinds: str) -> tuple[PositionRecord, ...]:
        """Positions with a part in them, of the kinds given or of all kinds."""
        if kinds not in self._fitted:
            self._fitted[kinds] = tuple(
                position
                for position in self.positions
                if position.part is not None and (not kinds or position.part.kind in kinds)
            )
        return self._fitted[kinds]

    def first(self, kind: str) -> PositionRecord | None:
        """The first position with a part of that kind."""
        return next(iter(self.fitted(kind)), None)

    def at(self, key: str) -> PositionRecord | None:
        """The position of that short name."""
        return self._by_key.get(key)

    @cached_property
    def _fitted(self) -> dict[tuple[str, ...], tuple[PositionRecord, ...]]:
        """What was asked for once: many rules ask for the same kinds."""
        return {}

    @cached_property
    def _by_key(self) -> Mapping[str, PositionRecord]:
        return {position.key: position for position in reversed(self.positions)}

    @property
    def pack(self) -> PartRecord | None:
        """The pack the build is judged with."""
        position = self.first("pack")
        return position.part if position else None

    @property
    def airframe(self) -> PartRecord | None:
        """The airframe part."""
        position = self.first("airframe")
        return position.part if position else None

    @property
    def weigh_in(self) -> WeighInRecord | None:
        """The newest weigh-in of this revision, which leads over the sum of the parts."""
        return next((one for one in self.weigh_ins if one.revision == self.revision), None)

    def in_air(
        self, *, elevation_m: float | None = None, temperature_c: float | None = None
    ) -> BuildSnapshot:
        """The same build in other air; what is not given stays as it was."""
        air = self.air
        if elevation_m is not None:
            air = replace(air, elevation_m=elevation_m, source="asked")
        if temperature_c is not None:
            air = replace(air, temperature_c=temperature_c)
        return replace(self, air=air)

    def dry_positions(self) -> Iterator[PositionRecord]:
        """Fitted positions without the pack."""
        return (position for position in self.fitted() if position.kind != "pack")

    def with_part(
        self, position_id: int, part: PartRecord | None, quantity: int = 1
    ) -> BuildSnapshot:
        """The same build with another part, or none, in one position."""
        return replace(
            self,
            positions=tuple(
                replace(position, part=part, quantity=quantity)
                if position.id == position_id
                else position
                for position in self.positions
            ),
        )

    def with_pack(self, pack: PartRecord | None, x_mm: float | None = None) -> BuildSnapshot:
        """The same build with another pack, or none: where one is, else in the first tray."""
        tray = self.first("pack") or next((p for p in self.positions if p.kind == "pack"), None)
        if tray is None:
            tray = PositionRecord(id=0, key="pack", name="Pack", kind="pack")
            return replace(self, positions=(*self.positions, replace(tray, part=pack, x_mm=x_mm)))
        moved = replace(tray, part=pack, x_mm=tray.x_mm if x_mm is None else x_mm)
        return replace(
            self,
            positions=tuple(moved if position is tray else position for position in self.positions),
        )
