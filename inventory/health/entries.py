"""What the log of a pack says, as plain frozen records."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum


class Kind(StrEnum):
    """Kinds of log entry."""

    CHARGE = "charge"
    USE = "use"
    REST = "rest"
    RESISTANCE = "resistance"
    STORAGE = "storage"
    INCIDENT = "incident"
    INSPECTION = "inspection"


class Chemistry(StrEnum):
    """Families of cell whose limits differ."""

    LIPO = "lipo"
    LIPO_HV = "lipo_hv"
    LI_ION = "li_ion"


@dataclass(frozen=True, kw_only=True)
class LogEntry:
    """One row of the log of a pack.

    Charge and voltage under load are of the whole pack; rest voltages and resistances are per
    cell, in the order of the balance lead. ``charge_mah`` goes in for a charge and out for a use.
    ``hours_since_use`` is the time at rest before ``rest_v`` was read. ``temperature_c`` is that
    of the pack. ``counter_mah`` is what a cumulative counter read, ``counter_cycles`` what a
    cycle counter read. ``aircraft_cells`` is what the aircraft of a use is made for.
    ``is_full`` marks a charge that ended its constant-voltage stage at the full voltage of the
    pack, ``is_capacity_test`` a discharge from full to the maker's cut-off in a tester.
    """

    id: str
    kind: str
    started_at: datetime
    charge_mah: float | None = None
    duration_s: float | None = None
    voltage_min_v: float | None = None
    rest_v: tuple[float, ...] = ()
    resistance_mohm: tuple[float, ...] = ()
    method: str = ""
    temperature_c: float | None = None
    hours_since_use: float | None = None
    counter_mah: float | None = None
    counter_cycles: int | None = None
    aircraft_cells: int | None = None
    thickness_mm: float | None = None
    is_full: bool = False
    is_capacity_test: bool = False
    note: str = ""

    def __post_init__(self) -> None:
        if self.started_at.tzinfo is None:
            raise ValueError(f"Log entry {self.id}: the time needs a time zone.")
        Kind(self.kind)


END_PERCENT = 80.0
"""Share of rated capacity at which a pack is called worn [%]: usual, not a law of nature."""


@dataclass(frozen=True, kw_only=True)
class PackFacts:
    """What is known of a pack beside its log.

    ``capacity_mah`` is the rated capacity of the whole pack, ``continuous_c`` its label rating
    as a multiple of it, ``continuous_a`` the same as a current where the maker gives a current.
    ``end_percent`` is the share of rated capacity below which its owner calls it worn.
    ``out_of_service_because`` is set by hand and wins over every figure.
    """

    chemistry: Chemistry
    cells: int
    capacity_mah: float
    parallel: int = 1
    full_v_per_cell: float = 4.20
    nominal_v_per_cell: float | None = None
    minimum_v_per_cell: float | None = None
    continuous_c: float | None = None
    continuous_a: float | None = None
    cycles_at_purchase: int = 0
    thickness_first_mm: float | None = None
    thickness_now_mm: float | None = None
    mass_g: float | None = None
    out_of_service_because: str = ""
    end_percent: float = END_PERCENT

    def __post_init__(self) -> None:
        if self.cells < 1 or self.parallel < 1:
            raise ValueError("A pack has at least one cell.")
        if not self.capacity_mah > 0:
            raise ValueError("The rated capacity must be more than 0 mAh.")


def in_order(entries: Iterable[LogEntry]) -> tuple[LogEntry, ...]:
    """Sort a log by time and drop rows that were imported twice.

    Parameters
    ----------
    entries : rows in any order [-]

    Returns
    -------
    rows by time, each id once [-]

    Source
    ------
    Common practice, no source.
    """
    by_id = {entry.id: entry for entry in entries}
    return tuple(sorted(by_id.values(), key=lambda entry: (entry.started_at, entry.id)))
