"""Every route, for every role, by every verb: the status it answers.

The table is `permissions.txt`. Each line: verb, address, body, then the status for nobody, for a
stranger (officer of another club), a member, a keeper and an officer of the club, and the owner of
what is private (a member of the club too). `sign` is the way to the sign-in page. Names in braces
are things of the world below; a body is one of `BODIES`.
"""

import contextlib
import io
import re
import uuid
from datetime import date
from http.cookies import SimpleCookie
from pathlib import Path

import pytest
from django.db import transaction
from django.urls import URLPattern, get_resolver, resolve
from django.urls.exceptions import Resolver404
from knox.models import AuthToken

import builds.rules  # noqa: F401 - fills the book
from builds.answers import answered
from builds.field_sheets import draw_up
from builds.findings import book
from builds.models import Answer, ControlSurface, Crash, FieldSheet, GroundChoice, RuleLimit
from builds.operations import fit_part
from builds.operations.variants import create_variant
from builds.reports import report_on
from hangar.clubs.models import Club, RadioLimit, Role
from inventory.imports import applying
from inventory.log_files import importing, receiving
from inventory.models import LendingRule
from inventory.operations.feeds import renew_feed
from tests.factories import (
    SHEET_FACTORIES,
    BuildFactory,
    ClaimFactory,
    ClubFactory,
    InvitationFactory,
    LoanFactory,
    LogEntryFactory,
    MembershipFactory,
    OfferFactory,
    PlaceFactory,
    UserFactory,
    WaitFactory,
    keeper_of,
    member_of,
    part_of,
)

ROLES = ("nobody", "stranger", "member", "keeper", "officer", "owner")
TABLE = Path(__file__).with_name("permissions.txt")
VERBS = ("GET", "POST", "PUT", "PATCH", "DELETE")
# A new entry's own id, chosen by the client.
NEW_ID = str(uuid.UUID(int=7))

LIST = "kind,name,mass_g\nservo,S9,9.1\n"
FLIGHTS = "when,what,mAh\n2026-05-01 10:00,use,900\n"

EMPTY = "records.required_place_empty"
BODIES = {
    "matching_form": {"column_0": "kind", "column_1": "name", "column_2": "mass_g", "unit_2": "g"},
    "trial_import": {"file_name": "parts.csv", "text": LIST, "dry_run": True},
    "trial_club_import": {
        "file_name": "parts.csv",
        "text": LIST,
        "dry_run": True,
        "club": "{club}",
    },
    "settings": {"first_name": "Ada", "mass_unit": "oz", "length_unit": "in"},
    "units": {"mass_unit": "oz"},
    "new_club": {"name": "Fen Flyers"},
    "invitation": {"role": "member", "uses_max": 3, "days": 7},
    "role": {"role": "keeper"},
    "mass_line": {"mass_line_g": 250},
    "field": {"field_latitude_deg": 53.3, "field_longitude_deg": -0.3, "field_elevation_m": 18},
    "limit": {"band_min_mhz": 2400, "band_max_mhz": 2483.5, "is_allowed": True},
    "new_part_form": {"condition": "new", "count": 1, "mass_source": "weighed", "sheet-name": "S"},
    "new_club_part_form": {
        "condition": "new",
        "count": 1,
        "mass_source": "weighed",
        "sheet-name": "S",
        "owner": "{club}",
    },
    "part_form": {"name": "spare", "condition": "worn", "count": 1},
    "measurement": {"name": "mass_g", "value": 9.1, "source": "weighed"},
    "offer_form": {"club": "{club_id}", "terms": "loan"},
    "claim_form": {"purpose": "winter build"},
    "loan_form": {"to": "{bystander_user}"},
    "reason": {"reason": "stripped gear"},
    "finding": {"finding": "Gears replaced, runs smoothly."},
    "return": {"condition": "worn"},
    "wait_form": {"days": 5},
    "extend_form": {"day": "2999-01-01"},
    "transfer_form": {"person": "{bystander_user}"},
    "lost_form": {"note": "in the corn"},
    "label_form": {"code": "{club_part}"},
    "notice_form": {"email": "someone@example.org"},
    "lending_rule_form": {"role_least": "member", "days_max": 14},
    "new_wait": {"part": "{claimed}", "days": 5},
    "extension": {"day": "2999-01-01"},
    "new_sheet": {"name": "9 g class"},
    "new_club_sheet": {"name": "9 g class", "club": "{club}"},
    "new_club_sheet_form": {"name": "9 g class", "owner": "{club}"},
    "no_positions": {"position-TOTAL_FORMS": 0, "position-INITIAL_FORMS": 0},
    "new_place": {"name": "Shelf"},
    "new_club_place": {"name": "Shelf", "club": "{club}"},
    "club_place_form": {"name": "Shelf", "owner": "{club}"},
    "log_form": {"charge_mah": 900, "started_at": "2026-05-01T10:00"},
    "flight": {"kind": "use", "charge_mah": 900},
    "quick_flight": {
        "id": NEW_ID,
        "code": "{club_pack}",
        "minutes": 6,
        "at": "2026-05-01T10:00",
    },
    "flight_columns": {
        "shape": "summary",
        "column_0": "moment",
        "column_1": "kind",
        "column_2": "charge_mah",
        "counts_in": "out",
        "zone": "UTC",
        "day_order": "day",
        "decimal": ".",
    },
    "trial_log": {"text": FLIGHTS, "dry_run": True},
    "new_part": {"sheet": "{club_sheet}"},
    "new_club_part": {"sheet": "{club_sheet}", "club": "{club}"},
    "worn": {"condition": "worn"},
    "new_offer": {"part": "{own_part}", "club": "{club}"},
    "new_claim": {"part": "{club_part}"},
    "new_build": {"name": "Second wing"},
    "new_club_build": {"name": "Club wing", "club": "{club}"},
    "new_club_build_form": {"name": "Club wing", "owner": "{club}"},
    "new_position": {"name": "Mast", "kind": "gps"},
    "new_api_position": {"key": "mast", "name": "Mast", "kind": "gps"},
    "servo_position": {"name": "Servo, port", "kind": "servo", "key": "servo-left"},
    "moved": {"x_mm": 190},
    "fit_club_part": {"part": "{club_part}"},
    "fit_own_part": {"part": "{own_part}"},
    "new_club_fitting": {"position": "{club_position}", "part": "{club_part}"},
    "new_own_fitting": {"position": "{own_position}", "part": "{own_part}"},
    # Refused by all for want of a propeller.
    "power_reading": {"voltage_v": 15.6, "current_a": 30, "speed_rpm": 24000},
    "flight_form": {"cruise_speed_m_s": 14, "reserve_percent": 25},
    "new_gear": {"part": "{club_gear}"},
    "ground_gear_form": {"transmitter": "{club_gear}"},
    "variant_form": {"name": "light"},
    "new_variant": {"name": "light", "changes": []},
    "arm_hole": {"arm_radius_mm": 8},
    "try_club_part": {"part": "{club_part}", "position": "{club_position}"},
    "try_own_part": {"part": "{own_part}", "position": "{own_position}"},
    "answer_form": {"rule": EMPTY, "place": " ", "reason": "It flies without."},
    "new_answer": {"rule": EMPTY, "reason": "It flies without."},
    "rule_limit_form": {"rule": "{limited}", "name": "{limit_name}"},
    "rule_limit": {"rule": "{limited}", "name": "{limit_name}", "value": None},
    "weigh_in_form": {"mass_g": 520, "revision": 2},
    "checks_form": {"kinds": ["balance"], "revision": 2},
    "crash_form": {"revision": 2, "note": "into a hedge", "positions": ["motor"]},
    # Refused by all, for it is not the digest of the sheet as it reads now.
    "sign_form": {"digest": "0", "ticked": []},
    "new_loan": {"part": "{club_part}", "borrower": "{bystander_name}"},
    "surface_form": {"name": "Flap", "mixing": "flap"},
    "throw_form": {"axis": "roll", "up_mm": 14, "source": "measured"},
}


def sections():
    """The lines of the table under their headings; the first one only explains the columns."""
    texts = re.split(r"^# (.+)$", TABLE.read_text(), flags=re.MULTILINE)[3:]
    return {
        heading: [line.split() for line in text.splitlines() if line]
        for heading, text in zip(texts[::2], texts[1::2], strict=True)
    }


def rows():
    return [row for section in sections().values() for row in section]


def row_name(row):
    return f"{row[0]} {row[1]} {row[2]}"


@pytest.fixture
def world():
    """A club and its things, a person's private things, and names for them all."""
    club = ClubFactory(slug="heath")
    people = {
        "nobody": None,
        "stranger": member_of(ClubFactory(), Role.OFFICER),
        "member": member_of(club),
        "keeper": keeper_of(club),
        "officer": member_of(club, Role.OFFICER),
        "owner": member_of(club),
    }
    bystander = MembershipFactory(club=club)
    names = {
        "club": club.slug,
        "club_id": club.pk,
        "own_membership": club.memberships.get(user=people["owner"]).pk,
        "own_key": AuthToken.objects.create(people["owner"])[0].token_key,
        "bystander": bystander.pk,
        "bystander_user": bystander.user.pk,
        "bystander_name": bystander.user.username,
        "new_id": NEW_ID,
        "rule": next(iter(book)).id,
        **names_of_a_limit(club, people["officer"]),
    }
    names |= club_names(club)
    names |= {
        f"{prefix}_{name}": value
        for prefix, owner in (("club", club), ("own", people["owner"]))
        for name, value in things_of(owner, bystander.user).items()
    }
    names |= shared_names(club, people["owner"])
    return people, names


def club_names(club):
    invitation = InvitationFactory(club=club)
    limit = RadioLimit.objects.create(club=club, band_min_mhz=5725, band_max_mhz=5875)
    return {
        "invitation": invitation.pk,
        "token": invitation.token,
        "claimed": ClaimFactory(part=part_of("gps", club), claimant=UserFactory()).part.code,
        "lending_rule": LendingRule.objects.create(club=club, kind="antenna").pk,
        "secret": renew_feed(UserFactory()),
        "spare_token": InvitationFactory(uses_max=9).token,
        "limit": limit.pk,
    }


def names_of_a_limit(club, officer):
    rule, limit = next((rule, limit) for rule in book for limit in rule.limits)
    given = {"rule": rule.id, "name": limit.name, "value": limit.value}
    made = RuleLimit.objects.create(club=club, by=officer, **given)
    return {"rule_limit": made.pk, "limited": rule.id, "limit_name": limit.name}


def things_of(owner, bystander):
    """What the owner has, as names: each thing is touched by one test at most."""
    owned = {"club": owner} if isinstance(owner, Club) else {"person": owner}
    pack = part_of("pack", owner)
    build = BuildFactory(**owned)
    by = build.fittings.get().fitted_by
    fitted = fit_part(build.positions.get(key="motor"), part_of("motor", owner), by=by)
    camera = {"position": build.positions.get(key="camera"), "part": part_of("camera", owner)}
    variant = create_variant(build, by=by, name="with eyes", changes=[camera])
    hinged = ControlSurface.objects.create(
        build=build, key="hinged", name="Hinged", mixing="elevon"
    )
    stopped = part_of("servo", owner, out_of_service="stripped gear")
    gear = part_of("ground_gear", owner)
    return {
        "part": part_of("servo", owner).code,
        "stopped": stopped.code,
        "sheet": pack.sheet_id,
        "airframe_sheet": build.fittings.get(position__key="airframe").part.sheet_id,
        "unused_sheet": SHEET_FACTORIES["lead"](**owned).pk,
        "sheets": {kind: made(**owned).pk for kind, made in SHEET_FACTORIES.items()},
        "place": PlaceFactory(**owned).pk,
        "pack": pack.code,
        "entry": LogEntryFactory(pack=pack).pk,
        "log_file": log_file_of(pack, by).pk,
        "build": build.pk,
        "position": build.positions.get(key="servo-left").pk,
        "empty_position": build.positions.get(key="camera").pk,
        "fitted_position": fitted.position_id,
        "fitting": fitted.pk,
        "variant": variant.pk,
        "variant_change": variant.changes.get().pk,
        "hinged": hinged.pk,
        "answer": Answer.objects.create(
            build=build, by=by, rule=EMPTY, digest="0", level="caution", message="x", reason="x"
        ).pk,
        "sheet_signed": signed_sheet_of(build, by).pk,
        "crash": Crash.objects.create(build=build, by=by, revision=1, note="x").pk,
        "gear": gear.code,
        "claim": ClaimFactory(
            part=part_of("gps", owner), claimant=bystander, until_on=date(2998, 1, 1)
        ).pk,
        "loan": LoanFactory(
            part=part_of("gps", owner), borrower=bystander, due_on=date(2998, 1, 1)
        ).pk,
        "wait": waited_for(owner, bystander).pk,
    }


def waited_for(owner, person):
    """A request of the person for a part that somebody else has claimed."""
    claim = ClaimFactory(part=part_of("lead", owner))
    return WaitFactory(part=claim.part, person=person, is_granted=False)


def signed_sheet_of(build, by):
    """A sheet of the build that somebody signed."""
    report = report_on(build)
    content = draw_up(report, answered(build, report), is_first=True).content(set())
    return FieldSheet.objects.create(build=build, by=by, revision=1, content=content, digest="0")


def log_file_of(pack, by):
    """A log file of the pack that is matched and waits for its import."""
    file = receiving.receive_file(
        pack, by=by, file_name="log.csv", stream=io.BytesIO(FLIGHTS.encode())
    )
    return importing.choose_recipe(file, importing.recipe_of(file, by=by), by=by)


def shared_names(club, owner):
    """What the owner shares with the club, and a person's choice of ground gear."""
    offer = OfferFactory(part=part_of("camera", owner), club=club)
    choice = GroundChoice.objects.create(
        person=owner, role="charger", part=part_of("ground_gear", owner, sheet__role="charger")
    )
    run = applying.read_list(
        by=owner, person=owner, club=None, file_name="parts.csv", data=LIST.encode()
    )
    return {
        "offer": offer.pk,
        "offered": offer.part.code,
        "choice": choice.pk,
        "own_run": applying.keep_list(run).pk,
    }


def filled(value, names):
    """A body with the names of the world in it."""
    if isinstance(value, dict):
        return {key: filled(inner, names) for key, inner in value.items()}
    if isinstance(value, list):
        return [filled(inner, names) for inner in value]
    if isinstance(value, str) and re.fullmatch(r"\{\w+\}", value):
        return names[value[1:-1]]
    return value.format(**names) if isinstance(value, str) else value


def status_of(response):
    if response.status_code == 302 and response["Location"].startswith("/sign-in/"):
        return "sign"
    return str(response.status_code)


def ask(client, verb, address, body, *, is_api):
    send = getattr(client, verb.lower())
    if verb == "GET":
        return send(address)
    return send(address, body, format="json") if is_api else send(address, body)


@pytest.mark.django_db
@pytest.mark.parametrize("section", sections())
def test_routes_answer_each_role_as_the_table_says(section, world, client_of, api_of):
    people, names = world
    clients = {
        "/api/": {role: api_of(person) for role, person in people.items()},
        "/": {role: client_of(person) for role, person in people.items()},
    }
    differing = []
    for row in sections()[section]:
        asked = clients["/api/" if row[1].startswith("/api/") else "/"]
        for kind_names in each_kind(names) if "{each_kind}" in row[1] else [names]:
            answered = [ask_as(asked[role], row, kind_names) for role in ROLES]
            if answered != row[3:]:
                differing.append(f"{row_name(row)}: {' '.join(answered)}")
    assert differing == []


def each_kind(names):
    """The names again for every kind of data sheet."""
    for kind in SHEET_FACTORIES:
        sheets = {
            f"{prefix}_each_sheet": names[f"{prefix}_sheets"][kind] for prefix in ("club", "own")
        }
        yield names | sheets | {"each_kind": kind}


def ask_as(client, row, names):
    """The status of one request, of which nothing stays."""
    verb, template, body_name = row[:3]
    address = template.format(**names)
    body = {} if body_name == "-" else filled(BODIES[body_name], names)
    client.raise_request_exception = False
    cookies = {name: morsel.value for name, morsel in client.cookies.items()}
    with transaction.atomic():
        response = ask(client, verb, address, body, is_api=template.startswith("/api/"))
        transaction.set_rollback(True)
    client.cookies = SimpleCookie(cookies)
    return status_of(response)


# The table knows every route


def routes(resolver=None, before=""):
    for pattern in (resolver or get_resolver()).url_patterns:
        route = before + str(pattern.pattern)
        if isinstance(pattern, URLPattern):
            yield route, pattern.callback
        else:
            yield from routes(pattern, route)


def verbs_of(view):
    """What a view answers by its own account; a plain page may be asked both ways."""
    known = getattr(view, "actions", None) or getattr(view, "cls", None)
    if known is None:
        return {"GET", "POST"}
    if isinstance(known, dict):
        return {verb.upper() for verb in known} & set(VERBS)
    return {verb for verb in VERBS if hasattr(known, verb.lower())}


def routes_of(template):
    """The routes that an address of the table leads to; names may stand for numbers or texts."""
    kinds = SHEET_FACTORIES if "{each_kind}" in template else [""]
    wanted = dict.fromkeys(re.findall(r"\{(\w+)\}", template))
    for kind in kinds:
        for value in ("1", NEW_ID):
            names = dict.fromkeys(wanted, value) | {"each_kind": kind}
            with contextlib.suppress(Resolver404):
                yield resolve(template.format(**names).split("?")[0]).route


def test_the_table_has_every_route_with_every_verb():
    wanted = {(route, verb) for route, view in routes() for verb in verbs_of(view)}
    written = {(route, row[0]) for row in rows() for route in routes_of(row[1])}
    missing = sorted(f"{verb} {route}" for route, verb in wanted - written)
    assert missing == []


def test_every_address_of_the_table_leads_somewhere():
    assert [row[1] for row in rows() if not list(routes_of(row[1]))] == []


def test_the_table_has_no_line_twice():
    names = [row_name(row) for row in rows()]
    assert len(names) == len(set(names))


def test_every_line_has_a_status_for_each_role_and_a_known_body():
    for row in rows():
        assert len(row) == 3 + len(ROLES), row
        assert row[2] == "-" or row[2] in BODIES, row


def test_every_body_is_used():
    assert {row[2] for row in rows()} - {"-"} == set(BODIES)


def test_nobody_is_let_in_anywhere_but_at_the_door():
    open_to_all = {
        "/sign-in/",
        "/sign-up/",
        "/sign-out/",
        "/join/{token}/",
        "/pool/calendar/{secret}.ics",
        "/api/v1/schema/",
        "/api/v1/docs/",
    }
    for row in rows():
        if row[1] not in open_to_all:
            assert row[3] in {"sign", "401", "405"}, row
