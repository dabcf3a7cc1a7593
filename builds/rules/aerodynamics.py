"""How it sits in the air: loading of the wing, balance known or not, one side heavier."""

from __future__ import annotations

from collections.abc import Iterator

from builds.findings import Case, Finding, Level, Limit, MissingValue, book
from builds.limits import is_above, number

PRACTICE = "common practice, no source"
PERCENT = 1e-2
LOADINGS = {"trainer": 45.0, "sport": 60.0, "long_range": 75.0, "racing": 90.0}
"""Highest usual loading of a wing of half a metre to a metre and a half, by role [g/dm2]."""
ROLE_WORDS = {
    "trainer": "learning",
    "sport": "sport",
    "long_range": "long range",
    "racing": "racing",
}


def _has_wing(case: Case) -> bool:
    airframe = case.build.airframe
    return airframe is not None and case.ask(airframe, "layout") != "multirotor"


@book.rule(
    group="aerodynamics",
    needs=(
        "figure.wing_area_dm2",
        "figure.wing_loading_g_dm2",
        "figure.stall_speed_m_s",
        "build.role",
        "airframe.layout",
    ),
    source=PRACTICE,
    limits=(
        *(
            Limit(f"{role}_g_dm2", most, f"highest wing loading for {ROLE_WORDS[role]}", 1, 500)
            for role, most in LOADINGS.items()
        ),
        Limit("far_percent", 25.0, "how far above it becomes a caution", maximum=200),
    ),
)
def wing_loaded_beyond_role(case: Case) -> Iterator[Finding]:
    """Is the wing loaded more than is usual for what the aircraft is flown for?

    A higher loading stalls faster, lands faster and hits harder. Above the usual it is noted,
    above it by a quarter it is a caution. Without span and chords nothing can be told.
    """
    if not _has_wing(case):
        return
    case.need_figure("wing_area_dm2")
    wing = case.need_figure("wing_loading_g_dm2")
    loading = wing.value
    (role,) = case.need((case.build, "role"))
    most = case.limit(f"{role}_g_dm2")
    if not is_above(loading, most):
        if wing.is_lower_bound:
            raise MissingValue(wing.left_out)
        return
    stall = case.ask_figure("stall_speed_m_s")
    told = f" It stalls at {number(stall.value)} m/s." if stall else ""
    is_far = is_above(loading, most * (1 + case.limit("far_percent") * PERCENT))
    yield case.finding(
        Level.CAUTION if is_far else Level.NOTE,
        f"The wing carries {number(loading)} g/dm²; for {ROLE_WORDS[role]} {number(most)} g/dm² "
        f"are usual.{told}",
        "Fly a lighter pack and lighter parts, or fly it as what it is: faster.",
        wing_loading_g_dm2=loading,
        usual_g_dm2=most,
    )


@book.rule(
    group="aerodynamics",
    needs=("figure.cg_x_mm", "part.mass_g", "position.is_required"),
    source=PRACTICE,
)
def balance_not_known(case: Case) -> Iterator[Finding]:
    """Is all fitted that the aircraft needs to fly, and its balance still not known?

    Most first flights that fail, fail by the balance. An aircraft that is not complete is not
    asked.
    """
    build = case.build
    if not build.fitted() or any(p.is_required and p.part is None for p in build.positions):
        raise MissingValue(())
    if case.ask_figure("cg_x_mm") is not None:
        return
    missing = case.figures["cg_x_mm"].missing
    yield case.finding(
        Level.CAUTION,
        f"Where it balances is not known; missing: {'; '.join(missing)}.",
        "Balance the finished aircraft by hand and record the weigh-in, before it flies.",
        missing=tuple(missing),
    )


@book.rule(
    group="aerodynamics",
    needs=("figure.cg_y_mm", "figure.auw_g", "figure.wing_span_mm", "airframe.layout"),
    source=f"balance of moments about the middle; the mass allowed is {PRACTICE}",
    limits=(
        Limit("tip_g", 5.0, "most that one side may be heavier, as a mass at the tip", 0, 500),
    ),
)
def one_side_heavier(case: Case) -> Iterator[Finding]:
    """Is one side of the wing heavier than the other?

    Told as the mass that would level it at the other tip. A heavy side drops in the stall.
    """
    if not _has_wing(case):
        return
    y, span = case.need_figure("cg_y_mm").value, case.need_figure("wing_span_mm").value
    at_tip = case.need_figure("auw_g").value * y / (span / 2)
    if not is_above(abs(at_tip), case.limit("tip_g")):
        return
    heavy, light = ("right", "left") if at_tip > 0 else ("left", "right")
    yield case.finding(
        Level.NOTE,
        f"The {heavy} side is heavier by {number(abs(at_tip))} g at the tip.",
        f"Move a part to the {light}, or put {number(abs(at_tip))} g on the {light} tip.",
        tip_g=round(abs(at_tip), 6),
        cg_y_mm=y,
    )
