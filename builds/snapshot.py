"""From the database to plain records, in a constant number of queries."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from itertools import groupby
from typing import Any

from django.db import models
from django.db.models import ExpressionWrapper, OuterRef, Q, Subquery
from django.utils import timezone

from builds.models import (
    Build,
    CheckDone,
    ControlSurface,
    Fitting,
    GroundChoice,
    Position,
    PowerReading,
    RuleLimit,
    WeighIn,
)
from builds.pack_log import HEALTH_FACTS, LOG_FACTS, health_facts, log_facts
from builds.promises import of_pool, overdue_days
from builds.querysets import GroundChoiceQuerySet
from builds.records import (
    AirRecord,
    BuildSnapshot,
    PartRecord,
    PositionRecord,
    PowerReadingRecord,
    RadioLimit,
    SurfaceRecord,
    ThrowReading,
    Value,
    WeighInRecord,
)
from hangar.clubs.models import RadioLimit as ClubRadioLimit
from hangar.clubs.models import User
from inventory.kinds import DataSheet
from inventory.models import LogEntry, Measurement, Part
from inventory.pack_health import LAST_INSPECTION, judge_as_read
from inventory.querysets import PartQuerySet

COMMON = ("mass_g", "length_mm", "width_mm", "height_mm")
LOG_COLUMNS: dict[str, tuple[str, str]] = {
    LogEntry.Kind.RESISTANCE: ("cell_resistance_mohm", "resistance_mohm"),
    LogEntry.Kind.REST: ("cell_rest_v", "rest_v"),
}
"""What a pack's record takes from its log: the name in the record, the column of the entry."""
HEALTH = ("health_verdict", "health_reason", "capacity_now_mah", *HEALTH_FACTS, *LOG_FACTS)
"""What a pack's record takes from the verdict on its log and from its last entries."""
SHAPE = (
    "key",
    "name",
    "kind",
    "is_required",
    "x_mm",
    "y_mm",
    "z_mm",
    "x_min_mm",
    "x_max_mm",
    "length_mm",
    "width_mm",
    "height_mm",
    "plate_mm",
    "axis_to_airframe_mm",
    "axis_to_ground_mm",
    "opening_cm2",
    "aerial_clearance_mm",
    "aerial_angle_deg",
    "has_sky_view",
    "supply",
    "regulator_key",
    "output",
    "serial_port",
    "turning",
    "route_mm",
    "extension_mm",
    "is_regulator_cut",
)
LINKAGE = (
    "key",
    "name",
    "mixing",
    "chord_mm",
    "span_mm",
    "horn_radius_mm",
    "horn_angle_deg",
    "axis_distance_mm",
    "arm_radius_mm",
    "arm_angle_deg",
    "hinge_limit_deg",
    "play_mm",
    "throw_roll_mm",
    "throw_pitch_mm",
    "throw_yaw_mm",
)
READING = ("axis", "up_mm", "down_mm", "travel_percent", "source", "at", "revision", "note")

BENCH = (
    "voltage_v",
    "current_a",
    "speed_rpm",
    "thrust_g",
    "elevation_m",
    "temperature_c",
    "motor_id",
    "propeller_id",
    "revision",
    "at",
    "note",
)

AS_SET = (
    "planned_flight_s",
    "timer_s",
    "voltage_alarm_v",
    "cell_alarm_v",
    "current_scale_mv_a",
    "gps_baud_hz",
    "overlay_standard",
    "is_usb_reachable",
)
"""Set-up of the build that only rules read."""

WEIGHED = (
    "mass_g",
    "uncertainty_g",
    "cg_x_mm",
    "cg_uncertainty_mm",
    "revision",
    "at",
    "note",
)
WEIGH_INS_READ = 10
"""The newest weigh-ins, of which only that of the present revision counts."""


@dataclass(frozen=True)
class Picture:
    """A build as recorded, with what was read beside it.

    `fittings` are the ids of the open fittings by position id; `others` are the records of other
    parts by id.
    """

    snapshot: BuildSnapshot
    fittings: Mapping[int, int]
    others: Mapping[int, PartRecord]


def take_snapshot(
    build: Build, *, viewer: User | None = None, pack: Part | None = None
) -> BuildSnapshot:
    """Freeze a build as fitted, with the given pack, else its fitted one, else its usual one.

    `viewer` adds that person's own ground gear.
    """
    return take_picture(build, viewer=viewer, pack=pack).snapshot


def take_picture(
    build: Build,
    *,
    viewer: User | None = None,
    pack: Part | None = None,
    others: Iterable[int] | PartQuerySet[Part] = (),
) -> Picture:
    """The snapshot, and in the same queries the records of other parts, given or by their ids."""
    positions, fittings = _positions_and_fittings(build)
    chosen = pack.pk if pack else build.pack_id
    wanted = {fitting.part_id for fitting in fittings.values()}
    wanted |= {one for one in (chosen, build.pack_id) if one}
    weigh_ins = _weigh_ins(build) if _any(positions, "was_weighed") else []
    wanted |= {one.pack_id for one in weigh_ins if one.pack_id}
    rows = _rows(wanted, _ground_choices(build, viewer), others)
    records = _records(rows)
    snapshot = BuildSnapshot(
        id=build.pk,
        name=build.name,
        positions=tuple(_position(position, fittings, records) for position in positions),
        ground=_ground(rows, records),
        radio_limits=_radio_limits(build),
        club_mass_line_g=build.club.mass_line_g if build.club else None,
        motor_signal=build.motor_signal,
        servo_rate_hz=build.servo_rate_hz,
        cg_min_x_mm=build.cg_min_x_mm,
        cg_max_x_mm=build.cg_max_x_mm,
        cg_target_x_mm=build.cg_target_x_mm,
        takeoff_mass_max_g=build.takeoff_mass_max_g,
        speed_max_m_s=build.speed_max_m_s,
        cruise_speed_m_s=build.cruise_speed_m_s,
        surfaces=_surfaces(build, positions, fittings),
        packs_wiring=build.packs_wiring,
        revision=build.revision,
        air=AirRecord(build.club.field_elevation_m, None, "club") if build.club else AirRecord(),
        full_throttle_share_percent=build.full_throttle_share_percent,
        reserve_percent=build.reserve_percent,
        **{name: getattr(build, name) for name in AS_SET},
        role=build.role,
        is_hand_launched=build.is_hand_launched,
        work_planned=build.work_planned,
        changed_in=build.changed_in,
        person_id=build.person_id,
        power_readings=_power_readings(build) if _any(positions, "was_on_bench") else (),
    )
    snapshot = replace(
        snapshot,
        rule_limits=_rule_limits(build) if _any(positions, "has_rule_limits") else {},
        checks_done=_checks_done(build) if _any(positions, "was_checked") else {},
        weigh_ins=tuple(_weigh_in(one, snapshot, records, build.pack_x_mm) for one in weigh_ins),
    )
    own_pack = records[build.pack_id] if build.pack_id else None
    snapshot = replace(snapshot, **_usual(snapshot, own_pack))
    fitted = snapshot.pack if pack is None else None
    usual = records[chosen] if chosen else None
    return Picture(
        snapshot=snapshot.with_pack(fitted or usual, build.pack_x_mm),
        fittings={fitting.position_id: fitting.pk for fitting in fittings.values()},
        others={row.pk: records[row.pk] for row in rows if row.is_beside},
    )


def _usual(build: BuildSnapshot, usual_pack: PartRecord | None) -> dict[str, Any]:
    """What the build flies with as recorded, whatever is tried instead."""
    fitted = [
        position.part
        for position in build.fitted("pack")
        for _ in range(position.quantity)
        if position.part
    ]
    packs = fitted or ([usual_pack] if usual_pack else [])
    drive = build.fitted("motor", "propeller")
    return {
        "usual_cell_count": packs[0].get("cell_count") if len(packs) == 1 else None,
        "usual_drive": tuple(position.part.id for position in drive if position.part),
    }


def _positions_and_fittings(build: Build) -> tuple[Sequence[Position], dict[int, Fitting]]:
    """All positions, and the open fittings by position id, in one query.

    Each position says too what was ever measured on the build, so that nothing is looked for in
    vain.
    """
    still_in = models.Q(fittings__removed_at__isnull=True)
    positions = list(
        Position.objects.filter(build=build)
        .annotate(
            now=models.FilteredRelation("fittings", condition=still_in),
            was_weighed=models.Exists(WeighIn.objects.filter(build=build)),
            was_on_bench=models.Exists(PowerReading.objects.filter(build=build)),
            was_checked=models.Exists(CheckDone.objects.filter(build=build)),
            has_rule_limits=models.Exists(_set_limits(build)),
        )
        .select_related("now")  # type: ignore[misc] # the checker knows no filtered relations
    )
    fittings = {position.pk: getattr(position, "now", None) for position in positions}
    return positions, {pk: fitting for pk, fitting in fittings.items() if fitting is not None}


def _any(positions: Iterable[Position], name: str) -> bool:
    return any(getattr(position, name) for position in positions)


def part_records(parts: PartQuerySet[Part]) -> dict[int, PartRecord]:
    """Plain records of parts by id: a few queries, however many parts."""
    return _records(_with_columns(parts))


def _ground_choices(build: Build, viewer: User | None) -> GroundChoiceQuerySet[GroundChoice]:
    """The viewer's ground gear for this build, and for all."""
    if viewer is None:
        return GroundChoice.objects.none()
    return GroundChoice.objects.filter(Q(build=build) | Q(build=None), person=viewer)


def _ground(rows: Iterable[Any], records: Mapping[int, PartRecord]) -> dict[str, PartRecord]:
    """Ground gear by role; what is named for the build leads."""
    named = [row for row in rows if row.ground_role]
    named.sort(key=lambda row: row.is_ground_of_build)
    return {row.ground_role: records[row.pk] for row in named}


def _rows(
    wanted: Iterable[int],
    choices: GroundChoiceQuerySet[GroundChoice],
    others: Iterable[int] | PartQuerySet[Part],
) -> Sequence[Any]:
    """Parts by id, those beside them and ground gear, each saying which it is."""
    beside = Q(pk__in=others.values("pk") if isinstance(others, PartQuerySet) else set(others))
    parts = Part.objects.filter(
        Q(pk__in=set(wanted)) | beside | Q(pk__in=choices.values("part"))
    ).annotate(
        is_beside=ExpressionWrapper(beside, models.BooleanField()),
        ground_role=Subquery(choices.filter(part=OuterRef("pk")).values("role")[:1]),
        is_ground_of_build=models.Exists(choices.filter(part=OuterRef("pk"), build__isnull=False)),
    )
    return _with_columns(parts)


def _with_columns(parts: PartQuerySet[Part]) -> Sequence[Any]:
    return list(parts.with_sheets().annotate(inspected_at=LAST_INSPECTION, **of_pool()))


def _records(rows: Sequence[Any]) -> dict[int, PartRecord]:
    measured: dict[int, list[Measurement]] = defaultdict(list)
    for measurement in Measurement.objects.filter(part__in=[row.pk for row in rows]).select_related(
        "by"
    ):
        measured[measurement.part_id].append(measurement)
    told = _told_by_logs({row.pk: row for row in rows if row.kind == "pack"}, measured)
    return {row.pk: _part(row, measured[row.pk], told.get(row.pk, {})) for row in rows}


def _told_by_logs(
    packs: Mapping[int, Any], measured: Mapping[int, list[Measurement]]
) -> dict[int, dict[str, Value]]:
    """What each pack's log last said of its cells, the capacity it tells, and the verdict on it."""
    now = timezone.now()
    logs: dict[int, list[LogEntry]] = defaultdict(list)
    if packs:
        rows = LogEntry.objects.standing().filter(pack__in=packs).select_related("by")
        for row in rows.order_by("started_at", "recorded_at"):
            logs[row.pack_id].append(row)
    return {pk: _told(pack, logs[pk], measured.get(pk, []), now) for pk, pack in packs.items()}


def _told(
    pack: Any, entries: list[LogEntry], measured: Iterable[Measurement], now: datetime
) -> dict[str, Value]:
    told = _last_readings(entries, now)
    report = judge_as_read(pack, entries, measured, pack.inspected_at, now)
    reason = next((one.message for one in report.reasons), "")
    told["health_verdict"] = Value(str(report.verdict), "computed")
    told["health_reason"] = Value(reason, "computed")
    told |= health_facts(report) | log_facts(entries, now)
    found = report.capacity
    if found is not None:
        told["capacity_now_mah"] = Value(
            found.value_mah, "measured", found.uncertainty_mah, found.at
        )
    return told


def _last_readings(entries: Iterable[LogEntry], now: datetime) -> dict[str, Value]:
    """The last resistance and rest readings of a log, oldest entry first."""
    read: dict[str, Value] = {}
    for entry in entries:
        named = LOG_COLUMNS.get(entry.kind)
        if named and entry.started_at <= now:
            name, column = named
            read[name] = Value(
                getattr(entry, column), "measured", None, entry.started_at, str(entry.by)
            )
    return read


def _part(part: Any, measurements: Iterable[Measurement], readings: dict[str, Value]) -> PartRecord:
    sheet = part.sheet.typed
    names = (*COMMON, *sheet.own_field_names())
    rated = {
        name: Value(getattr(sheet, name), "sheet")
        for name in names
        if getattr(sheet, name) not in (None, "", [])
    }
    measured: dict[str, Value] = {}
    for row in measurements:
        value = Value(row.value, row.source, row.uncertainty, row.measured_at, str(row.by))
        # A guess never takes the place of what the maker says or what was measured.
        earlier = measured.get(row.name) or rated.get(row.name)
        if value.is_guess and earlier is not None and not earlier.is_guess:
            continue
        measured[row.name] = value
    return PartRecord(
        id=part.pk,
        code=part.code,
        kind=part.kind,
        name=part.display_name,
        condition=part.condition,
        out_of_service=part.out_of_service,
        owner=part.owner_name,
        place=str(part.place or ""),
        count=part.count,
        claimed_by_id=part.claimed_by_id,
        claimed_by=part.claimed_by or "",
        lent_to_id=part.lent_to_id,
        lent_to=part.lent_to or "",
        overdue_days=overdue_days(part.due_back_on),
        repaired_at=part.inspected_at,
        values=rated | readings | measured,
        rated=rated,
    )


def _position(
    position: Position, fittings: dict[int, Fitting], records: dict[int, PartRecord]
) -> PositionRecord:
    fitting = fittings.get(position.pk)
    return PositionRecord(
        id=position.pk,
        hole_pattern_mm=tuple(position.hole_pattern_mm),
        part=records[fitting.part_id] if fitting else None,
        quantity=fitting.quantity if fitting else 1,
        **{name: getattr(position, name) for name in SHAPE},
    )


def _surfaces(
    build: Build, positions: Iterable[Position], fittings: Mapping[int, Fitting]
) -> tuple[SurfaceRecord, ...]:
    """All surfaces with the throws recorded on them, newest first, in one query."""
    rows = (
        ControlSurface.objects.filter(build=build)
        .order_by("pk", "-throws__at", "-throws__pk")
        .values(
            "pk",
            "servo_id",
            "since_revision",
            "throws__pk",
            "throws__by__username",
            *LINKAGE,
            *(f"throws__{name}" for name in READING),
        )
    )
    keys = {position.pk: position.key for position in positions}
    return tuple(
        _surface(list(group), keys, fittings) for _, group in groupby(rows, lambda row: row["pk"])
    )


def _surface(
    rows: Sequence[Mapping[str, Any]], keys: Mapping[int, str], fittings: Mapping[int, Fitting]
) -> SurfaceRecord:
    first = rows[0]
    fitting = fittings.get(first["servo_id"])
    # Another servo has another arm and another travel.
    servo_since = fitting.fitted_revision if fitting else 0
    return SurfaceRecord(
        id=first["pk"],
        servo_key=keys.get(first["servo_id"], ""),
        throws=tuple(
            ThrowReading(
                by=row["throws__by__username"],
                **{name: row[f"throws__{name}"] for name in READING},
            )
            for row in rows
            if row["throws__pk"] is not None
        ),
        since_revision=max(first["since_revision"], servo_since),
        **{name: first[name] for name in LINKAGE},
    )


def _power_readings(build: Build) -> tuple[PowerReadingRecord, ...]:
    """Readings on the bench, newest first."""
    rows = PowerReading.objects.filter(build=build).select_related("by")
    return tuple(
        PowerReadingRecord(
            id=row.pk, by=str(row.by), **{name: getattr(row, name) for name in BENCH}
        )
        for row in rows
    )


def _checks_done(build: Build) -> dict[str, int]:
    """The revision in which each check was last made."""
    rows = CheckDone.objects.filter(build=build).order_by().values("kind")
    return dict(rows.annotate(last=models.Max("revision")).values_list("kind", "last"))


def _weigh_ins(build: Build) -> list[WeighIn]:
    return list(WeighIn.objects.filter(build=build).select_related("by")[:WEIGH_INS_READ])


def _weigh_in(
    row: WeighIn,
    build: BuildSnapshot,
    records: Mapping[int, PartRecord],
    pack_x_mm: float | None,
) -> WeighInRecord:
    """A weigh-in; one of the present revision with what was on the scale."""
    pack = records[row.pack_id] if row.pack_id else None
    on_scale: tuple[PositionRecord, ...] = ()
    if row.revision == build.revision:
        is_fitted = pack is not None and any(p.part == pack for p in build.fitted("pack"))
        weighed = build if pack is None or is_fitted else build.with_pack(pack, pack_x_mm)
        on_scale = tuple(
            position
            for position in weighed.fitted()
            if position.key not in row.left_off and (pack is not None or position.kind != "pack")
        )
    return WeighInRecord(
        id=row.pk,
        pack=pack,
        left_off=tuple(row.left_off),
        by=str(row.by),
        on_scale=on_scale,
        **{name: getattr(row, name) for name in WEIGHED},
    )


def _radio_limits(build: Build) -> tuple[RadioLimit, ...]:
    limits = ClubRadioLimit.objects.none()
    if build.club_id:
        limits = ClubRadioLimit.objects.filter(club=build.club_id)
    elif build.person_id:
        limits = ClubRadioLimit.objects.filter(
            club__memberships__user=build.person_id, club__memberships__left_at__isnull=True
        )
    return tuple(
        RadioLimit(
            limit.band_min_mhz, limit.band_max_mhz, limit.is_allowed, limit.radiated_power_max_mw
        )
        for limit in limits
    )


def _set_limits(build: Build) -> models.QuerySet[RuleLimit]:
    """All that the club has set, for a person's own build all that the person's clubs have."""
    if build.club_id:
        return RuleLimit.objects.filter(club=build.club_id)
    if build.person_id:
        return RuleLimit.objects.of_person(build.person_id)
    return RuleLimit.objects.none()


def _rule_limits(build: Build) -> dict[str, Value]:
    """What counts now, by rule and name; where clubs of a person differ, what was set last."""
    rows = _set_limits(build).newest().select_related("by", "club")  # type: ignore[attr-defined]
    return {
        f"{row.rule}.{row.name}": Value(row.value, "club", at=row.at, by=f"{row.by} for {row.club}")
        for row in rows.order_by("at", "pk")
        if row.value is not None
    }


def kinds_with(name: str) -> tuple[str, ...]:
    """Kinds whose sheets have a column of that name."""
    return tuple(
        kind
        for kind, sheet in DataSheet.registry.items()
        if name in (*COMMON, *sheet.own_field_names())
    )
