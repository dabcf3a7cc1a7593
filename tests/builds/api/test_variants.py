"""What-ifs by the API."""

import pytest

from builds.models import Variant
from builds.operations import fit_part
from tests.factories import BuildFactory, part_of
from tests.problem_details import refused

pytestmark = pytest.mark.django_db


@pytest.fixture
def build(user):
    return BuildFactory(person=user)


def at(build):
    return f"/api/v1/builds/{build.pk}/variants/"


def one(variant_id, rest=""):
    return f"/api/v1/variants/{variant_id}/{rest}"


def made(api, build, **body):
    answer = api.post(at(build), {"name": "6 cells"} | body)
    assert answer.status_code == 201, answer.json()
    return answer.json()


def motor_change(build, part):
    return {"position": build.positions.get(key="motor").pk, "part": part.code}


def test_a_variant_is_made_with_its_changes(api, build, user):
    motor, pack = part_of("motor", user), part_of("pack", user)
    shown = made(api, build, pack=pack.code, changes=[motor_change(build, motor)])
    assert (shown["build"], shown["pack"], shown["by"]) == (build.pk, pack.code, user.username)
    (change,) = shown["changes"]
    assert (change["part"], change["quantity"], change["surface"]) == (motor.code, 1, None)
    assert [row["id"] for row in api.get(at(build)).json()["results"]] == [shown["id"]]


def test_changes_sent_again_take_the_place_of_those_before(api, build, user):
    shown = made(api, build, changes=[motor_change(build, part_of("motor", user))])
    empty = {"position": build.positions.get(key="camera").pk}
    answer = api.patch(one(shown["id"]), {"changes": [empty]})
    assert [change["part"] for change in answer.json()["changes"]] == [None]


def test_a_name_alone_leaves_the_changes(api, build, user):
    shown = made(api, build, changes=[motor_change(build, part_of("motor", user))])
    answer = api.patch(one(shown["id"]), {"name": "other"}).json()
    assert (answer["name"], len(answer["changes"])) == ("other", 1)


@pytest.mark.parametrize(
    ("body", "pointer"),
    [
        ({"changes": [{"part": "nothing"}]}, "#/changes/0/part"),
        ({"changes": [{"position": 999_999}]}, "#/changes/0/position"),
        ({"changes": [{}]}, "#/changes"),
        ({"pack_x_mm": "soon"}, "#/pack_x_mm"),
        ({"packs_wiring": "loose"}, "#/packs_wiring"),
        ({"name": ""}, "#/name"),
    ],
)
def test_bad_input_is_told_at_its_place(api, build, body, pointer):
    refused(api.post(at(build), {"name": "6 cells"} | body), 400, pointer)
    assert not Variant.objects.exists()


def test_two_changes_of_one_position_are_refused(api, build, user):
    twice = [motor_change(build, part_of("motor", user)) for _ in range(2)]
    answer = api.post(at(build), {"name": "6 cells", "changes": twice})
    assert answer.status_code == 400
    assert not Variant.objects.exists()


def test_the_report_holds_figures_findings_and_the_differences(api, build, user):
    fit_part(build.positions.get(key="motor"), part_of("motor", user, mass_g=30.0), by=user)
    heavy = part_of("motor", user, mass_g=78.0)
    shown = made(api, build, changes=[motor_change(build, heavy)])
    report = api.get(one(shown["id"], "report/")).json()
    assert report["figures"]["empty_g"]["value"] == pytest.approx(158 + 78)
    assert report["findings"]["judged"] > 0
    weight = next(row for row in report["compared"] if row["name"] == "auw_g")
    assert weight["difference"] == pytest.approx(48)
    assert weight["value"] - weight["now"] == pytest.approx(48)


def test_applying_answers_the_variant_and_changes_the_build(api, build, user):
    motor = part_of("motor", user)
    shown = made(api, build, changes=[motor_change(build, motor)])
    answer = api.post(one(shown["id"], "apply/"))
    assert answer.status_code == 200
    assert answer.json()["applied_by"] == user.username
    assert build.positions.get(key="motor").fittings.open().get().part == motor


def test_applying_what_has_gone_answers_409_with_the_reason(api, build, user):
    motor = part_of("motor", user)
    shown = made(api, build, changes=[motor_change(build, motor)])
    other = BuildFactory(person=user, name="Other")
    fit_part(other.positions.get(key="motor"), motor, by=user)
    answer = api.post(one(shown["id"], "apply/"))
    assert answer.status_code == 409
    assert "is in Other already" in answer.json()["detail"]
    assert not build.positions.get(key="motor").fittings.exists()


def test_a_variant_is_forgotten(api, build):
    shown = made(api, build)
    assert api.delete(one(shown["id"])).status_code == 204
    assert api.get(one(shown["id"])).status_code == 404
