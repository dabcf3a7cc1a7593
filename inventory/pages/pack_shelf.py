"""The shelf: all packs that a person may see, sorted, cared for and compared."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from django.contrib.auth.decorators import login_required
from django.db.models import OuterRef, QuerySet, Subquery
from django.http import HttpResponse

from hangar.requests import PersonRequest
from hangar.submissions import page_of, query_without_page, show
from inventory.health import Verdict, cautions
from inventory.models import Condition, LogEntry, Part
from inventory.pack_health import PackReport
from inventory.stored_health import health_of_all

SHELF_ROWS = 24
MOST_COMPARED = 4
WORST_FIRST = (
    Verdict.OUT_OF_SERVICE, Verdict.RETIRE, Verdict.WATCH, Verdict.CANNOT_TELL, Verdict.FIT,
)  # fmt: skip
UNKNOWN = float("inf")


@dataclass(frozen=True)
class Shelved:
    """A pack on the shelf and what its log says."""

    pack: Part
    report: PackReport

    @property
    def capacity_percent(self) -> float | None:
        """Capacity as a share of rated [%], None where the log does not tell it."""
        return self.report.health.capacity_percent if self.report.health else None

    @property
    def resistance_mohm(self) -> float | None:
        """Highest resistance of a cell [mohm]."""
        read = self.report.health.resistance_mohm if self.report.health else ()
        return max(read, default=None)

    @property
    def energy_wh(self) -> float | None:
        """Rated energy [Wh]."""
        return self.report.health.energy_wh if self.report.health else None

    @property
    def mass_g(self) -> float | None:
        """Measured mass, else that of the sheet [g]."""
        return self.pack.mass_g or self.pack.sheet.mass_g

    @property
    def rank(self) -> int:
        """Place of the verdict, the worst first; a pack stopped by hand is out of service."""
        stopped = Verdict.OUT_OF_SERVICE if self.pack.out_of_service else self.report.verdict
        return WORST_FIRST.index(stopped)


def _unknown_last(value: float | None, sign: int = 1) -> float:
    return UNKNOWN if value is None else sign * value


SORTS: dict[str, tuple[str, Callable[[Shelved], float]]] = {
    "verdict": ("verdict, worst first", lambda one: one.rank),
    "cycles": ("cycles, most first", lambda one: -one.report.cycles.counted),
    "capacity": (
        "capacity against rated, least first",
        lambda one: _unknown_last(one.capacity_percent),
    ),
    "resistance": (
        "resistance, highest first",
        lambda one: _unknown_last(one.resistance_mohm, -1),
    ),
    "seen": (
        "last seen, longest ago first",
        lambda one: one.pack.seen_at.timestamp() if one.pack.seen_at else 0.0,  # type: ignore[attr-defined]
    ),
    "mass": ("mass, lightest first", lambda one: _unknown_last(one.mass_g)),
    "energy": ("watt-hours, most first", lambda one: _unknown_last(one.energy_wh, -1)),
}


@login_required
def pack_shelf(request: PersonRequest) -> HttpResponse:
    """Show the packs the person may see, sorted as asked, those that need care and up to four."""
    shelf = _shelf(request)
    chosen = request.GET.get("sort", "")
    chosen = chosen if chosen in SORTS else "verdict"
    shelf.sort(key=SORTS[chosen][1])
    by_code = {one.pack.code: one for one in shelf}
    asked = list(dict.fromkeys(request.GET.getlist("compare")))
    context = {
        "page": page_of(request, shelf, SHELF_ROWS),
        "query": query_without_page(request),
        "sorts": [(name, words, name == chosen) for name, (words, _) in SORTS.items()],
        "needing_care": _needing_care(shelf),
        "compared": [by_code[code] for code in asked if code in by_code][:MOST_COMPARED],
        "too_many": len(asked) > MOST_COMPARED,
        "most_compared": MOST_COMPARED,
        "asked": asked,
        "cautions": cautions,
    }
    return show(request, "inventory/pack_shelf.html", context)


def _shelf(request: PersonRequest) -> list[Shelved]:
    packs = list(_packs(request))
    reports = health_of_all(packs)
    return [Shelved(pack, reports[pack.pk]) for pack in packs]


def _needing_care(shelf: Sequence[Shelved]) -> list[Shelved]:
    found = [one for one in shelf if one.report.health and one.report.health.care]
    return sorted(found, key=lambda one: one.rank)


def _packs(request: PersonRequest) -> QuerySet[Part]:
    logged = LogEntry.objects.standing().filter(pack=OuterRef("pk")).order_by("-started_at")
    readings = logged.filter(kind=LogEntry.Kind.REST)
    return (
        Part.objects.visible_to(request.user)
        .filter(kind="pack")
        .exclude(condition=Condition.RETIRED)
        .select_related("sheet__pack", "place", "person", "club")
        .annotate(
            rest_v=Subquery(readings.values("rest_v")[:1]),
            rest_at=Subquery(readings.values("started_at")[:1]),
            seen_at=Subquery(logged.values("started_at")[:1]),
        )
        .order_by("sheet__pack__cell_count", "sheet__pack__capacity_mah", "pk")
    )
