"""The kit that completes a build, from the parts its builder can lay hands on."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from django.db.models import Exists, OuterRef

from builds.kit.balance import balance_rows, moment
from builds.kit.judging import VIDEO_RECEIVER, KitJudge
from builds.kit.problem import Aim, Pick, Problem, Weighed
from builds.kit.solving import Answer, Going, find_kit, to_the_end
from builds.models import Build
from builds.records import BuildSnapshot, PartRecord, PositionRecord
from builds.reports import Report, report_of
from builds.snapshot import take_picture
from hangar.clubs.models import User
from hangar.errors import UserError
from inventory.models import Claim, Part

OWN, POOL, MEMBERS = "own", "pool", "members"
SOURCES = {
    OWN: "my own parts, and those lent to me or put aside for this build",
    POOL: "the club's pool",
    MEMBERS: "parts that members offer",
}
AIMS = {
    "mass": "least mass",
    "balance": "balance nearest to where it is wanted",
    "packs": "best pack",
    "owners": "fewest owners to ask",
    "disturbance": "least taken from what other builds count on",
}
TIME_S, TIME_MAX_S = 10, 20
RECEIVERS_MAX = 5
PARTS_MAX = 3000
"""Parts looked through at most; more are refused, for an answer must be of all."""
ALTERNATIVES = 3
UNWEIGHED_G = 1000.0
"""What a part without a mass counts when the least mass is looked for: a weighed one leads."""
OF_VERDICT = {"fit": 0.0, "watch": 1.0, "cannot_tell": 2.0, "retire": 3.0}


@dataclass(frozen=True)
class Asked:
    """What is wanted: aims in order or weighed, sources, and seconds at most."""

    aims: tuple[str, ...] = ("mass",)
    sources: tuple[str, ...] = (OWN, POOL, MEMBERS)
    weights: tuple[float, ...] = ()
    time_s: float = TIME_S


@dataclass(frozen=True)
class Chosen:
    """One position and the part chosen for it; `why` says why it cannot be fitted at once.

    `counted_on` are the builds whose usual pack it is.
    """

    position: PositionRecord
    part: Part
    record: PartRecord
    why: str
    counted_on: tuple[str, ...]


@dataclass(frozen=True)
class Kit:
    """Parts for all open positions, and the build as it would be with them."""

    chosen: tuple[Chosen, ...]
    report: Report

    @property
    def part_ids(self) -> dict[int, int]:
        """Ids of parts by id of position."""
        return {one.position.id: one.part.pk for one in self.chosen}


@dataclass(frozen=True)
class KitAnswer:
    """What the search gave, in parts and words.

    `clash` are the positions and `reasons` the rules, with an example of each, that cannot be met
    together.
    """

    state: str
    asked: Asked
    open_positions: tuple[PositionRecord, ...]
    considered: int
    kit: Kit | None = None
    alternatives: tuple[Kit, ...] = ()
    is_all: bool = False
    gap: float | None = None
    clash: tuple[PositionRecord, ...] = ()
    reasons: tuple[tuple[str, str], ...] = ()
    is_smallest: bool = True
    rounds: int = 0
    cuts: int = 0


@dataclass(frozen=True)
class _Task:
    build: BuildSnapshot
    places: tuple[PositionRecord, ...]
    parts: Mapping[int, Part]
    records: Mapping[int, PartRecord]
    candidates: Mapping[int, tuple[int, ...]]
    counted_on: Mapping[int, tuple[str, ...]]
    receivers: tuple[PartRecord, ...]

    @property
    def picks(self) -> list[tuple[PositionRecord, PartRecord]]:
        return [
            (place, self.records[part])
            for place in self.places
            for part in self.candidates[place.id]
        ]


def choose_kit(
    build: Build, asked: Asked, *, viewer: User, goes_on: Going = to_the_end
) -> KitAnswer:
    """The best parts for all open positions of the build, so that no warning remains.

    Parameters
    ----------
    build : loaded with its club.
    asked : aims, sources and time.
    viewer : whose parts, and whose clubs' parts, are looked through.
    goes_on : told rounds and cuts between two rounds; says whether to go on.

    Raises
    ------
    UserError
        If no position is open, an aim or a source is unknown, or there are too many parts.
    """
    check_asked(asked)
    task = _task(build, asked, viewer)
    judge = KitJudge(task.build, task.records, task.candidates, task.receivers)
    problem = Problem(
        task.candidates,  # type: ignore[arg-type]
        stock={pk: part.count - part.fitted_count for pk, part in task.parts.items()},
        rows=balance_rows(task.build, task.picks),
    )
    answer = find_kit(
        problem,
        _stages(asked, task),
        judge,
        time_s=asked.time_s,
        alternatives=ALTERNATIVES,
        goes_on=goes_on,
    )
    return _told(answer, asked, task, judge)


def check_asked(asked: Asked) -> None:
    """Refuse what cannot be asked for; raises UserError naming the field."""
    if not asked.aims or len(set(asked.aims)) < len(asked.aims):
        raise UserError("Name at least one aim, and each once.", field="aims")
    for name in asked.aims:
        if name not in AIMS:
            raise UserError(f"Aims are: {', '.join(AIMS)}.", field="aims")
    if not asked.sources or any(name not in SOURCES for name in asked.sources):
        raise UserError(f"Name at least one source of: {', '.join(SOURCES)}.", field="sources")
    if asked.weights and len(asked.weights) != len(asked.aims):
        raise UserError("Give as many weights as aims, or none.", field="weights")
    if any(not 0 < weight <= 1e6 for weight in asked.weights):  # noqa: PLR2004 # a sane bound
        raise UserError("A weight is above 0 and at most 1000000.", field="weights")
    if not 1 <= asked.time_s <= TIME_MAX_S:
        raise UserError(f"The time is from 1 to {TIME_MAX_S} seconds.", field="time_s")


def _task(build: Build, asked: Asked, viewer: User) -> _Task:
    kinds = build.positions.filter(is_required=True).values_list("kind", flat=True)
    parts = {part.pk: part for part in _parts(build, asked, viewer, set(kinds))}
    if len(parts) > PARTS_MAX:
        raise UserError(
            f"There are more than {PARTS_MAX} parts: name fewer sources.", field="sources"
        )
    on_ground = _receivers(viewer)
    picture = take_picture(build, viewer=viewer, others=[*parts, *on_ground])
    snapshot = picture.snapshot
    places = tuple(
        one for one in snapshot.positions if one.id and one.is_required and one.part is None
    )
    if not places:
        raise UserError("No required position of this build is open.")
    by_kind: dict[str, list[int]] = defaultdict(list)
    for pk, part in parts.items():
        by_kind[part.kind].append(pk)
    return _Task(
        build=snapshot,
        places=places,
        parts=parts,
        records=picture.others,
        candidates={place.id: tuple(by_kind[place.kind]) for place in places},
        counted_on=_counted_on(build, viewer, parts),
        receivers=tuple(picture.others[pk] for pk in on_ground if pk in picture.others),
    )


def _parts(build: Build, asked: Asked, viewer: User, kinds: set[str]) -> list[Part]:
    """Free parts of the sources, but those that the viewer has put aside for something else."""
    aside = Claim.objects.open().filter(claimant=viewer).exclude(purpose__in=("", build.name))
    candidates = Part.objects.candidates_for(viewer)
    chosen = Part.objects.from_sources(viewer, asked.sources).values("pk")
    parts = (
        candidates.filter(pk__in=chosen, kind__in=kinds)
        .exclude(pk__in=aside.values("part"))
        .in_service()
        .free()
        .annotate(
            is_fittable=Exists(Part.objects.fittable_by(viewer).filter(pk=OuterRef("pk"))),
        )
        .select_related("sheet", "place", "person", "club")
        .order_by("pk")
    )
    return list(parts[: PARTS_MAX + 1])


def _receivers(viewer: User) -> list[int]:
    """Video receivers that the viewer owns: which of them is taken along follows from the kit."""
    own = Part.objects.filter(
        person=viewer, kind="ground_gear", sheet__groundgear__role=VIDEO_RECEIVER
    )
    return list(own.in_service().values_list("pk", flat=True)[:RECEIVERS_MAX])


def _counted_on(build: Build, viewer: User, parts: Iterable[int]) -> dict[int, tuple[str, ...]]:
    found: dict[int, tuple[str, ...]] = defaultdict(tuple)
    others = Build.objects.visible_to(viewer).exclude(pk=build.pk).filter(pack__in=set(parts))
    for pack, name in others.order_by("name").values_list("pack_id", "name"):
        found[pack] += (name,)
    return found


def _stages(asked: Asked, task: _Task) -> list[Weighed]:
    aims = [_aim(name, task) for name in asked.aims]
    if asked.weights:
        return [tuple(zip(aims, asked.weights, strict=True))]
    return [((aim, 1.0),) for aim in aims]


def _aim(name: str, task: _Task) -> Aim:
    picks = {(place.id, record.id): (place, record) for place, record in task.picks}
    if name == "mass":
        costs: dict[Pick, float] = {
            pick: one.get("mass_g", UNWEIGHED_G) for pick, (_, one) in picks.items()
        }
        return Aim(name, costs)
    if name == "balance":
        wanted = moment(task.build, task.picks)
        return Aim(name, distances=(wanted,) if wanted else ())
    if name == "packs":
        return Aim(name, {(place.id, one.id): _pack_cost(one) for place, one in task.picks})
    if name == "owners":
        return Aim(name, named=_owners(picks, task))
    return Aim(name, {(place, part): len(task.counted_on.get(part, ())) for place, part in picks})


def _owners(picks: Iterable[tuple[int, int]], task: _Task) -> dict[Pick, str]:
    """Whom to ask for each part that is not the viewer's to fit."""
    parts = {pick: task.parts[pick[1]] for pick in picks}
    return {
        pick: part.owner_name
        for pick, part in parts.items()
        if not part.is_fittable  # type: ignore[attr-defined]
    }


def _pack_cost(record: PartRecord) -> float:
    """Verdict first, then the share of its capacity that a pack has lost."""
    if record.kind != "pack":
        return 0.0
    rated, now = record.get("capacity_mah"), record.get("capacity_now_mah")
    lost = 1 - min(now / rated, 1.0) if rated and now else 0.5
    return OF_VERDICT.get(record.get("health_verdict"), max(OF_VERDICT.values())) + float(lost)


def _told(answer: Answer, asked: Asked, task: _Task, judge: KitJudge) -> KitAnswer:
    places = {place.id: place for place in task.places}
    clash = answer.clash
    return KitAnswer(
        state=answer.state,
        asked=asked,
        open_positions=task.places,
        considered=len(task.parts),
        kit=_kit(answer.picks, task, judge) if answer.picks else None,
        alternatives=tuple(_kit(picks, task, judge) for picks in answer.alternatives),
        is_all=answer.is_all,
        gap=answer.gap,
        clash=tuple(places[one] for one in clash.positions) if clash else (),  # type: ignore[index]
        reasons=clash.reasons if clash else (),
        is_smallest=clash is None or clash.is_smallest,
        rounds=answer.rounds,
        cuts=answer.cuts,
    )


def _kit(picks: frozenset[Pick], task: _Task, judge: KitJudge) -> Kit:
    chosen = dict(picks)
    return Kit(
        tuple(_chosen(place, chosen[place.id], task) for place in task.places),  # type: ignore[arg-type]
        report_of(judge.filled(picks)),
    )


def _chosen(place: PositionRecord, part_id: int, task: _Task) -> Chosen:
    part = task.parts[part_id]
    is_mine = part.is_fittable  # type: ignore[attr-defined]
    why = "" if is_mine else f"It belongs to {part.owner_name}: claim it first."
    return Chosen(place, part, task.records[part_id], why, task.counted_on.get(part_id, ()))
