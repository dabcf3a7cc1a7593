"""Lines of the page of what fits where, ready to be read."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import groupby

from builds.figures import Figure
from builds.figures.fits import PART, ROOM, Fit, Verdict
from builds.pages.wording import FigureRow, Reader, rounded
from builds.records import PositionRecord

GRAVEST_FIRST = (
    Verdict.NO,
    Verdict.SHORT,
    Verdict.TIGHT,
    Verdict.LOOSE,
    Verdict.GUESSED,
    Verdict.UNKNOWN,
    Verdict.FITS,
)
LEVELS = {
    Verdict.NO: "warning",
    Verdict.SHORT: "caution",
    Verdict.TIGHT: "note",
    Verdict.LOOSE: "caution",
    Verdict.GUESSED: "not judged",
    Verdict.UNKNOWN: "not judged",
}
WORDS = {
    Verdict.TIGHT: "tight: by the limits it may not go in",
    Verdict.LOOSE: "loose",
    Verdict.GUESSED: "a figure is only guessed",
}
SIZES = (ROOM, PART)
HUNDREDTHS = 2


@dataclass(frozen=True)
class FitRow:
    """One thing held against its place."""

    title: str
    level: str
    words: str
    figures: tuple[FigureRow, ...]


@dataclass(frozen=True)
class PlaceRow:
    """One place with all that is held against it, and the gravest of it."""

    position: PositionRecord
    level: str
    words: str
    whats: str
    fits: tuple[FitRow, ...]


def place_rows(fits: Iterable[Fit], reader: Reader) -> tuple[PlaceRow, ...]:
    """Places with what is held against them."""
    return tuple(
        _place_row(position, tuple(group), reader)
        for position, group in groupby(fits, lambda fit: fit.position)
    )


def _place_row(position: PositionRecord, fits: tuple[Fit, ...], reader: Reader) -> PlaceRow:
    gravest = min((fit.verdict for fit in fits), key=GRAVEST_FIRST.index)
    whats = (fit.what for fit in fits if fit.verdict == gravest)
    return PlaceRow(
        position=position,
        level=LEVELS.get(gravest, ""),
        words=WORDS.get(gravest, gravest),
        whats="" if gravest == Verdict.FITS else ", ".join(whats),
        fits=tuple(_fit_row(fit, reader) for fit in fits),
    )


def _fit_row(fit: Fit, reader: Reader) -> FitRow:
    return FitRow(
        title=f"{fit.what[:1].upper()}{fit.what[1:]}{_sizes(fit, reader)}",
        level=LEVELS.get(fit.verdict, ""),
        words=WORDS.get(fit.verdict, fit.verdict),
        figures=tuple(
            reader.figure(rounded(figure, HUNDREDTHS))
            for name, figure in fit.figures.items()
            if name not in SIZES
        ),
    )


def _sizes(fit: Fit, reader: Reader) -> str:
    if ROOM not in fit.figures:
        return ""
    room, part = (_size(fit, name, reader) for name in SIZES)
    return f": room {room}, part {part}"


def _size(fit: Fit, name: str, reader: Reader) -> str:
    figure = fit.figures[name]
    return reader.say(round(figure.value, 2), name) if isinstance(figure, Figure) else "not known"
