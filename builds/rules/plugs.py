"""Plugs between pack and lead: their rating, their polarity, and adapters."""

from __future__ import annotations

from collections.abc import Iterator

from builds.findings import Case, Finding, Level, Limit, MissingValue, book
from builds.limits import is_above, number
from builds.records import PositionRecord

ENDS = ("plug_a", "plug_b")


def _families(case: Case, lead: PositionRecord) -> list[str]:
    """Families of the plugs at the ends of a lead, of those that are known."""
    return [family.casefold() for end in ENDS if (family := case.ask(lead, end))]


def _main_leads(case: Case) -> list[PositionRecord]:
    """Leads with a plug of the pack's family; raises MissingValue without that of the pack."""
    packs = case.build.fitted("pack")
    (plug,) = case.need((packs[0], "plug"))
    leads = case.build.fitted("lead")
    return [lead for lead in leads if plug.casefold() in _families(case, lead)]


@book.rule(
    group="plugs",
    each="pack",
    needs=(
        "figure.current_max_a",
        "figure.pack_current_each_max_a",
        "build.packs_wiring",
        "pack.plug",
        "pack.plug_rating_a",
        "lead.plug_a",
        "lead.plug_b",
        "lead.current_rating_a",
    ),
    source="the plug maker's sheet; the factor of 1.5 is common practice, no source",
    limits=(Limit("overload_ratio", 1.5, "current over the rating, warning above", 1.0, 5.0),),
)
def plug_overloaded(case: Case) -> Iterator[Finding]:
    """Does the pack's plug carry more than it is rated for?

    An overloaded plug gets hot and unsolders itself. Where the lead is overloaded too its own rule
    says so, and one larger plug settles both.
    """
    assert case.subject is not None
    if not case.build.fitted("motor"):
        return
    (rating,) = case.need((case.subject, "plug_rating_a"))
    current = case.need_figure("pack_current_each_max_a").value
    if not is_above(current, rating) or _is_lead_overloaded(case):
        return
    is_grave = is_above(current, case.limit("overload_ratio") * rating)
    yield case.finding(
        Level.WARNING if is_grave else Level.CAUTION,
        f"{case.subject.title}: its plug is rated for {number(rating)} A; full throttle draws "
        f"{number(current)} A.",
        "Use a larger plug at both sides.",
        current_a=current,
        rating_a=rating,
    )


def _lead_current(case: Case) -> float:
    """Current [A] of one lead to the pack: the whole, or a pack's share where each has a lead."""
    packs = sum(one.quantity for one in case.build.fitted("pack"))
    leads = sum(one.quantity for one in _main_leads(case))
    has_own = packs > 1 and leads >= packs
    is_shared = has_own and case.ask(case.build, "packs_wiring") == "parallel"
    name = "pack_current_each_max_a" if is_shared else "current_max_a"
    return float(case.need_figure(name).value)


def _is_lead_overloaded(case: Case) -> bool:
    current = _lead_current(case)
    ratings = [case.ask(lead, "current_rating_a") for lead in _main_leads(case)]
    return any(rating is not None and is_above(current, rating) for rating in ratings)


@book.rule(
    group="plugs",
    each="pack",
    needs=("pack.plug", "pack.plug_polarity", "lead.plug_a", "lead.plug_b", "lead.plug_polarity"),
    source="physics",
    is_final=True,
)
def polarity_reversed(case: Case) -> Iterator[Finding]:
    """Are plus and minus the other way round in the pack's plug than in the lead's?

    Reversed, a pack destroys at once what hangs on it and may burn. Check every plug soldered by
    hand with a meter before it is plugged in for the first time.
    """
    assert case.subject is not None
    leads = _main_leads(case) if case.build.fitted("lead") else []
    if not leads:
        return
    (ours, *theirs), missing = case.look(
        (case.subject, "plug_polarity"), *((lead, "plug_polarity") for lead in leads)
    )
    for lead, polarity in zip(leads, theirs, strict=True):
        if ours and polarity and ours != polarity:
            yield case.finding(
                Level.WARNING,
                f"{case.subject.title} and {lead.title}: plus meets minus in the plug.",
                "Do not plug it in. Solder one of the plugs anew and check it with a meter.",
                pack=ours,
                lead=polarity,
            )
    if missing:
        raise MissingValue(missing)


@book.rule(
    group="plugs",
    each="lead",
    needs=("pack.plug", "lead.plug_a", "lead.plug_b", "lead.adapter_mohm", "lead.mass_g"),
    source="common practice, no source",
)
def adapter_in_the_way(case: Case) -> Iterator[Finding]:
    """Does an adapter sit between the pack's plug and the lead?

    It is no fault, but it adds weight, resistance and one more plug that can come off.
    """
    subject = case.subject
    assert subject is not None
    others = [lead for lead in case.build.fitted("lead") if lead is not subject]
    if not others or not case.build.fitted("pack"):
        return
    ends = _families(case, subject)
    if len(set(ends)) < 2 or subject not in _main_leads(case):
        return
    (plug,) = case.need((case.build.fitted("pack")[0], "plug"))
    (far,) = set(ends) - {plug.casefold()}
    if not any(far in _families(case, other) for other in others):
        return
    (mohm, mass), missing = case.look((subject, "adapter_mohm"), (subject, "mass_g"))
    added = [f"{number(mohm)} mΩ"] if mohm is not None else []
    added += [f"{number(mass)} g"] if mass is not None else []
    yield case.finding(
        Level.NOTE,
        f"{subject.title} is an adapter" + (f": it adds {' and '.join(added)}." if added else "."),
        "Solder the pack's plug on the lead itself when it is to stay.",
        adapter_mohm=mohm,
        mass_g=mass,
    )
    if missing:
        raise MissingValue(missing)
