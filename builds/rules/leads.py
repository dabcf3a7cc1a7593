"""Leads and plugs between the pack and what it feeds."""

from __future__ import annotations

from collections.abc import Iterator

from builds.engineering.wiring import lead_loss
from builds.findings import Case, Finding, Level, MissingValue, book
from builds.limits import is_above, number

PLUG_OVERLOAD = 1.5
LEAD_DROP_SHARE = 0.03
MM = 1e-3


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
        "figure.pack_full_v",
        "lead.current_rating_a",
        "lead.gauge_awg",
        "lead.loop_length_mm",
        "lead.plug_a",
        "lead.plug_b",
        "pack.plug",
    ),
    source="IEC 60028 and ASTM B258; 3 % and the factor of 1.5 are common practice, no source",
)
def main_lead_overloaded(case: Case) -> Iterator[Finding]:
    """Does the lead to the pack carry more than it is rated for, or lose over 3 % of the voltage?

    Only leads that end in the pack's plug carry its current.
    """
    assert case.subject is not None
    if not _is_main(case):
        return
    current = case.need_figure("current_max_a").value
    (rating, gauge, loop), missing = case.look(
        (case.subject, "current_rating_a"),
        (case.subject, "gauge_awg"),
        (case.subject, "loop_length_mm"),
    )
    if rating is not None and is_above(current, rating):
        yield case.finding(
            Level.WARNING if is_above(current, PLUG_OVERLOAD * rating) else Level.CAUTION,
            f"{case.subject.title} carries {number(rating)} A; full throttle draws "
            f"{number(current)} A.",
            "Use a larger plug at both sides and a thicker lead.",
            current_a=current,
            rating_a=rating,
        )
        return
    if missing:
        raise MissingValue(missing)
    yield from _drop_finding(case, current, int(gauge), loop)


def _is_main(case: Case) -> bool:
    pack = case.build.pack
    plug = case.ask(pack, "plug") if pack else None
    ends = [case.ask(case.subject, end) for end in ("plug_a", "plug_b")] if case.subject else []
    return plug is not None and any(end and end.casefold() == plug.casefold() for end in ends)


def _drop_finding(case: Case, current: float, gauge: int, loop_mm: float) -> Iterator[Finding]:
    assert case.subject is not None
    full = case.need_figure("pack_full_v").value
    loss = lead_loss(gauge=gauge, length=loop_mm * MM / 2, current=current)
    if not is_above(loss.drop, LEAD_DROP_SHARE * full):
        return
    yield case.finding(
        Level.CAUTION,
        f"{case.subject.title} loses {number(loss.drop)} V of {number(full)} V and gets "
        f"{number(loss.heat)} W warm at {number(current)} A.",
        "Use a thicker or shorter lead.",
        drop_v=loss.drop,
        heat_w=loss.heat,
        current_a=current,
    )
