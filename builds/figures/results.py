"""What a calculation gives: a figure with its inputs and source, or what it lacks."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import ClassVar, NamedTuple

from builds.records import GUESSES, BuildSnapshot

COVERAGE_FACTOR = 2.0
"""Expanded uncertainty of about 95 %, JCGM 100:2008, 6.3.3."""

Amount = float | tuple[float, ...] | str


@dataclass(frozen=True)
class Input:
    """One value that went into a figure, and where it comes from."""

    name: str
    value: Amount
    unit: str
    source: str
    at: datetime | None = None


@dataclass(frozen=True)
class Figure:
    """A calculated figure.

    `uncertainty` is the standard uncertainty (k = 1), `low` and `high` the ends of the 95 %
    interval. A lower bound has no upper end: `high` is None, and `left_out` names what it lacks.
    `dominant` names the input that widens the interval most, where that was worked out.
    """

    is_known: ClassVar[bool] = True

    name: str
    value: float
    uncertainty: float
    low: float | None
    high: float | None
    unit: str
    inputs: tuple[Input, ...]
    source: str
    note: str = ""
    is_lower_bound: bool = False
    left_out: tuple[str, ...] = ()
    dominant: str = ""

    @property
    def guesses(self) -> tuple[str, ...]:
        """Names of the inputs that are no more than guesses."""
        return tuple(one.name for one in self.inputs if one.source in GUESSES)

    def as_input(self) -> Input:
        """This figure as an input of another; a guess stays a guess."""
        source = GUESSES[0] if self.guesses else "computed"
        return Input(self.name, self.value, self.unit, source)


@dataclass(frozen=True)
class Unknown:
    """A figure that cannot be calculated, and what would settle it.

    Without anything missing the figure does not apply to this aircraft; `note` says why.
    """

    is_known: ClassVar[bool] = False
    value: ClassVar[None] = None

    name: str
    unit: str
    missing: tuple[str, ...]
    note: str = ""


@dataclass(frozen=True)
class Worked:
    """What a maker gives: `left_out` makes it a lower bound, `interval` overrides the usual one."""

    value: float
    uncertainty: float
    inputs: tuple[Input, ...]
    source: str
    note: str = ""
    left_out: tuple[str, ...] = ()
    interval: tuple[float | None, float | None] | None = None
    dominant: str = ""


class NotKnown(Exception):
    """A figure lacks inputs; `missing` names them."""

    def __init__(self, missing: Iterable[str], note: str = "") -> None:
        self.missing = tuple(missing)
        self.note = note
        super().__init__(", ".join(self.missing) or note)


class Maker(NamedTuple):
    """How a figure is made, and its unit."""

    unit: str
    work: Callable[[Figures], Worked]


class Labelled(NamedTuple):
    """A figure of which there are several in a build, and what tells it from the others."""

    label: str
    figure: Figure | Unknown


class Figures(Mapping[str, Figure | Unknown]):
    """All figures of one build by name; each is calculated once, when first asked for.

    `known` are figures that the caller knows to be the same, such as those of a wing when only a
    servo is swapped.
    """

    def __init__(
        self,
        snapshot: BuildSnapshot,
        makers: Mapping[str, Maker],
        known: Mapping[str, Figure | Unknown] | None = None,
    ) -> None:
        self.snapshot = snapshot
        self._makers = makers
        self._made: dict[str, Figure | Unknown] = dict(known or {})

    def __getitem__(self, name: str) -> Figure | Unknown:
        if name not in self._made:
            self._made[name] = self._make(name, self._makers[name])
        return self._made[name]

    def __iter__(self) -> Iterator[str]:
        return iter(self._makers)

    def __len__(self) -> int:
        return len(self._makers)

    def need(self, name: str) -> Figure:
        """A figure that another is made of.

        Raises
        ------
        NotKnown
            With what it lacks itself.
        """
        found = self[name]
        if isinstance(found, Unknown):
            raise NotKnown(found.missing, found.note)
        return found

    def need_complete(self, name: str) -> Figure:
        """A figure that must not be a lower bound, because that would flatter the result.

        Raises
        ------
        NotKnown
            With what it lacks itself, or leaves out.
        """
        found = self.need(name)
        if found.left_out:
            raise NotKnown(found.left_out)
        return found

    def beside(self, label: str, name: str, maker: Maker) -> Labelled:
        """A figure that is not one of these but made of them, such as one of each lead."""
        return Labelled(label, self._make(name, maker))

    def _make(self, name: str, maker: Maker) -> Figure | Unknown:
        try:
            worked = maker.work(self)
        except NotKnown as error:
            return Unknown(name, maker.unit, error.missing, error.note)
        except (ValueError, ArithmeticError) as error:
            # The formulas say in plain words which input cannot be true.
            return Unknown(name, maker.unit, (str(error),))
        low, high = worked.interval or _interval(worked)
        return Figure(
            name=name,
            value=worked.value,
            uncertainty=worked.uncertainty,
            low=low,
            high=high,
            unit=maker.unit,
            inputs=worked.inputs,
            source=worked.source,
            note=worked.note,
            is_lower_bound=bool(worked.left_out),
            left_out=worked.left_out,
            dominant=worked.dominant,
        )


def propagate(
    formula: Callable[[Sequence[float]], float], inputs: Sequence[tuple[float, float]]
) -> tuple[float, float]:
    """Value of a formula and its standard uncertainty.

    Parameters
    ----------
    formula : takes the values in order and gives the result.
    inputs : value and standard uncertainty of each input, independent of each other.

    Returns
    -------
    value and standard uncertainty, in the formula's own unit

    Source
    ------
    JCGM 100:2008, 5.1.2 equation (10), sensitivities found numerically as in 5.1.3 note 2.
    """
    values = [value for value, _ in inputs]
    variance = 0.0
    for place, (value, uncertainty) in enumerate(inputs):
        if uncertainty == 0:
            continue
        above = formula([*values[:place], value + uncertainty, *values[place + 1 :]])
        below = formula([*values[:place], value - uncertainty, *values[place + 1 :]])
        variance += ((above - below) / 2) ** 2
    return formula(values), variance**0.5


def _interval(worked: Worked) -> tuple[float, float | None]:
    half_width = COVERAGE_FACTOR * worked.uncertainty
    high = None if worked.left_out else worked.value + half_width
    return worked.value - half_width, high
