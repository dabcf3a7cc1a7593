"""Whatever is sent to the API, it answers: with a message that names the field, never with a 500.

What to send where comes from the API's own description, so a new path, parameter or field is
tried without a word here. Bodies and figures are a hand list of what has broken servers before.
"""

import base64
import io
import json
from urllib.parse import quote

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import transaction
from drf_spectacular.generators import EndpointEnumerator, SchemaGenerator
from rest_framework.views import APIView

import builds.rules  # noqa: F401 - fills the book
from builds.findings import book
from builds.models import Position
from inventory.log_files import importing, receiving
from inventory.models import LogEntry, Place
from tests.factories import (
    BuildFactory,
    ClaimFactory,
    ClubFactory,
    InvitationFactory,
    LoanFactory,
    LogEntryFactory,
    MembershipFactory,
    OfferFactory,
    PlaceFactory,
    part_of,
)

pytestmark = pytest.mark.django_db


def log_file_of(pack, user):
    text = io.BytesIO(b"when,what,mAh\n2026-05-01 10:00,use,900\n")
    file = receiving.receive_file(pack, by=user, file_name="log.csv", stream=text)
    return importing.choose_recipe(file, importing.recipe_of(file, by=user), by=user)


PROBLEM = "application/problem+json"
LONG = "x" * 100_000
DEEP = "[" * 100_000

RAW_BODIES = (
    "", " ", "null", "true", "0", "1e999", "NaN", "-Infinity", '"text"', "[]", "[null]", "[[]]",
    "[1, 2]", DEEP, DEEP + "]" * 100_000, '{"a":' * 50_000, "{", "}", '{"a" 1}', "{'a': 1}",
    '{"name": "Box"}'.encode("utf-16"), b"\xff\xfe\x00", b"\x00", '{"name": NaN}',
    '{"name": 1e999}', '{"a": 1, "a": 2}', json.dumps({"name": LONG}), "1" * 5000,
    json.dumps({"": ""}), json.dumps({"name": {"name": {}}}), '{"name": "\\ud800"}',
)  # fmt: skip

VALUES = (
    None, True, 0, -1, 1.5, 10**400, 2**63, 1e308, 5e-324, "", " ",
    "NaN", "1e999", "5 parsecs", "10**10**10 m", "1,000", "٣", "a\x00b",
    "\u202e☠️🛩", LONG, [], [None], [[]], [True], [1e308], ["a\x00b"], ["x"] * 10_000, {},
    {"": None}, [{}], [{"y_mm": 1}], [[0]], [[1, 1]], [[10**30]], "2999-99-99",
    "0001-01-01T00:00:00+14:00", "9999-12-31T23:59:59-14:00",
    "00000000-0000-0000-0000-000000000000",
)  # fmt: skip

# The worst of them, for one field at a time.
FIERCEST = (None, 10**400, -1, 1e308, "a\x00b", "٣", [[]], {"": None}, LONG)

TEXTS = (
    "99999999999999999999", "1e99", "-1", "1.5", "a\x00b", "☠️", "x" * 2000, "[", "NaN", "1e999",
    "' OR 1=1 --", "%", "null", "２", " ",
)  # fmt: skip

CURSORS = tuple(
    base64.b64encode(text.encode()).decode()
    for text in ("p=\x00", "p=" + "9" * 40, "o=" + "9" * 40, "r=1&p=abc", "p=1e99", "o=-5", "p=☠")
) + ("garbage", "====", "x" * 5000)

SEGMENTS = ("0", "9" * 40, "-1", "1e99", "%00", quote("☠️"), "x" * 300, "a.b", "%2e%2e", "%ff")

ENDPOINTS = [(path, method) for path, _, method, _ in EndpointEnumerator().get_api_endpoints()]
# All kinds of sheet are made of the same few fields; these two have every sort of them.
TRIED_KINDS = ("airframe", "flight_controller")


def is_tried(path):
    kind = path.removeprefix("/api/v1/sheets/").split("/")[0]
    return not path.startswith(("/api/v1/schema/", "/api/v1/docs/")) and (
        not path.startswith("/api/v1/sheets/") or kind in ("", *TRIED_KINDS)
    )


TRIED = [(path, method) for path, method in ENDPOINTS if is_tried(path)]
# A PUT of a sheet reads the same fields by the same serializer as its POST.
FIELDWISE = [
    (path, method)
    for path, method in TRIED
    if method in ("POST", "PATCH") or (method == "PUT" and "/sheets/" not in path)
]
WRITES = [end for end in TRIED if end[1] in ("POST", "PUT", "PATCH")]
READS = [end for end in TRIED if end[1] == "GET" and "/airframe/" not in end[0]]


@pytest.fixture(scope="session")
def description():
    return SchemaGenerator().get_schema(request=None, public=True)


def limit_of_a_rule():
    rule, limit = next((rule, limit) for rule in book for limit in rule.limits)
    return {"rule": rule.id, "name": limit.name, "value": limit.value}


class World:
    """One person with one of everything, and the addresses of it."""

    def __init__(self, user):
        self.user = user
        self.club = MembershipFactory(user=user, club=ClubFactory(), role="officer").club
        self.mate = MembershipFactory(club=self.club)
        self.place = PlaceFactory(person=user)
        self.part = part_of("servo", user, place=self.place, mass_g=9.0)
        self.pack = part_of("pack", user)
        self.claimed = part_of("motor", self.club)
        ClaimFactory(part=self.claimed, claimant=self.mate.user)
        self.gear = part_of("ground_gear", user)
        self.build = BuildFactory(person=user)
        self.keys = {
            "airframe": part_of("airframe", user, sheet__template=True).sheet_id,
            "flight_controller": part_of("flight_controller", user).sheet_id,
            "places": self.place.pk,
            "offers": OfferFactory(part=part_of("motor", user), by=user, club=self.club).pk,
            "claims": ClaimFactory(part=part_of("motor", user), claimant=user).pk,
            "loans": LoanFactory(part=part_of("motor", user)).pk,
            "builds": self.build.pk,
            "positions": self.build.positions.get(key="motor").pk,
            "fittings": self.build.fittings.get().pk,
            "surfaces": self.build.surfaces.create(name="Elevon", key="e", mixing="elevon").pk,
            "log": LogEntryFactory(pack=self.pack).pk,
            "log-files": log_file_of(self.pack, user).pk,
            "members": self.mate.pk,
            "invitations": InvitationFactory(club=self.club, created_by=user).pk,
            "radio-limits": self.club.radio_limits.create(band_min_mhz=1, band_max_mhz=2).pk,
        }

    def address(self, path):
        """The path with its places filled by things that are there."""
        words = path.removeprefix("/api/v1/").strip("/").split("/")
        filled = [
            self._fill(word, words[:place]) if word.startswith("{") else word
            for place, word in enumerate(words)
        ]
        return f"/api/v1/{'/'.join(map(str, filled))}/"

    def _fill(self, word, before):
        if word == "{code}":
            return self.pack.code if before[0] == "packs" else self.part.code
        fixed = {
            "{build_pk}": self.build.pk,
            "{slug}": self.club.slug,
            "{token}": "no-such-token",
            "{token_key}": "no-such-key",
            "{rule_id}": "no.such_rule",
        }
        return fixed[word] if word in fixed else self.keys.get(before[-1], 10**6)

    def body(self, path):
        """A body that the path accepts, where it takes one."""
        return {
            "/api/v1/clubs/": {"name": "Windy Ridge"},
            "/api/v1/builds/{build_pk}/power-readings/": {
                "voltage_v": 15.6,
                "current_a": 30,
                "speed_rpm": 24000,
            },
            "/api/v1/builds/{build_pk}/variants/": {"name": "six cells"},
            "/api/v1/builds/{build_pk}/weigh-ins/": {"mass_g": 520, "revision": 1},
            "/api/v1/builds/{build_pk}/field-sheets/": {"digest": "0", "ticked": []},
            "/api/v1/builds/{pk}/checks/": {"kinds": ["balance"], "revision": 1},
            "/api/v1/builds/{build_pk}/crashes/": {
                "note": "into a hedge",
                "revision": 1,
                "positions": ["airframe"],
            },
            "/api/v1/builds/{build_pk}/answers/": {
                "rule": "records.required_place_empty",
                "reason": "It flies without.",
            },
            "/api/v1/clubs/{slug}/rule-limits/": limit_of_a_rule(),
            "/api/v1/parts/": {"sheet": self.part.sheet_id, "mass_g": 9.1},
            "/api/v1/parts/{code}/measurements/": {"name": "height_mm", "value": 3},
            "/api/v1/places/": {"name": "Box"},
            "/api/v1/offers/": {"part": self.part.code, "club": self.club.slug},
            "/api/v1/claims/": {"part": self.part.code},
            "/api/v1/waits/": {"part": self.claimed.code},
            "/api/v1/ground-gear/": {"part": self.gear.code},
            "/api/v1/loans/{pk}/return/": {"condition": "good"},
            "/api/v1/imports/": {"text": "kind;name\nmotor;M1\n", "dry_run": True},
            "/api/v1/loans/": {"part": self.part.code, "borrower": self.mate.user.username},
            "/api/v1/packs/{code}/log/": {"kind": "use", "charge_mah": 900},
            "/api/v1/packs/{code}/log-files/": {
                "text": "when,what,mAh\n2026-05-01 10:00,use,900\n",
                "dry_run": True,
            },
            "/api/v1/packs/{code}/log/{pk}/": {"kind": "use", "charge_mah": 900},
            "/api/v1/builds/": {"name": "A1"},
            "/api/v1/builds/{build_pk}/positions/": {"key": "a", "name": "A", "kind": "motor"},
            "/api/v1/builds/{build_pk}/fittings/": {
                "position": self.keys["positions"],
                "part": part_of("motor", self.user).code,
            },
            "/api/v1/builds/{build_pk}/surfaces/": {"name": "Flap", "mixing": "flap"},
            "/api/v1/builds/{build_pk}/surfaces/{surface_pk}/records/": {
                "axis": "roll",
                "up_mm": 14,
            },
            "/api/v1/sheets/airframe/": {"name": "T640"},
            "/api/v1/sheets/flight_controller/": {"name": "B30"},
            "/api/v1/clubs/{slug}/radio-limits/": {"band_min_mhz": 5, "band_max_mhz": 6},
        }.get(path, {})


@pytest.fixture(autouse=True)
def _no_limit_of_rate(monkeypatch):
    """Let more requests a second through than one person may send."""
    monkeypatch.setattr(APIView, "throttle_classes", ())


@pytest.fixture
def world(user):
    return World(user)


@pytest.fixture
def api(api_of, user):
    return api_of(user)


def named(endpoints):
    return [f"{method} {path.removeprefix('/api/v1/')}" for path, method in endpoints]


def is_problem(response):
    assert response["Content-Type"] == PROBLEM
    problem = json.loads(response.content)
    assert problem["status"] == response.status_code
    assert problem["detail"]
    return {error["pointer"] for error in problem.get("errors", [])}


def operation_of(description, path, method):
    described = path.replace("{pk}", "{id}")
    return description["paths"][described][method.lower()]


def fields_of(description, path, method):
    body = operation_of(description, path, method).get("requestBody")
    if not body:
        return []
    schema = body["content"]["application/json"]["schema"]
    if "$ref" in schema:
        schema = description["components"]["schemas"][schema["$ref"].rpartition("/")[2]]
    return list(schema["properties"])


def may_be_content(path, method, body):
    """A path that asks for nothing, or for changes only; and a number is read as a name."""
    asks_nothing = method == "PATCH" or path.endswith(
        ("/keys/", "/invitations/", "/go-on/", "/kit/")
    )
    return asks_nothing or body == '{"name": 1e999}'


@pytest.mark.parametrize(("path", "method"), WRITES, ids=named(WRITES))
def test_a_body_that_is_no_object_or_no_json_is_refused(api, world, path, method):
    for body in RAW_BODIES:
        response = api.generic(method, world.address(path), body, "application/json")
        assert response.status_code < 500, body[:40]
        if response.status_code >= 400:
            is_problem(response)
        else:
            assert may_be_content(path, method, body), body[:40]


@pytest.mark.parametrize(("path", "method"), FIELDWISE, ids=named(FIELDWISE))
def test_bad_values_everywhere_are_refused_at_their_fields(api, world, description, path, method):
    fields = fields_of(description, path, method)
    for value in VALUES:
        body = json.dumps(dict.fromkeys(fields, value))
        response = api.generic(method, world.address(path), body, "application/json")
        assert response.status_code < 500, str(value)[:40]
        if response.status_code >= 400:
            pointers = is_problem(response)
            assert {pointer.split("/")[1] for pointer in pointers if pointer != "#"} <= set(fields)


@pytest.mark.parametrize(("path", "method"), FIELDWISE, ids=named(FIELDWISE))
def test_a_bad_value_among_good_ones_is_refused_at_its_field(api, world, description, path, method):
    good = world.body(path)
    for field in fields_of(description, path, method):
        for value in FIERCEST:
            body = json.dumps({**good, field: value})
            # What was accepted is undone, so that the next value meets the same world.
            with transaction.atomic():
                response = api.generic(method, world.address(path), body, "application/json")
                transaction.set_rollback(True)
            assert response.status_code < 500, (field, str(value)[:40])
            if response.status_code == 400:
                pointers = is_problem(response)
                assert any(one == "#" or one.startswith(f"#/{field}") for one in pointers), (
                    field,
                    str(value)[:40],
                    pointers,
                )


@pytest.mark.parametrize(("path", "method"), READS, ids=named(READS))
def test_a_bad_parameter_is_refused_by_its_name(api, world, description, path, method):
    described = operation_of(description, path, method).get("parameters", [])
    names = [one["name"] for one in described if one["in"] == "query"]
    # The comparisons of one figure are one filter with another sign.
    names = [name for name in names if not name.endswith(("__lt", "__lte", "__gte"))]
    for name in [*names, "no_such_parameter"]:
        for text in (*TEXTS, *(CURSORS if name == "cursor" else ())):
            response = api.get(world.address(path), {name: text})
            assert response.status_code < 500, (name, text[:40])
            if response.status_code == 400:
                assert any(pointer == f"#/{name}" for pointer in is_problem(response)) or (
                    path.endswith("/spares/")
                ), (name, text)
            elif response.status_code >= 400:
                is_problem(response)


@pytest.mark.parametrize(("path", "method"), TRIED, ids=named(TRIED))
def test_a_bad_address_leads_nowhere(api, world, path, method):
    if "{" not in path:
        return
    words = world.address(path).split("/")
    places = [place for place, word in enumerate(path.split("/")) if word.startswith("{")]
    for place in places:
        for segment in SEGMENTS:
            address = "/".join([*words[:place], segment, *words[place + 1 :]])
            response = api.generic(method, address, "{}", "application/json")
            # Without a part in its address a long id may be one that is free to take.
            assert 400 <= response.status_code < 500, address
            is_problem(response)


def test_nothing_of_the_world_was_broken_by_a_body_that_was_refused(api, world):
    before = (LogEntry.objects.count(), Place.objects.count(), Position.objects.count())
    for path, method in WRITES:
        # Going on with a file asks for nothing, and does its work whatever it is sent.
        if not path.endswith("/go-on/"):
            api.generic(method, world.address(path), DEEP, "application/json")
    assert before == (LogEntry.objects.count(), Place.objects.count(), Position.objects.count())


@pytest.mark.parametrize(
    "kind", ["text/plain", "application/xml", "application/x-www-form-urlencoded"]
)
def test_another_media_type_is_refused(api, kind):
    response = api.generic("POST", "/api/v1/places/", "name=Box", kind)
    assert response.status_code == 415
    is_problem(response)


def test_a_file_where_a_text_is_meant_is_refused(api):
    answer = api.post(
        "/api/v1/places/", {"name": SimpleUploadedFile("box.txt", b"x")}, format="multipart"
    )
    assert answer.status_code == 400
    assert is_problem(answer) == {"#/name"}


def test_a_method_that_a_path_does_not_have_is_refused(api, world):
    for path, _ in TRIED:
        response = api.generic("TRACE", world.address(path))
        assert response.status_code == 405
