"""What is recorded of the parts: fit for use, complete, weighed as the maker says."""

from __future__ import annotations

from collections.abc import Iterator

from builds.findings import ANY, Case, Finding, Level, book
from builds.limits import is_above, number

PRACTICE = "common practice, no source"
UNUSABLE = ("broken", "retired")
DOUBT_SHARE, DOUBT_G = 0.1, 2.0


@book.rule(group="records", each=ANY, source=PRACTICE)
def unusable_part_fitted(case: Case) -> Iterator[Finding]:
    """Is a part fitted that is out of service, broken, retired or suspect?

    A suspect part is a caution: look it over before the next flight.
    """
    subject = case.subject
    assert subject is not None
    assert subject.part is not None
    part = subject.part
    if part.out_of_service:
        state, level = f"out of service ({part.out_of_service})", Level.WARNING
    elif part.condition in UNUSABLE:
        state, level = part.condition, Level.WARNING
    elif part.condition == "suspect":
        state, level = "suspect", Level.CAUTION
    else:
        return
    is_bad = level is Level.WARNING
    yield case.finding(
        level,
        f"{subject.title} is {state}.",
        "Replace it." if is_bad else "Inspect it and say how it is, or replace it.",
        condition=part.condition,
        out_of_service=part.out_of_service,
    )


@book.rule(group="records", source=PRACTICE)
def required_place_empty(case: Case) -> Iterator[Finding]:
    """Are there places that the aircraft needs filled to fly, and nothing in them?

    One finding names them all.
    """
    empty = [p for p in case.build.positions if p.is_required and p.part is None]
    if not empty:
        return
    names = ", ".join(position.name for position in empty)
    yield case.finding(
        Level.CAUTION,
        f"Nothing is fitted in: {names}.",
        "Fit a part, or mark the place as not required.",
        positions=tuple(position.key for position in empty),
    )


@book.rule(
    group="records",
    each="airframe",
    needs=("airframe.mass_g", "airframe.dry_mass_contents"),
    source=PRACTICE,
)
def airframe_mass_unclear(case: Case) -> Iterator[Finding]:
    """Is it unsaid what was on the scale for the airframe's mass?

    Hatch, spars or linkages counted twice, or not at all, spoil the weight and the balance.
    """
    assert case.subject is not None
    (mass,) = case.need((case.subject, "mass_g"))
    if case.ask(case.subject, "dry_mass_contents"):
        return
    yield case.finding(
        Level.NOTE,
        f"{case.subject.title}: {number(mass)} g, and nothing says what was on the scale.",
        "Write down what the mass includes.",
        mass_g=mass,
    )


@book.rule(group="records", each=ANY, needs=("part.mass_g",), source=PRACTICE)
def weighed_far_from_sheet(case: Case) -> Iterator[Finding]:
    """Does the weighed mass differ from the maker's by over a tenth and over 2 g?

    Both stay on record; the weighed one counts.
    """
    subject = case.subject
    assert subject is not None
    assert subject.part is not None
    value, rated = subject.part.known("mass_g"), subject.part.rated.get("mass_g")
    if value is None or rated is None or value.source not in ("weighed", "measured"):
        return
    case.ask(subject, "mass_g")
    difference = abs(value.value - rated.value)
    if not is_above(difference, max(DOUBT_SHARE * rated.value, DOUBT_G)):
        return
    yield case.finding(
        Level.NOTE,
        f"{subject.title}: weighed {number(value.value)} g; its maker says {number(rated.value)} "
        "g.",
        "Check what was on the scale.",
        weighed_g=value.value,
        sheet_g=rated.value,
    )
