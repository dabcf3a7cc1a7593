"""What is recorded of the parts: fit for use, complete, weighed as the maker says."""

from __future__ import annotations

from collections.abc import Iterator

from builds.findings import ANY, Case, Finding, Level, Limit, book, words_of
from builds.limits import is_above, number
from builds.records import PartRecord

PRACTICE = "common practice, no source"
PERCENT = 1e-2
NEAR_PERCENT = 2.0
UNUSABLE = ("broken", "retired")
DOUBT_SHARE, DOUBT_G = 0.1, 2.0
READ_WRONG = {
    "mass_g": ((28.3495, "ounces"), (1000.0, "kilograms")),
    "length_mm": ((25.4, "inches"), (10.0, "centimetres")),
    "width_mm": ((25.4, "inches"), (10.0, "centimetres")),
    "height_mm": ((25.4, "inches"), (10.0, "centimetres")),
}
"""How many of our unit one of another holds: NIST SP 811 (2008), appendix B.8."""
FROM_MEMORY = ("mass_g", "length_mm", "width_mm", "height_mm")


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

    Both stay on record; the weighed one counts. Where they differ as two units do, that is told
    instead.
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
    if (
        value.value
        and rated.value
        and _other_unit("mass_g", value.value / rated.value, NEAR_PERCENT)
    ):
        return
    yield case.finding(
        Level.NOTE,
        f"{subject.title}: weighed {number(value.value)} g; its maker says {number(rated.value)} "
        "g.",
        "Check what was on the scale.",
        weighed_g=value.value,
        sheet_g=rated.value,
    )


@book.rule(group="records", each=ANY, source=PRACTICE)
def promised_part_fitted(case: Case) -> Iterator[Finding]:
    """Is a part fitted that somebody else has claimed, or that is lent or overdue?

    A claim or a loan of the aircraft's own pilot is none of another's. In a club's aircraft every
    claim and loan of its parts counts.
    """
    subject = case.subject
    assert subject is not None
    assert subject.part is not None
    part, mine = subject.part, case.build.person_id
    if part.overdue_days is not None:
        yield case.finding(
            Level.WARNING,
            f"{subject.title} is lent to {part.lent_to} and {part.overdue_days} days overdue.",
            "Bring it back, or ask for more time.",
            lent_to=part.lent_to,
            overdue_days=part.overdue_days,
        )
    elif part.lent_to_id is not None and part.lent_to_id != mine:
        yield case.finding(
            Level.WARNING,
            f"{subject.title} is lent to {part.lent_to}, and fitted here.",
            "Find out where it is, and end the loan or take it out.",
            lent_to=part.lent_to,
        )
    if part.claimed_by_id is not None and part.claimed_by_id != mine:
        yield case.finding(
            Level.CAUTION,
            f"{subject.title} is claimed by {part.claimed_by}.",
            "Ask, or fit another one.",
            claimed_by=part.claimed_by,
        )


@book.rule(group="records", each=ANY, needs=("part.mass_g",), source=PRACTICE)
def mass_older_than_repair(case: Case) -> Iterator[Finding]:
    """Was the part last weighed before it was inspected and repaired?

    Glue, filler and new wires weigh.
    """
    subject = case.subject
    assert subject is not None
    assert subject.part is not None
    repaired, mass = subject.part.repaired_at, subject.part.known("mass_g")
    if repaired is None or mass is None or mass.at is None:
        return
    days = (repaired - mass.at).days
    if days < 1:
        return
    case.ask(subject, "mass_g")
    yield case.finding(
        Level.NOTE,
        f"{subject.title} was weighed {days} days before its repair.",
        "Weigh it again.",
        days=days,
    )


@book.rule(
    group="records",
    each=ANY,
    needs=tuple(f"part.{name}" for name in READ_WRONG),
    source="units: NIST SP 811 (2008), appendix B.8; how near is common practice, no source",
    limits=(
        Limit(
            "near_percent", NEAR_PERCENT, "how near a ratio of two units counts as one", maximum=5
        ),
    ),
)
def read_in_another_unit(case: Case) -> Iterator[Finding]:
    """Does a measured figure differ from the maker's just as two units do?

    An ounce is 28.35 g, an inch 25.4 mm: a figure off by that was read in the other unit.
    """
    subject = case.subject
    assert subject is not None
    assert subject.part is not None
    for name in READ_WRONG:
        rated, value = subject.part.rated.get(name), subject.part.known(name)
        if not rated or not rated.value or not value or value == rated or value.is_guess:
            continue
        measured = case.ask(subject, name)
        if not measured:
            continue
        unit = _other_unit(name, measured / rated.value, case.limit("near_percent"))
        if not unit:
            continue
        yield case.finding(
            Level.CAUTION,
            f"{subject.title}: {words_of(name)} {number(measured)} as measured, "
            f"{number(rated.value)} by its maker. One of them may be in {unit}.",
            "Look again, and write down the right one.",
            measured=measured,
            sheet=rated.value,
        )


def _other_unit(name: str, ratio: float, near_percent: float) -> str:
    """The unit that a figure, or the one it is compared with, was read in; else nothing."""
    for factor, unit in READ_WRONG[name]:
        off_percent = abs(max(ratio, 1 / ratio) / factor - 1) / PERCENT
        if not is_above(off_percent, near_percent):
            return unit
    return ""


@book.rule(group="records", source=PRACTICE)
def figures_from_memory(case: Case) -> Iterator[Finding]:
    """Are masses or sizes only guessed, so that no check may come out well by them?

    One finding names the parts.
    """
    guessed = [
        position.title
        for position in case.build.fitted()
        if position.part and _is_guessed(position.part)
    ]
    if not guessed:
        return
    yield case.finding(
        Level.NOTE,
        f"Guessed mass or size: {', '.join(guessed)}.",
        "Weigh or measure, or look it up.",
        parts=tuple(guessed),
    )


def _is_guessed(part: PartRecord) -> bool:
    known = (part.known(name) for name in FROM_MEMORY)
    return any(value is not None and value.is_guess for value in known)
