"""Leads and plugs between the pack and what it feeds."""

from __future__ import annotations

from collections.abc import Iterator

from builds.engineering.wiring import lead_loss
from builds.findings import Case, Finding, Level, Limit, MissingValue, book
from builds.limits import is_above, number
from builds.records import PositionRecord

PRACTICE = "common practice, no source"
MM = MILLI = 1e-3


@book.rule(
    group="leads",
    each="pack",
    needs=(
        "pack.plug",
        "pack.plug_gender",
        "lead.plug_a",
        "lead.plug_a_gender",
        "lead.plug_b",
        "lead.plug_b_gender",
    ),
    source="geometry",
)
def pack_does_not_plug_in(case: Case) -> Iterator[Finding]:
    """Does no fitted lead mate with the pack's plug?

    Family and gender are compared with the ends of every lead. Never force a plug: reversed, it
    destroys what hangs on it.
    """
    assert case.subject is not None
    ends, gaps = _lead_ends(case)
    if not ends:
        raise MissingValue(gaps or ("the lead to the pack, as a fitted part with its plugs",))
    (plug,) = case.need((case.subject, "plug"))
    alike = [gender for family, gender in ends if family.casefold() == plug.casefold()]
    if alike:
        (gender,) = case.need((case.subject, "plug_gender"))
        if any(other and other != gender for other in alike):
            return
        if not all(alike):
            raise MissingValue(("the gender of the plug on the lead to the pack",))
    if gaps:
        raise MissingValue(gaps)
    listed = ", ".join(f"{family} {gender or ''}".strip() for family, gender in ends)
    yield case.finding(
        Level.CAUTION,
        f"{case.subject.title} has {plug}; the leads here end in {listed}.",
        "Fit the mating connector or an adapter, and mind the polarity.",
        plug=plug,
    )


def _lead_ends(case: Case) -> tuple[list[tuple[str, str | None]], tuple[str, ...]]:
    """Family and gender of every plug on a lead; leads of which no plug is known are gaps."""
    ends, gaps = [], []
    for lead in case.build.fitted("lead"):
        found = [
            (family, case.ask(lead, f"{end}_gender"))
            for end in ("plug_a", "plug_b")
            if (family := case.ask(lead, end))
        ]
        ends += found
        gaps += [] if found else list(case.look((lead, "plug_a"))[1])
    return ends, tuple(gaps)


@book.rule(
    group="leads",
    each="lead",
    needs=(
        "figure.current_max_a",
        "figure.pack_current_each_max_a",
        "figure.pack_full_v",
        "build.packs_wiring",
        "lead.current_rating_a",
        "lead.gauge_awg",
        "lead.loop_length_mm",
        "lead.resistance_mohm_m",
        "lead.plug_a",
        "lead.plug_b",
        "pack.plug",
    ),
    source="IEC 60028 and ASTM B258; 3 % and the factor of 1.5 are common practice, no source",
    limits=(
        Limit("overload_ratio", 1.5, "current over the rating, warning above", 1.0, 5.0),
        Limit("drop_percent", 3.0, "most of the voltage that a lead may lose", 0.1, 50.0),
    ),
)
def main_lead_overloaded(case: Case) -> Iterator[Finding]:
    """Does the lead to the pack carry more than it is rated for, or lose too much voltage?

    Only leads that end in the pack's plug carry its current; packs in parallel that have a lead
    each share it. A resistance as tested comes before that of the gauge.
    """
    assert case.subject is not None
    if not _is_main(case, case.subject):
        return
    current = _carried(case)
    (rating, loop), missing = case.look(
        (case.subject, "current_rating_a"), (case.subject, "loop_length_mm")
    )
    if rating is not None and is_above(current, rating):
        is_grave = is_above(current, case.limit("overload_ratio") * rating)
        yield case.finding(
            Level.WARNING if is_grave else Level.CAUTION,
            f"{case.subject.title} carries {number(rating)} A; full throttle draws "
            f"{number(current)} A.",
            "Use a larger plug at both sides and a thicker lead.",
            current_a=current,
            rating_a=rating,
        )
        return
    per_metre = case.ask(case.subject, "resistance_mohm_m")
    gauge = None
    if per_metre is None:
        (gauge,), unknown = case.look((case.subject, "gauge_awg"))
        missing += unknown
    if missing:
        raise MissingValue(missing)
    yield from _drop_finding(case, current, _drop(current, loop, per_metre, gauge))


def _carried(case: Case) -> float:
    """Current [A] of one lead to the pack: the whole, or a pack's share where each has a lead."""
    leads = sum(one.quantity for one in case.build.fitted("lead") if _is_main(case, one))
    packs = sum(one.quantity for one in case.build.fitted("pack"))
    has_own = packs > 1 and leads >= packs
    is_shared = has_own and case.ask(case.build, "packs_wiring") == "parallel"
    name = "pack_current_each_max_a" if is_shared else "current_max_a"
    return float(case.need_figure(name).value)


def _is_main(case: Case, lead: PositionRecord) -> bool:
    pack = case.build.pack
    plug = case.ask(pack, "plug") if pack else None
    ends = [case.ask(lead, end) for end in ("plug_a", "plug_b")]
    return plug is not None and any(end and end.casefold() == plug.casefold() for end in ends)


def _drop(current: float, loop_mm: float, mohm_m: float | None, gauge: float | None) -> float:
    """Voltage [V] that a lead loses there and back."""
    if mohm_m is not None:
        return current * mohm_m * MILLI * loop_mm * MM
    # A gauge is known here; the formula itself refuses one that is not a whole number.
    assert gauge is not None
    return lead_loss(gauge=int(gauge), length=loop_mm * MM / 2, current=current).drop


def _drop_finding(case: Case, current: float, drop: float) -> Iterator[Finding]:
    assert case.subject is not None
    full = case.need_figure("pack_full_v").value
    if not is_above(drop, case.limit("drop_percent") / 100 * full):
        return
    yield case.finding(
        Level.CAUTION,
        f"{case.subject.title} loses {number(drop)} V of {number(full)} V and gets "
        f"{number(drop * current)} W warm at {number(current)} A.",
        "Use a thicker or shorter lead.",
        drop_v=drop,
        heat_w=drop * current,
        current_a=current,
    )


@book.rule(
    group="leads",
    each="lead",
    needs=(
        "lead.plug_a",
        "lead.plug_b",
        "lead.loop_length_mm",
        "lead.capacitor_uf",
        "speed_controller.capacitor_uf",
        "pack.plug",
    ),
    source=PRACTICE,
    limits=(Limit("length_mm", 250.0, "longest lead without a capacitor", 0.0, 2000.0),),
)
def long_lead_without_capacitor(case: Case) -> Iterator[Finding]:
    """Is the lead to the pack long, and no capacitor at the speed controller?

    A long lead keeps the current flowing when the controller switches it off, and the voltage
    jumps above the pack's. The length is half the way there and back; of several controllers each
    wants its own capacitor, unless the lead has one.
    """
    subject = case.subject
    assert subject is not None
    controllers = case.build.fitted("speed_controller")
    if not controllers or not _is_main(case, subject):
        return
    (loop,) = case.need((subject, "loop_length_mm"))
    longest = case.limit("length_mm")
    if not is_above(loop / 2, longest) or case.ask(subject, "capacitor_uf"):
        return
    sizes, missing = case.look(*((controller, "capacitor_uf") for controller in controllers))
    bare = [one.name for one, size in zip(controllers, sizes, strict=True) if size == 0]
    if bare:
        yield case.finding(
            Level.CAUTION,
            f"{subject.title} is {number(loop / 2)} mm long, more than {number(longest)} mm, and "
            f"there is no capacitor at: {', '.join(bare)}.",
            "Fit a low-resistance capacitor at the controller, or shorten the lead.",
            length_mm=loop / 2,
            longest_mm=longest,
            capacitor_uf=0,
        )
    if missing:
        raise MissingValue(missing)
