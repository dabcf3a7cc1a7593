"""The list to go through before a flight, drawn up from one build. Lengths in mm, masses in g."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Iterator, Set
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

from builds.answers import Answered
from builds.balance import Mark
from builds.controls.linkages import wanted_throws
from builds.findings import Finding, Level
from builds.limits import number
from builds.rechecks import due_checks
from builds.records import BuildSnapshot, PartRecord, PositionRecord
from builds.reports import Report
from inventory.health.cautions import OUT_OF_SERVICE

UNKNOWN = "not known"
HELD = ("hatch", "canopy", "wing", "spar", "band", "strap", "latch", "clip", "retainer", "screw")
"""Words in the purpose of hardware that can come off, or that holds what can."""
OWN_SECTION = ("checks.checks_due",)
"""Rules whose findings are told line by line in a section of the sheet."""
CHECK_LINE = "check-"
"""How the key of a line begins that asks for a due check."""
CAUTIONS = (
    "This sheet is drawn up from what was entered. It is not a clearance to fly: the makers' data,"
    " your local rules and what you see and feel on the aircraft decide.",
    "Propeller: keep out of its plane and out of its line from the moment the pack is plugged in."
    " A motor can start by itself. Unplug the pack before you touch anything near it.",
    f"Packs: {OUT_OF_SERVICE}",
    "Radio: only bands and power that your licence and local rules allow. Never power a unit"
    " without its aerial.",
    "First-person flying: an observer beside the pilot keeps the aircraft in sight where the local"
    " rules ask for one.",
)


@dataclass(frozen=True)
class Fact:
    """Something to read off: its name, what it is, and a word on it."""

    name: str
    text: str
    note: str = ""


@dataclass(frozen=True)
class Line:
    """Something to look at and tick."""

    key: str
    text: str


@dataclass(frozen=True)
class Section:
    """Facts and lines that belong together."""

    key: str
    title: str
    facts: tuple[Fact, ...] = ()
    lines: tuple[Line, ...] = ()


@dataclass(frozen=True)
class OpenFinding:
    """A warning or a caution that stands, with the answer to it where somebody gave one."""

    level: str
    text: str
    remedy: str
    is_final: bool
    accepted_because: str = ""
    accepted_by: str = ""


@dataclass(frozen=True)
class Sheet:
    """A list to go through, not signed yet."""

    build: str
    revision: int
    pack: str
    is_first_flight: bool
    sections: tuple[Section, ...]
    findings: tuple[OpenFinding, ...]
    not_judged: int
    cautions: tuple[str, ...] = field(default=CAUTIONS)

    @property
    def lines(self) -> tuple[Line, ...]:
        """All that is to be ticked."""
        return tuple(line for section in self.sections for line in section.lines)

    @property
    def final_warnings(self) -> tuple[str, ...]:
        """Warnings that must be put right before it can be signed."""
        return tuple(one.text for one in self.findings if one.is_final)

    @cached_property
    def digest(self) -> str:
        """A short text that is the same as long as the sheet reads the same."""
        written = json.dumps(self.content(set()), sort_keys=True, ensure_ascii=False)
        return hashlib.sha256(written.encode()).hexdigest()

    def content(self, ticked: Set[str]) -> dict[str, Any]:
        """The whole sheet as plain values, each line with whether it was ticked."""
        return {
            "build": self.build,
            "revision": self.revision,
            "pack": self.pack,
            "is_first_flight": self.is_first_flight,
            "sections": [_plain_section(section, ticked) for section in self.sections],
            "findings": [vars(one) for one in self.findings],
            "not_judged": self.not_judged,
            "cautions": list(self.cautions),
        }


def _plain_section(section: Section, ticked: Set[str]) -> dict[str, Any]:
    return {
        "key": section.key,
        "title": section.title,
        "facts": [vars(fact) for fact in section.facts],
        "lines": [
            {"key": line.key, "text": line.text, "is_ticked": line.key in ticked}
            for line in section.lines
        ],
    }


def draw_up(report: Report, answers: Answered, *, is_first: bool) -> Sheet:
    """The sheet of a build as fitted and with the pack that the report was made for.

    `is_first` adds what belongs to a first flight.
    """
    build = report.snapshot
    sections = (
        _checks(build),
        _pack(report),
        _balance(report),
        _controls(build),
        _held(build),
        _radio(build),
        _site(),
        _first_flight(build) if is_first else Section("first", ""),
    )
    return Sheet(
        build=build.name,
        revision=build.revision,
        pack=f"{build.pack.name}, {build.pack.code}" if build.pack else "",
        is_first_flight=is_first,
        sections=tuple(one for one in sections if one.facts or one.lines),
        findings=tuple(_open_findings(report.judgement.findings, answers)),
        not_judged=len(report.judgement.not_judged),
    )


def _open_findings(findings: Iterable[Finding], answers: Answered) -> Iterator[OpenFinding]:
    for finding in findings:
        if finding.level < Level.CAUTION or finding.rule in OWN_SECTION:
            continue
        answer = answers.answer_to(finding)
        yield OpenFinding(
            level=finding.level.label,
            text=finding.message,
            remedy=finding.remedy,
            is_final=finding.is_final,
            accepted_because=answer.reason if answer else "",
            accepted_by=str(answer.by) if answer else "",
        )


def _lines(prefix: str, *texts: str) -> tuple[Line, ...]:
    return tuple(Line(f"{prefix}-{place}", text) for place, text in enumerate(texts, start=1))


def _checks(build: BuildSnapshot) -> Section:
    lines = tuple(
        Line(
            CHECK_LINE + one.check.key,
            f"{one.check.name.capitalize()}, due since revision {one.since_revision}."
            f" {one.check.task}",
        )
        for one in due_checks(build)
    )
    return Section("checks", "To be checked again", lines=lines)


def _pack(report: Report) -> Section:
    build, pack = report.snapshot, report.snapshot.pack
    if pack is None:
        return Section("pack", "Pack", (Fact("Pack", "none chosen"),))
    full = report.figures["pack_full_v"]
    facts = (
        Fact("Pack", f"{pack.name}, {pack.code}"),
        Fact("What its log says", _verdict(pack), str(pack.get("health_reason", ""))),
        Fact("Full", UNKNOWN if full.value is None else f"{number(round(full.value, 2))} V"),
        Fact("Voltage alarm", *_alarm(build, pack)),
        Fact("Timer", _minutes(build.timer_s)),
    )
    lines = _lines(
        "pack",
        "Not swollen, cut, wet or warm; plug and lead whole.",
        "Charged: voltage of the pack read, cells level.",
        "Strapped in and cannot slide; plug fully home; lead clear of propeller and surfaces.",
        "Voltage alarm and timer set as above.",
    )
    return Section("pack", "Pack", facts, lines)


def _verdict(pack: PartRecord) -> str:
    if pack.out_of_service:
        return f"out of service: {pack.out_of_service}"
    return str(pack.get("health_verdict", UNKNOWN)).replace("_", " ")


def _alarm(build: BuildSnapshot, pack: PartRecord) -> tuple[str, str]:
    cells = pack.get("cell_count")
    if build.cell_alarm_v is not None:
        each = f"{number(build.cell_alarm_v)} V a cell"
        if cells is None:
            return each, ""
        return f"{number(round(build.cell_alarm_v * cells, 2))} V", f"{each}, {cells} cells"
    alarm = build.voltage_alarm_v
    return UNKNOWN if alarm is None else f"{number(alarm)} V", ""


def _minutes(seconds: float | None) -> str:
    if seconds is None:
        return UNKNOWN
    minutes, rest = divmod(round(seconds), 60)
    return f"{minutes}:{rest:02d} min"


def _balance(report: Report) -> Section:
    build, figures = report.snapshot, report.figures
    at, target = figures["cg_x_mm"], figures["cg_target_x_mm"]
    low, high = figures["cg_min_x_mm"], figures["cg_max_x_mm"]
    mark = _mark(build)
    facts = [
        Fact("All-up weight, worked out", f"{figures['auw_g'].value:.0f} g")
        if figures["auw_g"].is_known
        else Fact("All-up weight", UNKNOWN),
        Fact("Centre of gravity, worked out", *_place(mark, at)),
        Fact("Wanted", *_place(mark, target)),
    ]
    if low.is_known and high.is_known:
        facts.append(Fact("Allowed", *_place(mark, low, high)))
    tray = build.first("pack")
    if tray is not None and tray.x_mm is not None:
        facts.append(Fact("Pack's middle", f"{number(round(tray.x_mm, 1))} mm aft of the datum"))
    lines = _lines("balance", "Balanced by hand, ready to fly: it hangs level where it should.")
    return Section("balance", "Weight and balance", tuple(facts), lines)


def _mark(build: BuildSnapshot) -> Mark | None:
    """The wing's leading edge at the root, where the wing's stations are known."""
    stations = build.airframe.get("wing_stations") if build.airframe else None
    if not stations:
        return None
    return Mark("the leading edge at the root", stations[0]["leading_edge_x_mm"])


def _place(mark: Mark | None, *figures: Any) -> tuple[str, str]:
    """One place along the build, or from one to another; and the same from a mark."""
    if not all(figure.is_known for figure in figures):
        return UNKNOWN, ""
    places = [figure.value for figure in figures]
    text = f"{_span(places)} mm aft of the datum"
    if mark is None:
        return text, ""
    behind = [place - mark.x_mm for place in places]
    if min(behind) < 0:
        return text, f"{_span(behind)} mm from {mark.name}, minus is ahead of it"
    return text, f"{_span(behind)} mm behind {mark.name}"


def _span(places: Iterable[float]) -> str:
    return " to ".join(f"{place:.1f}" for place in places)


def _controls(build: BuildSnapshot) -> Section:
    facts = []
    for surface in build.surfaces:
        throws, _, _ = wanted_throws(build, surface)
        said = ", ".join(f"{axis} {number(throw)} mm each way" for axis, throw in throws.items())
        facts.append(Fact(surface.name, said or UNKNOWN, "throws wanted"))
    texts = ["Each stick moves the right surfaces, the right way, far enough, free of the stops."]
    if build.first("servo") is None:
        texts = []
    texts += [
        f"{position.name}: no play that was not there, linkage and arm held."
        for position in build.fitted("servo")
    ]
    if build.first("flight_controller"):
        texts.append("Stabiliser on, tilt the aircraft: surfaces and motors work against it.")
    return Section("controls", "Controls", tuple(facts), _lines("controls", *texts))


def _held(build: BuildSnapshot) -> Section:
    texts = [
        f"{position.name} fitted and locked."
        for position in build.fitted("hardware")
        if position.part and _is_held(position.part)
    ]
    texts += [f"{position.name}: nut tight, no nick or crack." for position in _propellers(build)]
    texts.append("Nothing loose inside; nothing rattles when it is shaken gently.")
    return Section("held", "What must be fitted and locked", lines=_lines("held", *texts))


def _is_held(part: PartRecord) -> bool:
    purpose = str(part.get("purpose", "")).casefold()
    return any(word in purpose for word in HELD)


def _propellers(build: BuildSnapshot) -> tuple[PositionRecord, ...]:
    return build.fitted("propeller")


def _radio(build: BuildSnapshot) -> Section:
    facts = [
        Fact(position.name, _band(position.part), position.part.name)
        for position in build.fitted("receiver", "video_unit")
        if position.part
    ]
    texts = ["The transmitter's memory is that of this aircraft; its own battery is charged."]
    if build.first("receiver"):
        texts.append("Failsafe tried today: transmitter off, motor off. Aircraft held, clear.")
    if build.first("video_unit"):
        texts.append("Video channel agreed with all who fly; aerial on before power.")
    if build.first("gps"):
        texts.append("Position found and home set before an automatic return is relied on.")
    return Section("radio", "Radio", tuple(facts), _lines("radio", *texts))


def _band(part: PartRecord) -> str:
    band, power = part.get("band_mhz"), part.get("power_mw")
    said = [UNKNOWN if band is None else f"{band:g} MHz"]
    if part.kind == "video_unit":
        said.append("power not known" if power is None else f"{power:g} mW set")
    return ", ".join(said)


def _site() -> Section:
    texts = (
        "Local rules and the field's own kept; registration and insurance where they are asked.",
        "Wind, gusts, light and temperature within what aircraft and pilot can do.",
        "No people, animals, roads or wires under the way to be flown; landing place clear.",
        "Observer briefed, where one is needed; others at the field know what flies.",
        "Throttle low and disarmed before the pack goes in.",
    )
    return Section("site", "Place and weather", lines=_lines("site", *texts))


def _first_flight(build: BuildSnapshot) -> Section:
    texts = [
        "Range check made with everything on, and the level written down.",
        "Failsafe proven with the propeller off, then again ready to fly.",
        "Weighed and balanced as it flies; balance ahead of the middle of its range.",
        "Throws at the low rate; mode without automatic functions at hand on a switch.",
        "A calm day, tall grass ahead, a second pair of eyes; trim high, then land early.",
    ]
    if build.is_hand_launched:
        texts.insert(3, "Throw agreed: who throws, motor when, hands clear of the propeller.")
    return Section("first", "First flight", lines=_lines("first", *texts))
