"""Weight and balance."""

from __future__ import annotations

from collections.abc import Iterator

from builds.findings import Case, Finding, Level, Limit, MissingValue, book
from builds.limits import is_above, is_below, number

PRACTICE = "common practice, no source"
PERCENT = 1e-2


def _check_complete(case: Case) -> None:
    """Stop where the weight is only a lower bound: it must not let a check come out well."""
    _, missing = case.look(*((position, "mass_g") for position in case.build.fitted()))
    empty = [p for p in case.build.positions if p.is_required and p.part is None]
    gaps = (*missing, *(f"{position.name}: nothing fitted" for position in empty))
    if gaps:
        raise MissingValue(gaps)


@book.rule(
    group="weight",
    needs=(
        "figure.auw_g",
        "part.mass_g",
        "build.takeoff_mass_max_g",
        "airframe.takeoff_mass_max_g",
    ),
    source=f"the build's own limit, else the airframe maker's sheet; what is near is {PRACTICE}",
    limits=(Limit("near_percent", 2.0, "how near to the highest mass is told", maximum=50),),
)
def too_heavy(case: Case) -> Iterator[Finding]:
    """Is the aircraft heavier than its highest take-off mass?

    A weight that is only a lower bound can break the limit, never keep it. Within 2 % below the
    limit it is noted: a heavier pack or a repair may break it.
    """
    airframe = case.build.airframe
    if airframe is None:
        return
    most = case.ask(case.build, "takeoff_mass_max_g")
    if most is None:
        (most,) = case.need((airframe, "takeoff_mass_max_g"))
    weight = case.need_figure("auw_g")
    if is_above(weight.value, most):
        yield case.finding(
            Level.WARNING,
            f"Ready to fly it weighs {number(weight.value)} g; {number(most)} g are allowed.",
            "Make it lighter: a smaller pack, lighter parts.",
            auw_g=weight.value,
            max_g=most,
        )
        return
    if weight.value > (1 - case.limit("near_percent") * PERCENT) * most:
        yield case.finding(
            Level.NOTE,
            f"Ready to fly it weighs {number(weight.value)} g, near the {number(most)} g allowed.",
            "Weigh it again after a repair or with another pack.",
            auw_g=weight.value,
            max_g=most,
        )
    if weight.is_lower_bound:
        _check_complete(case)


@book.rule(
    group="weight",
    needs=("figure.auw_g", "part.mass_g", "build.club_mass_line_g"),
    source="the line that your club entered; local rules come first",
)
def above_club_line(case: Case) -> Iterator[Finding]:
    """Is the aircraft heavier than the line at which your club's or local rules change?

    Within the uncertainty of the weight it counts as above.
    """
    line = case.ask(case.build, "club_mass_line_g")
    if line is None:
        return
    weight = case.need_figure("auw_g")
    highest = weight.value if weight.high is None else weight.high
    if is_above(highest, line):
        near = "" if is_above(weight.value, line) else " nearly"
        yield case.finding(
            Level.NOTE,
            f"Ready to fly it weighs {number(weight.value)} g,{near} above your club's line of "
            f"{number(line)} g.",
            "Keep the rules for heavier aircraft.",
            auw_g=weight.value,
            line_g=line,
        )
        return
    if weight.is_lower_bound:
        _check_complete(case)


@book.rule(
    group="weight",
    needs=(
        "figure.cg_x_mm",
        "figure.cg_min_x_mm",
        "figure.cg_max_x_mm",
        "figure.pack_x_wanted_mm",
        "position.x_min_mm",
        "position.x_max_mm",
    ),
    source=f"the airframe maker's range; its outer part is {PRACTICE}",
    limits=(Limit("outer_percent", 20.0, "outer part of the range at each end", maximum=50),),
)
def balance_out_of_range(case: Case) -> Iterator[Finding]:
    """Is the centre of gravity outside its range, or near an end of it?

    An aircraft that is too heavy at the tail cannot be held.
    """
    least, most = case.need_figure("cg_min_x_mm").value, case.need_figure("cg_max_x_mm").value
    x = case.need_figure("cg_x_mm").value
    edge = case.limit("outer_percent") * PERCENT * (most - least)
    if not is_below(x, least + edge) and not is_above(x, most - edge):
        return
    is_out = is_below(x, least) or is_above(x, most)
    where = "outside" if is_out else "near the end of"
    yield case.finding(
        Level.WARNING if is_out else Level.CAUTION,
        f"It balances at {number(x)} mm, {where} {number(least)} to {number(most)} mm.",
        _balance_remedy(case),
        cg_x_mm=x,
        cg_min_x_mm=least,
        cg_max_x_mm=most,
    )


def _balance_remedy(case: Case) -> str:
    """Where the pack must go, as far as its tray lets it."""
    wanted, pack = case.ask_figure("pack_x_wanted_mm"), case.build.first("pack")
    if wanted is None or pack is None:
        return "Move the pack or other parts."
    front, rear = (case.ask(pack, f"position.{end}") for end in ("x_min_mm", "x_max_mm"))
    if (front is not None and is_below(wanted.value, front)) or (
        rear is not None and is_above(wanted.value, rear)
    ):
        return "The pack's tray ends before the place it needs: move other parts or add ballast."
    return f"Move the middle of the pack to {number(wanted.value)} mm."


@book.rule(
    group="weight",
    each="pack",
    needs=("figure.pack_x_wanted_mm", "position.x_min_mm", "position.x_max_mm"),
    source="balance of moments about the datum",
)
def pack_place_outside_tray(case: Case) -> Iterator[Finding]:
    """Would the pack have to sit outside its tray for the balance wanted?

    It is a warning when no place in the tray keeps the balance in its range, or when the range is
    not known. Of several packs the first is the one that is moved.
    """
    assert case.subject is not None
    if case.subject is not case.build.first("pack"):
        return
    front, rear = case.need(
        (case.subject, "position.x_min_mm"), (case.subject, "position.x_max_mm")
    )
    wanted = case.need_figure("pack_x_wanted_mm")
    if not is_below(wanted.value, front) and not is_above(wanted.value, rear):
        return
    can_reach = (
        wanted.low is not None
        and wanted.high is not None
        and not is_above(wanted.low, rear)
        and not is_below(wanted.high, front)
    )
    yield case.finding(
        Level.CAUTION if can_reach else Level.WARNING,
        f"For the balance wanted the middle of {case.subject.title} must sit at "
        f"{number(wanted.value)} mm; its tray goes from {number(front)} to {number(rear)} mm.",
        "Fly a heavier or lighter pack, move other parts or add ballast.",
        wanted_x_mm=wanted.value,
        low_x_mm=wanted.low,
        high_x_mm=wanted.high,
        tray_min_x_mm=front,
        tray_max_x_mm=rear,
    )


@book.rule(
    group="weight",
    each="pack",
    needs=("position.x_mm", "position.x_min_mm", "position.x_max_mm"),
    source="geometry",
)
def pack_off_its_tray(case: Case) -> Iterator[Finding]:
    """Is the place recorded for the pack outside its tray?

    Then either the place or the tray is wrong, and with it the balance.
    """
    pack = case.subject
    assert pack is not None
    (x, front, rear), missing = case.look(
        (pack, "position.x_mm"), (pack, "position.x_min_mm"), (pack, "position.x_max_mm")
    )
    if missing:
        raise MissingValue(missing)
    if not is_below(x, front) and not is_above(x, rear):
        return
    yield case.finding(
        Level.CAUTION,
        f"{pack.title} is recorded at {number(x)} mm; its tray goes from {number(front)} to "
        f"{number(rear)} mm.",
        "Move the pack, or put the figures right.",
        x_mm=x,
        tray_min_x_mm=front,
        tray_max_x_mm=rear,
    )


@book.rule(
    group="weight",
    needs=("figure.auw_g", "part.mass_g"),
    source=PRACTICE,
    limits=(Limit("share_percent", 10.0, "share of the weight that makes a part heavy", 1, 100),),
)
def heavy_parts_not_weighed(case: Case) -> Iterator[Finding]:
    """Do heavy parts stand there with the maker's mass?

    Makers' masses are often off by a tenth, and without leads and plugs.
    """
    if not case.build.fitted():
        return
    weight = case.need_figure("auw_g").value
    least = case.limit("share_percent") * PERCENT * weight
    heavy = {
        position.title: value.value * position.quantity
        for position in case.build.fitted()
        if position.part
        and (value := position.part.known("mass_g")) is not None
        and value.source == "sheet"
        and is_above(value.value * position.quantity, least)
    }
    if not heavy:
        return
    listed = ", ".join(
        f"{title} {number(mass)} g ({mass / weight * 100:.0f} %)" for title, mass in heavy.items()
    )
    yield case.finding(
        Level.NOTE,
        f"Heavy parts with the maker's mass only: {listed}.",
        "Weigh them.",
        parts=tuple(heavy.items()),
    )


@book.rule(
    group="weight",
    needs=("figure.weighed_difference_g", "build.weigh_ins", "build.revision"),
    source=PRACTICE,
    limits=(
        Limit("differ_percent", 2.0, "most that sum and scale may differ", maximum=20),
        Limit("differ_g", 5.0, "most that sum and scale may differ", maximum=500),
    ),
)
def sum_far_from_scale(case: Case) -> Iterator[Finding]:
    """Does the finished aircraft weigh more or less than its parts together?

    Then a part is missing, counted twice or wrong; glue, tape, wire, screws and straps add up too.
    """
    if case.ask(case.build, "weigh_ins") is None:
        return
    difference = case.need_figure("weighed_difference_g").value
    weighed = case.build.weigh_in
    assert weighed is not None
    most = min(case.limit("differ_percent") * PERCENT * weighed.mass_g, case.limit("differ_g"))
    if not is_above(abs(difference), most):
        return
    word = "more" if difference > 0 else "less"
    yield case.finding(
        Level.CAUTION,
        f"The scale showed {number(weighed.mass_g)} g, {number(abs(difference))} g {word} than the "
        "parts on it together.",
        "Look for a part that is missing, counted twice or wrong; add glue, tape, wire, screws and "
        "straps as a part of their own.",
        weighed_g=weighed.mass_g,
        difference_g=difference,
    )


@book.rule(group="weight", needs=("build.weigh_ins", "build.revision"), source=PRACTICE)
def weigh_in_is_stale(case: Case) -> Iterator[Finding]:
    """Was the finished aircraft last weighed before its latest change?

    Such a weigh-in is shown, but no figure uses it.
    """
    weigh_ins = case.ask(case.build, "weigh_ins")
    if not weigh_ins:
        return
    newest, revision = weigh_ins[0], case.ask(case.build, "revision")
    if newest.revision == revision:
        return
    yield case.finding(
        Level.NOTE,
        f"Last weighed whole in revision {newest.revision}; this is revision {revision}.",
        "Weigh and balance the finished aircraft again.",
        weighed_in_revision=newest.revision,
        revision=revision,
    )
