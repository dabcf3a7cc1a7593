"""What-ifs by the API."""

import pytest

from builds.models import ControlSurface, Variant
from builds.operations import fit_part, remove_part
from tests.factories import BuildFactory, UserFactory, part_of
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


def test_taking_back_answers_the_variant_and_puts_the_build_back(api, build, user):
    shown = made(api, build, changes=[motor_change(build, part_of("motor", user))])
    applied = api.post(one(shown["id"], "apply/")).json()
    assert applied["applied_revision"] == build.revisions.first().number
    answer = api.post(one(shown["id"], "undo/"))
    assert (answer.status_code, answer.json()["applied_at"]) == (200, None)
    assert not build.positions.get(key="motor").fittings.open().exists()


def test_taking_back_what_was_changed_since_answers_409_with_the_reason(api, build, user):
    shown = made(api, build, changes=[motor_change(build, part_of("motor", user))])
    api.post(one(shown["id"], "apply/"))
    remove_part(build.positions.get(key="motor").fittings.open().get(), by=user)
    answer = api.post(one(shown["id"], "undo/"))
    assert answer.status_code == 409
    assert "has been taken out since" in answer.json()["detail"]


def test_variants_and_packs_stand_beside_the_build_as_it_is(api, build, user):
    fit_part(build.positions.get(key="motor"), part_of("motor", user, mass_g=30.0), by=user)
    shown = made(api, build, changes=[motor_change(build, part_of("motor", user, mass_g=78.0))])
    pack = part_of("pack", user)
    found = api.get(at(build) + "compare/", {"variant": shown["id"], "pack": pack.code}).json()
    assert [column["pack"] for column in found["columns"]] == [None, None, pack.code]
    weights = [column["figures"]["empty_g"]["value"] for column in found["columns"]]
    assert weights == pytest.approx([188, 236, 188])
    heavy = next(row for row in found["compared"] if row["name"] == "auw_g")["cells"][1]
    assert heavy["difference"] == pytest.approx(48)
    names = {(row["name"], row["limit_of"]) for row in found["compared"]}
    assert ("current_max_a", "lead") in names


def test_the_report_and_the_comparison_tell_the_throws(api, build, user):
    servo = build.positions.get(key="servo-left")
    fit_part(servo, part_of("servo", user), by=user)
    surface = ControlSurface.objects.create(
        build=build, key="left", name="Left elevon", mixing="elevon", servo=servo, chord_mm=36.0,
        horn_radius_mm=14.0, axis_distance_mm=80.0, arm_radius_mm=8.0, throw_roll_mm=6.0,
        throw_pitch_mm=6.0,
    )  # fmt: skip
    hole = {"surface": surface.pk, "arm_radius_mm": 12.0}
    shown = made(api, build, changes=[hole])
    (beside,) = api.get(at(build) + "compare/", {"variant": shown["id"]}).json()["throws"]
    (reported,) = api.get(one(shown["id"], "report/")).json()["throws"]
    assert beside == reported
    now, then = beside["cells"]
    assert (now["arm_radius_mm"], then["arm_radius_mm"]) == (8.0, 12.0)
    assert now["figures"]["throw_up_mm"]["value"] < then["figures"]["throw_up_mm"]["value"]
    roll = then["travels"][0]
    assert roll["throw"] == "roll"
    assert roll["is_within_travel"]
    assert roll["resolution_lost_percent"] == pytest.approx(
        100 - max(roll["travel_up_percent"], roll["travel_down_percent"])
    )
    assert then["both"]["wanted_mm"] == 12.0


@pytest.mark.parametrize(
    ("query", "status"),
    [
        ({"variant": "soon"}, 400),
        ({"variant": [1, 2, 3, 4]}, 400),
        ({"pack": "nothing"}, 400),
        ({"variant": 999_999}, 404),
    ],
)
def test_a_comparison_that_cannot_be_is_refused(api, build, query, status):
    assert api.get(at(build) + "compare/", query).status_code == status


def test_a_pack_of_somebody_else_is_not_there_to_compare(api, build):
    pack = part_of("pack", UserFactory())
    assert api.get(at(build) + "compare/", {"pack": pack.code}).status_code == 404
