"""The pack itself: swelling, energy, its charger and the packs it is joined with."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from statistics import fmean
from typing import Any

from builds.findings import Case, Finding, Level, Limit, MissingValue, book
from builds.findings.packs_in_service import VERDICT, pack_in_service
from builds.limits import is_above, number
from builds.records import PositionRecord

PRACTICE = "common practice, no source"
PERCENT = 1e-2
FULL_ALIKE_V = 0.01
# Passengers' batteries: ICAO Technical Instructions (Doc 9284), table 8-1 (from memory, not
# verified). The airline's own rules come first.
CARRIED_WH, CARRIED_MOST_WH = 100.0, 160.0
REMEDIES = {
    "out_of_service": "Do not charge or fly it. Keep it outdoors, away from what burns, and "
    "dispose of it by the maker's data and local rules.",
    "retire": "Light work only and no first flight; fly one that is fit.",
    "watch": "Look at it again after some flights; its log says what would change the verdict.",
}
VERDICTS = {
    "out_of_service": (Level.WARNING, "must not be used"),
    "retire": (Level.CAUTION, "is worn"),
    "watch": (Level.NOTE, "is to be watched"),
}
SETTLED_BY = {
    "cycles": "a log of three cycles or more",
    "capacity": "its capacity, from a full charge and a discharge in a tester",
    "resistance": "its resistance, read again by the same method at 20 to 25 °C",
    "sheet": "its chemistry, cells and capacity in the data sheet",
}
TOLD_ELSEWHERE = frozenset(
    ("capacity", "class", "resistance", "spread", "cell_resistance", "left_full", "left_empty")
)
"""Causes of a verdict that rules of their own tell of."""
NOMINAL_V = {"lipo": 3.7, "lipo_hv": 3.8, "li_ion": 3.6, "lifepo4": 3.2, "nimh": 1.2}


@book.rule(
    group="packs",
    each="pack",
    needs=("pack.height_mm", VERDICT),
    source=PRACTICE,
    limits=(
        Limit("growth_percent", 5.0, "most that a pack may grow in thickness", maximum=10),
        Limit("growth_mm", 1.0, "growth in thickness that is never swelling", maximum=3),
    ),
    is_final=True,
)
def pack_swollen(case: Case) -> Iterator[Finding]:
    """Is the pack thicker, as measured, than its maker says?

    More than 5 % and more than 1 mm counts as swollen. A swollen pack can burn without warning.
    """
    subject = pack_in_service(case)
    pack = subject.part
    assert pack is not None
    (height,) = case.need((subject, "height_mm"))
    rated = pack.rated.get("height_mm")
    if rated is None or pack.values["height_mm"].source in ("sheet", "guessed", "unknown"):
        raise MissingValue((f"{subject.title}: its thickness, from the maker and measured",))
    growth = height - rated.value
    share = case.limit("growth_percent") * PERCENT * rated.value
    if not is_above(growth, max(case.limit("growth_mm"), share)):
        return
    yield case.finding(
        Level.WARNING,
        f"{subject.title} is {number(height)} mm thick; its maker says {number(rated.value)} "
        "mm. It may be swollen.",
        "Do not charge or fly it. Keep it outdoors, away from what burns, and dispose of it by "
        "the maker's data and local rules.",
        height_mm=height,
        rated_mm=rated.value,
    )


@book.rule(
    group="packs",
    each="pack",
    needs=(VERDICT, "pack.health_reason", "pack.health_abouts", "pack.health_messages"),
    source=PRACTICE,
    is_final=True,
)
def pack_not_fit(case: Case) -> Iterator[Finding]:
    """Does the pack's log say that it is not fit, or not say that it is?

    A pack that its log takes out of service is one finding with all its reasons, and no other
    rule speaks of its state. Worn capacity, resistance and cells are told by rules of their own.
    What the log cannot tell is no sign of health. The maker's data come first.
    """
    subject = case.subject
    assert subject is not None
    assert subject.part is not None
    (verdict,) = case.need((subject, "health_verdict"))
    # A pack that somebody took out of service is told of as every such part is.
    if subject.part.out_of_service:
        raise MissingValue(())
    abouts = case.ask(subject, "health_abouts") or ()
    if verdict == "cannot_tell":
        if "log" in abouts:
            return
        raise MissingValue(
            f"{subject.title}: {SETTLED_BY.get(about, 'a log that tells its state')}"
            for about in abouts or ("log",)
        )
    told = _told(case, subject, abouts, is_all=verdict == "out_of_service")
    if verdict not in VERDICTS or (abouts and not told):
        return
    level, words = VERDICTS[verdict]
    yield case.finding(
        level,
        f"{subject.title} {words}. {' '.join(told)}".strip(),
        REMEDIES[verdict],
        health_verdict=verdict,
    )


def _told(
    case: Case, subject: PositionRecord, abouts: Sequence[str], *, is_all: bool
) -> tuple[str, ...]:
    """Reasons for the verdict, or those of them that no rule of its own tells."""
    messages = case.ask(subject, "health_messages")
    if not messages:
        reason = case.ask(subject, "health_reason")
        return (reason,) if reason else ()
    return tuple(
        message
        for about, message in zip(abouts, messages, strict=True)
        if is_all or about not in TOLD_ELSEWHERE
    )


@book.rule(
    group="packs",
    each="pack",
    needs=("pack.chemistry", "ground_gear.chemistries"),
    source="the makers' sheets",
    is_final=True,
)
def charger_of_another_chemistry(case: Case) -> Iterator[Finding]:
    """Can your charger not charge the pack's chemistry?

    A lithium pack charged by the wrong programme can catch fire. The maker's data comes first;
    stay with a charging pack.
    """
    assert case.subject is not None
    charger = case.need_ground("charger")
    chemistry, known = case.need((case.subject, "chemistry"), (charger, "chemistries"))
    if _plain(chemistry) in {_plain(one) for one in known}:
        return
    yield case.finding(
        Level.WARNING,
        f"{case.subject.title} is {chemistry}; {charger.name} charges {', '.join(known)}.",
        "Charge it with a charger made for its chemistry.",
        chemistry=chemistry,
        charger=tuple(known),
    )


def _plain(word: str) -> str:
    """A chemistry's name without marks: writings differ in hyphens and spaces."""
    return "".join(letter for letter in word.casefold() if letter.isalnum())


@book.rule(
    group="packs",
    each="pack",
    needs=("pack.cell_full_v", "ground_gear.cell_full_v"),
    source="the makers' sheets",
    is_final=True,
)
def charger_set_to_another_voltage(case: Case) -> Iterator[Finding]:
    """Is your charger set to another full voltage than the pack's cells have?

    A cell charged above its full voltage can burn. Asked where the charger's setting was entered.
    """
    subject = case.subject
    assert subject is not None
    charger = case.need_ground("charger")
    set_to = case.ask(charger, "cell_full_v")
    if set_to is None:
        raise MissingValue(())
    (full,) = case.need((subject, "cell_full_v"))
    if not is_above(abs(set_to - full), FULL_ALIKE_V):
        return
    is_high = set_to > full
    yield case.finding(
        Level.WARNING if is_high else Level.NOTE,
        f"{charger.name} charges to {number(set_to)} V a cell; {subject.title} is full at "
        f"{number(full)} V.",
        "Set the programme for this pack, and read it again before you start."
        if is_high
        else "It will not be charged in full.",
        charger_v=set_to,
        full_v=full,
    )


@book.rule(
    group="packs",
    each="pack",
    needs=("pack.cell_count", "ground_gear.cells_max"),
    source="the charger maker's sheet",
)
def charger_for_fewer_cells(case: Case) -> Iterator[Finding]:
    """Has the pack more cells than your charger can charge?

    It would not be charged in full, or not at all.
    """
    assert case.subject is not None
    charger = case.need_ground("charger")
    cells, most = case.need((case.subject, "cell_count"), (charger, "cells_max"))
    if cells <= most:
        return
    yield case.finding(
        Level.CAUTION,
        f"{case.subject.title} has {cells} cells; {charger.name} charges {most} at most.",
        "Use a charger for more cells.",
        cell_count=cells,
        cells_max=most,
    )


@book.rule(
    group="packs",
    each="pack",
    needs=("pack.cell_count", "pack.capacity_mah", "pack.cell_nominal_v", "pack.chemistry"),
    source="ICAO Technical Instructions (Doc 9284), table 8-1; from memory, not verified",
)
def pack_too_large_for_air_travel(case: Case) -> Iterator[Finding]:
    """Has the pack more energy than airlines carry without asking?

    Above 100 Wh an airline must agree; above 160 Wh passengers may not carry it.
    """
    assert case.subject is not None
    cells, capacity_mah = case.need((case.subject, "cell_count"), (case.subject, "capacity_mah"))
    nominal = case.ask(case.subject, "cell_nominal_v")
    if nominal is None:
        (chemistry,) = case.need((case.subject, "chemistry"))
        nominal = NOMINAL_V[chemistry]
    energy = cells * nominal * capacity_mah / 1000
    if not is_above(energy, CARRIED_WH):
        return
    is_barred = is_above(energy, CARRIED_MOST_WH)
    yield case.finding(
        Level.NOTE,
        f"{case.subject.title} holds {number(energy)} Wh.",
        "Do not take it on a passenger flight."
        if is_barred
        else "Ask the airline before you take it on a flight.",
        energy_wh=energy,
        limit_wh=CARRIED_MOST_WH if is_barred else CARRIED_WH,
    )


@book.rule(
    group="packs",
    needs=(
        "build.packs_wiring",
        "pack.cell_count",
        "pack.chemistry",
        "pack.capacity_mah",
        "pack.cell_resistance_mohm",
    ),
    source=f"physics: Kirchhoff's laws; how far they may differ is {PRACTICE}",
    limits=(Limit("differ_percent", 10.0, "most that packs in parallel may differ", maximum=50),),
)
def unlike_in_parallel(case: Case) -> Iterator[Finding]:
    """Are packs joined in parallel that differ in cells, chemistry, capacity or resistance?

    Packs of other voltages charge each other with currents that can set them on fire as soon as
    they are joined. Packs that differ in capacity or resistance share the current unevenly, and
    one of them ages faster. Resistances are compared where they were measured.
    """
    packs = case.build.fitted("pack")
    if len(packs) < 2:
        return
    (wiring,) = case.need((case.build, "packs_wiring"))
    if wiring != "parallel":
        return
    cells = case.need(*((pack, "cell_count") for pack in packs))
    if len(set(cells)) > 1:
        yield _unlike(case, Level.WARNING, f"{_listed(cells)} cells", cell_count=cells)
    chemistries = case.need(*((pack, "chemistry") for pack in packs))
    if len(set(chemistries)) > 1:
        yield _unlike(case, Level.WARNING, _listed(chemistries), chemistry=chemistries)
    capacities = case.need(*((pack, "capacity_mah") for pack in packs))
    most = case.limit("differ_percent") * PERCENT
    if _differ(capacities, most):
        words = f"{_listed(map(number, capacities))} mAh"
        yield _unlike(case, Level.CAUTION, words, capacity_mah=capacities)
    resistances = tuple(_resistance(case, pack) for pack in packs)
    known = tuple(one for one in resistances if one is not None)
    if _differ(known, most):
        words = f"{_listed(map(number, known))} mΩ a cell"
        yield _unlike(case, Level.CAUTION, words, cell_resistance_mohm=known)


def _unlike(case: Case, level: Level, words: str, **numbers: Any) -> Finding:
    return case.finding(
        level,
        f"The packs in parallel are unlike: {words}.",
        "Join only packs of one kind, age and charge; check their voltages before they are joined.",
        **numbers,
    )


def _listed(values: Iterable[Any]) -> str:
    return " and ".join(map(str, values))


def _differ(values: Sequence[float], share: float) -> bool:
    return bool(values) and is_above(max(values) - min(values), share * max(values))


def _resistance(case: Case, pack: PositionRecord) -> float | None:
    cells = case.ask(pack, "cell_resistance_mohm")
    return fmean(cells) if cells else None
