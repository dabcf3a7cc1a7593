"""The API of checks, crashes and sheets for the field."""

import pytest

from builds.models import Build
from builds.operations import fit_part
from tests.factories import BuildFactory, part_of


@pytest.fixture
def build(user):
    made = BuildFactory(person=user)
    fit_part(made.positions.get(key="motor"), part_of("motor", user), by=user)
    return Build.objects.get(pk=made.pk)


@pytest.fixture
def api(api_of, user):
    return api_of(user)


def at(build, tail):
    return f"/api/v1/builds/{build.pk}/{tail}/"


def test_what_is_due_and_what_was_made(api, build, user):
    due = {one["kind"]: one for one in api.get(at(build, "checks")).json()["due"]}
    assert due["motor_direction"]["level"] == "warning"
    assert due["motor_direction"]["done_revision"] is None
    body = {"kinds": ["motor_direction"], "revision": build.revision, "note": "both cw"}
    answer = api.post(at(build, "checks"), body)
    assert answer.status_code == 201
    (done,) = answer.json()["done"]
    assert (done["kind"], done["by"], done["note"]) == (
        "motor_direction", user.username, "both cw",
    )  # fmt: skip
    assert "motor_direction" not in {one["kind"] for one in answer.json()["due"]}


def test_of_each_check_the_newest_is_told(api, build):
    body = {"kinds": ["balance"], "revision": build.revision}
    for note in ("first", "second"):
        api.post(at(build, "checks"), body | {"note": note})
    assert [one["note"] for one in api.get(at(build, "checks")).json()["done"]] == ["second"]


@pytest.mark.parametrize(
    ("body", "status", "pointer"),
    [
        ({"kinds": ["moon"]}, 400, "#/kinds/0"),
        ({"kinds": []}, 400, "#/kinds"),
        ({"kinds": ["balance"], "revision": 0}, 409, None),
        ({"kinds": ["balance"], "sky": 1}, 400, "#/sky"),
        ({"kinds": ["crash_inspection"], "note": "fine"}, 400, "#/note"),
    ],
)
def test_a_wrong_tick_is_a_problem_that_names_the_field(api, build, body, status, pointer):
    answer = api.post(at(build, "checks"), {"revision": build.revision} | body)
    assert answer.status_code == status
    pointers = [error["pointer"] for error in answer.json().get("errors", [])]
    assert pointers == ([pointer] if pointer else [])


def test_a_crash_and_what_was_in_it(api, build, user):
    pack = part_of("pack", user)
    body = {
        "note": "into a hedge",
        "revision": build.revision,
        "positions": ["motor"],
        "pack": pack.code,
    }
    made = api.post(at(build, "crashes"), body)
    assert made.status_code == 201
    assert [one["position"] for one in made.json()["harmed"]] == ["motor", ""]
    (listed,) = api.get(at(build, "crashes")).json()["results"]
    assert listed == made.json()
    kinds = {one["kind"] for one in api.get(at(build, "checks")).json()["due"]}
    assert "crash_inspection" in kinds


def test_a_sheet_is_drawn_up_signed_and_read_again(api, build):
    drawn = api.get(at(build, "field-sheet")).json()
    assert drawn["content"]["is_first_flight"] is True
    body = {"digest": drawn["digest"], "ticked": ["site-1"], "note": "calm"}
    signed = api.post(at(build, "field-sheets"), body)
    assert signed.status_code == 201
    number = signed.json()["id"]
    assert api.get(at(build, f"field-sheets/{number}")).json() == signed.json()
    ticked = [
        line["key"]
        for section in signed.json()["content"]["sections"]
        for line in section["lines"]
        if line["is_ticked"]
    ]
    assert ticked == ["site-1"]


def test_a_signed_sheet_takes_no_change(api, build):
    drawn = api.get(at(build, "field-sheet")).json()
    number = api.post(at(build, "field-sheets"), {"digest": drawn["digest"], "ticked": []}).json()[
        "id"
    ]
    for verb in ("patch", "put", "delete"):
        assert getattr(api, verb)(at(build, f"field-sheets/{number}"), {}).status_code == 405
