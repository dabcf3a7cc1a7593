"""The data of the benchmark: a region of clubs, made in bulk from one seed."""

import random
from collections import defaultdict
from dataclasses import dataclass, field
from datetime import timedelta
from itertools import islice

from django.db import transaction
from django.utils import timezone

from builds.models import Build, Fitting, Position
from builds.operations import add_position, change_build, choose_ground_gear, create_build, fit_part
from builds.operations.variants import create_variant
from hangar.clubs.models import Club, Membership, Role, User
from inventory.codes import new_code
from inventory.models import Claim, Loan, LogEntry, Measurement, Offer, Part, PartEvent
from tests.factories import SHEET_FACTORIES, PlaceFactory, member_of, part_of

CLUBS, PEOPLE, SHEETS = 20, 50, 500
CLUBS_EACH = 4
BUILD_SIZE = 40
LOG_ENTRIES = 200
VARIANTS = 3
SEED = 20_240_504
WORDS = ("spare", "from the swap", "needs a new lead", "box two", "for the trainer", "")


@dataclass
class World:
    """What the measuring needs of the data: the person who asks, and their build and pack."""

    reader: User
    build: Build
    pack: Part
    club: Club
    sizes: dict[str, int] = field(default_factory=dict)


def make(part_count):
    """Fill an empty database; gives the World."""
    rng = random.Random(SEED)
    with transaction.atomic():
        clubs = _clubs()
        people = _people(clubs, rng)
        world = _reader(clubs)
        sheets = _sheets(clubs)
        parts = _parts(part_count, sheets, people, rng)
        _share(parts, clubs, people, rng)
        _builds(parts)
    world.sizes = {
        "parts": Part.objects.count(),
        "sheets": len(sheets),
        "people": User.objects.count(),
        "clubs": len(clubs),
        "builds": Build.objects.count(),
        "open fittings": Fitting.objects.open().count(),
        "measurements": Measurement.objects.count(),
        "parts the reader sees": Part.objects.visible_to(world.reader).count(),
    }
    return world


def _clubs():
    return Club.objects.bulk_create(
        Club(name=f"Field {number} Flyers", slug=f"field-{number}-flyers")
        for number in range(CLUBS)
    )


def _people(clubs, rng):
    """People by the id of their club; the first of each club keeps its pool."""
    people = User.objects.bulk_create(
        User(username=f"member{number}", password="!") for number in range(PEOPLE)
    )
    of_club = defaultdict(list)
    for person in people:
        for club in rng.sample(clubs, CLUBS_EACH):
            of_club[club.pk].append(person)
    for club in clubs:
        of_club[club.pk] = of_club[club.pk] or [people[0]]
    Membership.objects.bulk_create(
        Membership(
            user=person, club_id=club, role=Role.KEEPER if person == members[0] else Role.MEMBER
        )
        for club, members in of_club.items()
        for person in members
    )
    return of_club


def _sheets(clubs):
    makers = list(SHEET_FACTORIES.values())
    return [
        makers[number // CLUBS % len(makers)](club=clubs[number % CLUBS])
        for number in range(SHEETS)
    ]


def _parts(count, sheets, people, rng):
    """Parts of a club's sheets belong to the club or to one of its members."""
    taken = set(Part.objects.values_list("code", flat=True))
    codes = set()
    while len(codes) < count:
        codes |= {new_code()} - taken
    places = _places(sheets)
    made = Part.objects.bulk_create(
        (_part(code, rng.choice(sheets), people, places, rng) for code in sorted(codes)),
        batch_size=2000,
    )
    Measurement.objects.bulk_create(
        (
            Measurement(
                part=part, name="mass_g", value=part.mass_g, uncertainty=0.1, source="weighed",
                by=people[part.sheet.club_id][0],
            )
            for part in made
            if part.mass_g is not None
        ),
        batch_size=2000,
    )  # fmt: skip
    return made


def _places(sheets):
    clubs = {sheet.club_id: sheet.club for sheet in sheets}
    return {
        pk: [PlaceFactory(club=club, name=f"Drawer {number}") for number in range(6)]
        for pk, club in clubs.items()
    }


def _part(code, sheet, people, places, rng):
    is_clubs = rng.random() < 0.5
    is_weighed = rng.random() < 0.6
    mass_g = round(sheet.mass_g * rng.uniform(0.85, 1.2), 1) if sheet.mass_g else None
    return Part(
        code=code,
        sheet=sheet,
        kind=sheet.kind_name,
        club=sheet.club if is_clubs else None,
        person=None if is_clubs else rng.choice(people[sheet.club_id]),
        place=rng.choice(places[sheet.club_id]) if is_clubs else None,
        condition=rng.choice(("new", "good", "good", "good", "worn", "broken")),
        mass_g=mass_g if is_weighed else None,
        mass_source="weighed" if is_weighed and mass_g else "",
        mass_uncertainty_g=0.1 if is_weighed and mass_g else None,
        notes=rng.choice(WORDS),
    )


def _share(parts, clubs, people, rng):
    private = [part for part in parts if part.person_id]
    some = rng.sample(private, len(private) // 20)
    third = len(some) // 3
    Offer.objects.bulk_create(
        Offer(part=part, club=part.sheet.club, by=part.person) for part in some[:third]
    )
    Loan.objects.bulk_create(
        Loan(
            part=part, borrower=rng.choice(people[part.sheet.club_id]), by=part.person,
            condition_out=part.condition,
        )
        for part in some[third : 2 * third]
    )  # fmt: skip
    Claim.objects.bulk_create(
        Claim(part=part, claimant=part.person, by=part.person) for part in some[2 * third :]
    )


def _builds(parts):
    """A third of the parts is in aircraft of 40 positions, each of its owner."""
    of_owner = defaultdict(list)
    for part in parts[::3]:
        of_owner[part.person_id, part.club_id].append(part)
    crews = [
        (owner, crew) for owner, owned in of_owner.items() for crew in _in_lots(owned, BUILD_SIZE)
    ]
    builds = Build.objects.bulk_create(
        Build(name=f"Wing {number}", person_id=person, club_id=club)
        for number, ((person, club), _) in enumerate(crews)
    )
    positions = Position.objects.bulk_create(
        (
            Position(
                build=build, key=f"place-{number}", name=f"Place {number}", kind=part.kind,
                x_mm=10.0 * number, y_mm=0.0, z_mm=0.0,
            )
            for build, (_, crew) in zip(builds, crews, strict=True)
            for number, part in enumerate(crew)
        ),
        batch_size=2000,
    )  # fmt: skip
    fitted = [part for _, crew in crews for part in crew]
    by = User.objects.first()
    Fitting.objects.bulk_create(
        (
            Fitting(
                build_id=position.build_id, position=position, part=part, fitted_by=by,
                fitted_revision=1,
            )
            for position, part in zip(positions, fitted, strict=True)
        ),
        batch_size=2000,
    )  # fmt: skip
    Part.objects.filter(pk__in=Fitting.objects.open().values("part")).update(
        fitted_count=1, has_free=False
    )


def _in_lots(things, size):
    remaining = iter(things)
    while lot := list(islice(remaining, size)):
        yield lot


def _reader(clubs):
    """A member of four clubs with an aircraft of 40 parts, ground gear and a pack with a log."""
    reader = member_of(clubs[0], Role.KEEPER)
    for club in clubs[1:CLUBS_EACH]:
        Membership.objects.create(user=reader, club=club)
    airframe = part_of("airframe", reader, sheet__template=True, mass_g=158.0)
    build = create_build(name="Reader's wing", by=reader, airframe=airframe)
    while build.positions.count() < BUILD_SIZE:
        number = build.positions.count()
        add_position(
            build, by=reader, key=f"screw-{number}", name=f"Screw {number}", kind="hardware",
            x_mm=5.0 * number, y_mm=0.0, z_mm=0.0,
        )  # fmt: skip
    for position in build.positions.exclude(kind__in=("airframe", "pack")):
        fit_part(position, part_of(position.kind, reader), by=reader)
    pack = part_of("pack", reader, mass_g=158.0)
    fit_part(build.positions.get(key="pack"), pack, by=reader)
    change_build(build, by=reader, pack=pack, pack_x_mm=66.0)
    choose_ground_gear(part_of("ground_gear", reader), by=reader)
    _what_ifs(build, reader)
    _log(pack, reader)
    return World(reader, Build.objects.select_related("club").get(pk=build.pk), pack, clubs[0])


def _what_ifs(build, reader):
    """Three variants of another motor and another pack each."""
    motor = build.positions.get(key="motor")
    for number in range(VARIANTS):
        change = {"position": motor, "part": part_of("motor", reader)}
        create_variant(
            build, by=reader, name=f"Motor {number}", pack=part_of("pack", reader), changes=[change]
        )


def _log(pack, reader):
    start = timezone.now() - timedelta(days=LOG_ENTRIES)
    LogEntry.objects.bulk_create(
        LogEntry(
            pack=pack, by=reader, kind="use", charge_mah=900 + number % 7 * 10, duration_s=400,
            started_at=start + timedelta(days=number),
        )
        for number in range(LOG_ENTRIES)
    )  # fmt: skip
    PartEvent.objects.bulk_create(
        PartEvent(part=pack, by=reader, verb="logged", text="Logged: use.")
        for _ in range(LOG_ENTRIES)
    )
