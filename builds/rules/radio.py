"""Bands, radiated power and aerials."""

from __future__ import annotations

from collections.abc import Iterator

from builds.engineering.radio import (
    circular_isolation_loss,
    linear_to_circular_loss,
    radiated_power,
)
from builds.findings import Case, Finding, Level, MissingValue, book
from builds.limits import is_above, number
from builds.records import PositionRecord, RadioLimit

SHEET = "the makers' sheets"
CLUB = "the limits that your club entered; local rules come first"
MILLI = 1e-3
PRACTICE = "common practice, no source"
AERIAL_BAND = (
    "antenna.band_min_mhz",
    "antenna.band_max_mhz",
    "receiver.band_mhz",
    "receiver.antenna_connector",
    "video_unit.band_mhz",
)
SOLDERED = ("solder", "fixed", "built")
"""Words for the connector of an aerial that is part of its unit."""
HANDS = {"right": "right-handed", "left": "left-handed", "linear": "linear"}


def _limits_at(case: Case, band_mhz: float) -> tuple[RadioLimit, ...]:
    found = tuple(
        limit
        for limit in case.build.radio_limits
        if limit.band_min_mhz <= band_mhz <= limit.band_max_mhz
    )
    if not found:
        raise MissingValue((f"what your club allows at {band_mhz:g} MHz",))
    return found


@book.rule(
    group="radio",
    each=("receiver", "video_unit"),
    needs=("receiver.band_mhz", "video_unit.band_mhz"),
    source=CLUB,
)
def band_not_allowed(case: Case) -> Iterator[Finding]:
    """Does the part use a band that the club does not allow?

    The club enters what is allowed where it flies; nothing is assumed.
    """
    assert case.subject is not None
    (band,) = case.need((case.subject, "band_mhz"))
    if all(limit.is_allowed for limit in _limits_at(case, band)):
        return
    yield case.finding(
        Level.WARNING,
        f"{case.subject.title} works at {band:g} MHz, which your club does not allow.",
        "Fit a part for an allowed band.",
        band_mhz=band,
    )


@book.rule(
    group="radio",
    each="video_unit",
    needs=(*AERIAL_BAND, "video_unit.power_mw", "antenna.gain_dbi"),
    source=f"radiated power: ITU Radio Regulations, article 1.161; {CLUB}",
)
def radiated_power_too_high(case: Case) -> Iterator[Finding]:
    """Is the video unit's radiated power above the club's limit?

    Radiated power is the output power as set, times the gain of the aerial over an isotropic one.
    """
    assert case.subject is not None
    (band,) = case.need((case.subject, "band_mhz"))
    most = _power_limit(case, band)
    if most is None:
        return
    aerials = [p for p in case.build.fitted("antenna") if case.subject in _units_of(case, p)]
    if not aerials:
        raise MissingValue((f"the gain of the aerial of {case.subject.title}",))
    (power,) = case.need((case.subject, "power_mw"))
    gain = max(case.need(*((aerial, "gain_dbi") for aerial in aerials)))
    radiated = radiated_power(power=power * MILLI, gain=gain) / MILLI
    if not is_above(radiated, most):
        return
    yield case.finding(
        Level.WARNING,
        f"{case.subject.title} radiates {radiated:.1f} mW ({number(power)} mW and an aerial of "
        f"{number(gain)} dBi); your club allows {number(most)} mW at {band:g} MHz.",
        "Set a lower power, or fit an aerial with less gain.",
        radiated_mw=radiated,
        limit_mw=most,
    )


def _power_limit(case: Case, band: float) -> float | None:
    return min(
        (
            limit.radiated_power_max_mw
            for limit in _limits_at(case, band)
            if limit.radiated_power_max_mw is not None
        ),
        default=None,
    )


@book.rule(
    group="radio",
    each="receiver",
    needs=("receiver.band_mhz", "receiver.telemetry_power_mw"),
    source=CLUB,
)
def telemetry_power_too_high(case: Case) -> Iterator[Finding]:
    """Does the receiver's telemetry radiate more than the club's limit?

    Asked only where the club has entered a power for the receiver's band.
    """
    assert case.subject is not None
    (band,) = case.need((case.subject, "band_mhz"))
    most = _power_limit(case, band)
    if most is None:
        return
    (power,) = case.need((case.subject, "telemetry_power_mw"))
    if not is_above(power, most):
        return
    yield case.finding(
        Level.WARNING,
        f"{case.subject.title} radiates {number(power)} mW of telemetry; your club allows "
        f"{number(most)} mW at {band:g} MHz.",
        "Lower the telemetry power or switch it off.",
        radiated_mw=power,
        limit_mw=most,
    )


def _fed_units(case: Case) -> list[PositionRecord]:
    """Units that a separate aerial screws on to; a receiver only when it has a connector."""
    return [
        unit
        for unit in case.build.fitted("video_unit", "receiver")
        if unit.kind == "video_unit" or case.ask(unit, "antenna_connector")
    ]


def _units_of(case: Case, aerial: PositionRecord) -> list[PositionRecord]:
    """Units that an aerial can belong to: those in its band, or the only one there is."""
    units = _fed_units(case)
    if len(units) < 2:
        return units
    low, high = case.need((aerial, "band_min_mhz"), (aerial, "band_max_mhz"))
    bands = case.need(*((unit, "band_mhz") for unit in units))
    return [unit for unit, band in zip(units, bands, strict=True) if low <= band <= high]


@book.rule(
    group="radio",
    each=("video_unit", "receiver"),
    needs=(*AERIAL_BAND, "video_unit.antenna_connector"),
    source=PRACTICE,
)
def unit_without_aerial(case: Case) -> Iterator[Finding]:
    """Is no aerial fitted for a unit that needs one of its own?

    Power without an aerial goes back into the unit and can destroy it in seconds. A receiver
    without a connector has its aerials soldered on, and so has a unit whose connector is given as
    soldered, fixed or built in.
    """
    unit = case.subject
    assert unit is not None
    if unit.kind == "receiver" and not case.ask(unit, "antenna_connector"):
        return
    served = [_units_of(case, aerial) for aerial in case.build.fitted("antenna")]
    # An aerial that suits no unit is told of as made for another band.
    if any(unit in units or not units for units in served):
        return
    if unit.kind == "video_unit":
        case.need((unit, "antenna_connector"))
    if _is_soldered(case, unit):
        return
    yield case.finding(
        Level.WARNING,
        f"{unit.title} has no aerial.",
        "Fit its aerial before it gets power.",
    )


def _is_soldered(case: Case, unit: PositionRecord) -> bool:
    connector = (case.ask(unit, "antenna_connector") or "").casefold()
    return any(word in connector for word in SOLDERED)


@book.rule(group="radio", each="antenna", needs=AERIAL_BAND, source=SHEET)
def aerial_for_another_band(case: Case) -> Iterator[Finding]:
    """Is the aerial made for another band than any unit it could serve?

    An aerial out of its band sends the power back into the unit, which can destroy it.
    """
    units = _fed_units(case)
    assert case.subject is not None
    if not units:
        return
    low, high = case.need((case.subject, "band_min_mhz"), (case.subject, "band_max_mhz"))
    bands, missing = case.look(*((unit, "band_mhz") for unit in units))
    if any(band is not None and low <= band <= high for band in bands):
        return
    if missing:
        raise MissingValue(missing)
    names = ", ".join(f"{u.title} at {band:g} MHz" for u, band in zip(units, bands, strict=True))
    yield case.finding(
        Level.WARNING,
        f"{case.subject.title} is made for {low:g} to {high:g} MHz; here it would serve {names}.",
        "Fit an aerial for the unit's band before you switch the unit on.",
        band_min_mhz=low,
        band_max_mhz=high,
        band_mhz=tuple(bands),
    )


@book.rule(
    group="radio",
    each="antenna",
    needs=(
        *AERIAL_BAND,
        "antenna.connector",
        "antenna.connector_gender",
        "video_unit.antenna_connector",
        "video_unit.antenna_gender",
    ),
    source=SHEET,
)
def aerial_does_not_plug_in(case: Case) -> Iterator[Finding]:
    """Does the aerial's connector not mate with the unit's?

    Families must be alike, with a plug on one side and a socket on the other. The sheet of a
    receiver gives no gender, so there only the family is compared.
    """
    assert case.subject is not None
    units = _units_of(case, case.subject)
    if not units:
        return
    (family,) = case.need((case.subject, "connector"))
    faults = [_plug_fault(case, unit, family) for unit in units]
    if None in faults:
        return
    yield case.finding(
        Level.WARNING,
        f"{case.subject.title} does not plug in: {'; '.join(fault for fault in faults if fault)}.",
        "Fit an aerial with the right connector, or an adapter; never power the unit without one.",
        connector=family,
    )


def _plug_fault(case: Case, unit: PositionRecord, family: str) -> str | None:
    assert case.subject is not None
    (theirs,) = case.need((unit, "antenna_connector"))
    if theirs.strip().casefold() != family.strip().casefold():
        return f"it has {family}, {unit.title} has {theirs}"
    if unit.kind != "video_unit":
        return None
    ours, other = case.need((case.subject, "connector_gender"), (unit, "antenna_gender"))
    return f"it and {unit.title} both have a {ours}" if ours == other else None


@book.rule(
    group="radio",
    each="antenna",
    needs=(
        *AERIAL_BAND,
        "antenna.polarisation",
        "ground_gear.polarisation",
        "video_unit.video_system",
        "ground_gear.video_system",
    ),
    source="orthogonal polarisations; 20 dB between opposite hands is common practice, no source",
)
def polarisation_differs(case: Case) -> Iterator[Finding]:
    """Is the video aerial polarised otherwise than the one on the ground?

    A unit and a ground side of two systems do not work together at all: that is said elsewhere.
    Opposite hands lose 20 dB or more: a tenth of the range. Linear with circular loses 3 dB.
    """
    assert case.subject is not None
    units = _units_of(case, case.subject)
    video_units = [unit for unit in units if unit.kind == "video_unit"]
    if not video_units:
        return
    ground = case.need_ground("video_receiver")
    systems = {case.ask(unit, "video_system") for unit in video_units}
    if systems.isdisjoint({case.ask(ground, "video_system"), None}):
        return
    ours, theirs = case.need((case.subject, "polarisation"), (ground, "polarisation"))
    if ours == theirs:
        return
    is_opposite = "linear" not in (ours, theirs)
    loss = circular_isolation_loss(same_hand=False) if is_opposite else linear_to_circular_loss()
    yield case.finding(
        Level.WARNING if is_opposite else Level.NOTE,
        f"{case.subject.title} is {HANDS[ours]}, {ground.name} {HANDS[theirs]}: some "
        f"{loss:.0f} dB {'or more ' if is_opposite else ''}are lost.",
        "Use aerials of one polarisation at both ends.",
        loss_db=loss,
    )
