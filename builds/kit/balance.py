"""The balance of a kit as linear rows, so that the program itself keeps it. Plain Python.

Moments about an end of the range: the centre of gravity lies behind it when their sum is positive.
The rows let through what lies on the edge; the rule book has the last word.
"""

from __future__ import annotations

from collections.abc import Iterable

from builds.figures import Figure, figures_of
from builds.kit.problem import Distance, Pick, Row
from builds.records import BuildSnapshot, PartRecord, PositionRecord

EDGE_G_MM = 1.0
"""Moment by which a row is wider than its rule, against rounding."""
Places = Iterable[tuple[PositionRecord, PartRecord]]
BALANCE, TRAY = "weight.balance_out_of_range", "weight.pack_place_outside_tray"


def balance_rows(build: BuildSnapshot, picks: Places) -> tuple[Row, ...]:
    """Rows that every kit meets which the rules on balance let stand.

    With the pack at one end of its tray the balance must lie on one side of where it is wanted,
    with it at the other end on the other.

    None when the mass or the place of what is fitted is not known, or the aircraft was weighed
    whole, for then the sum of the parts does not lead. A candidate without a mass or a place lifts
    the rows, as it keeps the rules from judging.
    """
    fitted = _fitted(build)
    figures = figures_of(build)
    least, most = figures["cg_min_x_mm"], figures["cg_max_x_mm"]
    if fitted is None or not isinstance(least, Figure) or not isinstance(most, Figure):
        return ()
    picks = list(picks)
    rows = [
        _row(BALANCE, fitted, picks, least.value, is_least=True),
        _row(BALANCE, fitted, picks, most.value, is_least=False),
    ]
    packs = [one for one in build.positions if one.kind == "pack"]
    target = figures["cg_target_x_mm"]
    if len(packs) != 1 or packs[0].part is not None or not isinstance(target, Figure):
        return tuple(rows)
    front, rear = packs[0].x_min_mm, packs[0].x_max_mm
    if front is None or rear is None:
        return tuple(rows)
    rows.append(_row(TRAY, fitted, picks, target.value, is_least=True, pack_x_mm=rear))
    rows.append(_row(TRAY, fitted, picks, target.value, is_least=False, pack_x_mm=front))
    return tuple(rows)


def moment(build: BuildSnapshot, picks: Places) -> Distance | None:
    """The moment about the balance wanted [g·mm]; None when what is fitted does not tell it."""
    fitted = _fitted(build)
    target = figures_of(build)["cg_target_x_mm"]
    if fitted is None or not isinstance(target, Figure):
        return None
    mass_g, x_mm = fitted
    terms: dict[Pick, float] = {
        (place.id, part.id): _moment(place, part, target.value) or 0.0 for place, part in picks
    }
    return Distance(terms, mass_g * (x_mm - target.value))


def _fitted(build: BuildSnapshot) -> tuple[float, float] | None:
    """Mass [g] and centre [mm] of what is in the build."""
    figures = figures_of(build)
    mass, centre = figures["auw_g"], figures["cg_x_mm"]
    if build.weigh_in or not isinstance(mass, Figure) or not isinstance(centre, Figure):
        return None
    return mass.value, centre.value


def _moment(
    place: PositionRecord, part: PartRecord, about_mm: float, x_mm: float | None = None
) -> float | None:
    mass_g = part.get("mass_g")
    at_mm = place.x_mm if x_mm is None else x_mm
    if mass_g is None or at_mm is None:
        return None
    return float(place.quantity * mass_g * (at_mm - about_mm))


def _row(
    name: str,
    fitted: tuple[float, float],
    picks: list[tuple[PositionRecord, PartRecord]],
    end_mm: float,
    *,
    is_least: bool,
    pack_x_mm: float | None = None,
) -> Row:
    mass_g, x_mm = fitted
    offset = mass_g * (x_mm - end_mm)
    terms: dict[Pick, float | None] = {}
    for place, part in picks:
        x_of_pack = pack_x_mm if place.kind == "pack" else None
        terms[place.id, part.id] = _moment(place, part, end_mm, x_of_pack)
    sign = 1.0 if is_least else -1.0
    lift = sign * (abs(offset) + sum(abs(one) for one in terms.values() if one is not None))
    coefficients = {pick: lift if one is None else one for pick, one in terms.items()}
    edge = -offset - sign * EDGE_G_MM
    ends = {"low": edge} if is_least else {"high": edge}
    where = "before" if is_least else "behind"
    message = f"No choice balances otherwise than {where} {end_mm:.1f} mm" + (
        f", even with the pack at {pack_x_mm:.1f} mm." if pack_x_mm is not None else "."
    )
    return Row(name, coefficients, message=message, **ends)
