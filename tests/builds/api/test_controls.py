"""The control set-up by the API."""

import pytest

from builds.operations import change_build, fit_part
from tests.factories import part_of
from tests.problem_details import refused

pytestmark = pytest.mark.django_db

LINKAGE = {
    "chord_mm": 36,
    "span_mm": 230,
    "horn_radius_mm": 14,
    "axis_distance_mm": 80,
    "arm_radius_mm": 10,
    "throw_roll_mm": 14,
    "throw_pitch_mm": 10,
}


@pytest.fixture
def linked(api, build, user):
    """The address of a surface whose servo has the holes 8, 10 and 12 mm."""
    servo = part_of("servo", user, sheet__arm_radii_mm=[8.0, 10.0, 12.0],
                    sheet__travel_deg=45.0, sheet__pulse_span_us=500.0)  # fmt: skip
    position = build.positions.get(key="servo-left")
    fit_part(position, servo, by=user)
    answer = api.post(
        at(build),
        {"name": "Left elevon", "mixing": "elevon", "servo": position.pk, **LINKAGE},
        format="json",
    )
    assert answer.status_code == 201, answer.json()
    return f"{at(build)}{answer.json()['id']}/"


def at(build, what="surfaces"):
    return f"/api/v1/builds/{build.pk}/{what}/"


def set_up(api, build):
    (surface,) = api.get(at(build, "throws")).json()["surfaces"]
    return surface


# Travel by the planar four-bar; see the tests of the holes.
def test_every_hole_is_listed_for_every_throw(api, build, linked):
    roll, pitch = set_up(api, build)["axes"]
    assert [hole["arm_radius_mm"] for hole in roll["holes"]] == [8, 10, 12]
    travels = [[hole["travel_up_percent"] for hole in axis["holes"]] for axis in (roll, pitch)]
    assert travels == [
        pytest.approx([93.6, 72.9, 59.9], abs=0.05),
        pytest.approx([64.0, 50.7, 42.0], abs=0.05),
    ]
    assert roll["best_arm_radius_mm"] == 8
    assert [hole["is_in_use"] for hole in roll["holes"]] == [False, True, False]
    assert roll["holes"][0]["pulse_up_us"] == pytest.approx(468, abs=0.5)
    assert roll["holes"][1]["resolution_lost_percent"] == pytest.approx(26.3, abs=0.05)


def test_both_together_ask_24_mm(api, build, linked):
    combined = set_up(api, build)["combined"]
    assert combined["wanted_mm"] == 24
    assert [hole["problem"] is None for hole in combined["holes"]] == [False, True, True]
    assert [row["stopped_by"] for row in combined["reaches"]] == ["travel"] * 3


def test_torque_waits_for_the_highest_speed(api, build, linked, user):
    assert set_up(api, build)["figures"]["hinge_moment_kgcm"]["missing"]
    change_build(build, by=user, speed_max_m_s=30.0)
    shown = set_up(api, build)
    assert shown["figures"]["hinge_moment_kgcm"]["value"] > 0
    assert shown["axes"][0]["holes"][1]["servo_torque_needed_kgcm"] > 0


def test_a_record_is_compared_with_what_is_worked_out(api, build, linked):
    body = {"axis": "roll", "up_mm": 13.9, "travel_percent": 72.9}
    answer = api.post(f"{linked}records/", body, format="json")
    assert answer.status_code == 201, answer.json()
    (one,) = set_up(api, build)["measured"]
    assert one["worked_out_mm"] == pytest.approx(14.0, abs=0.01)
    assert one["is_as_wanted"]
    assert [row["up_mm"] for row in api.get(f"{linked}records/").json()["results"]] == [13.9]


def test_records_that_disagree_are_both_shown(api, build, linked):
    for up in (50, 15):
        api.post(f"{linked}records/", {"axis": "pitch", "up_mm": up}, format="json")
    shown = set_up(api, build)
    told = [[one["value_mm"] for one in conflict["readings"]] for conflict in shown["conflicts"]]
    assert told == [[50], [15, 50]]
    assert shown["measured"] == []
    found = api.get(at(build, "findings")).json()["findings"]
    assert "controls.throw_records_disagree" in {finding["rule"] for finding in found}


def test_a_surface_is_changed_and_removed(api, build, linked):
    changed = api.patch(linked, {"arm_radius_mm": "0.8 cm"}, format="json").json()
    assert changed["arm_radius_mm"] == 8
    assert changed["since_revision"] > 0
    assert api.delete(linked).status_code == 204
    assert api.get(at(build)).json()["results"] == []


@pytest.mark.parametrize(
    ("body", "pointer"),
    [
        ({"name": "Rudder"}, "mixing"),
        ({"name": "Rudder", "mixing": "sail"}, "mixing"),
        ({"name": "Rudder", "mixing": "rudder", "arm_radius_mm": -1}, "arm_radius_mm"),
        ({"name": "Rudder", "mixing": "rudder", "hinge_limit_deg": 91}, "hinge_limit_deg"),
        ({"name": "Rudder", "mixing": "rudder", "servo": 0}, "servo"),
        ({"name": "Left elevon", "mixing": "rudder"}, ""),
        ({"name": "☠", "mixing": "rudder"}, "name"),
    ],
)
def test_a_surface_that_cannot_be_is_refused(api, build, linked, body, pointer):
    refused(api.post(at(build), body, format="json"), 400, f"#/{pointer}" if pointer else "#")


@pytest.mark.parametrize(
    ("body", "pointer"),
    [({"axis": "roll"}, "up_mm"), ({"axis": "yaw", "up_mm": 1}, "axis"),
     ({"axis": "roll", "up_mm": -1}, "up_mm")],
)  # fmt: skip
def test_a_record_that_says_nothing_is_refused(api, linked, body, pointer):
    refused(
        api.post(f"{linked}records/", body, format="json"), 400, f"#/{pointer}" if pointer else "#"
    )


@pytest.fixture
def wired(build, user):
    """The build with its motor on output 4, beside the servos."""
    for key in ("motor", "servo-left", "servo-right", "board"):
        position = build.positions.get(key=key)
        fit_part(position, part_of(position.kind, user), by=user)
    change_build(build, by=user, motor_signal="digital")
    build.positions.filter(key="motor").update(output=4)
    build.positions.filter(key="servo-right").update(output=5)
    return build


def test_outputs_show_faults_and_a_map(api, wired):
    shown = api.get(at(wired, "outputs")).json()
    assert len(shown["problems"]) == 1
    assert {one["position"]: one["proposed"] for one in shown["outputs"]} == {
        "motor": 1,
        "servo-left": 3,
        "servo-right": 5,
    }
    assert [group["free"] for group in shown["groups"]] == [[1, 2], [], [6]]


def test_what_stays_is_kept_or_proved_impossible(api, wired):
    kept = api.get(f"{at(wired, 'outputs')}?fixed=motor&fixed=servo-left").json()
    assert set(kept["no_map"]["functions"]) == {"Motor", "Servo, left"}
    refused(api.get(f"{at(wired, 'outputs')}?fixed=tail"), 400, "#/fixed")


def test_a_map_is_taken(api, wired):
    revision = api.get(at(wired, "outputs")).json()["revision"]
    answer = api.post(at(wired, "outputs"), {"revision": revision}, format="json")
    assert answer.status_code == 200, answer.json()
    assert answer.json()["problems"] == []
    again = api.post(at(wired, "outputs"), {"revision": revision}, format="json")
    assert again.status_code == 409


def test_nothing_can_be_said_of_outputs_without_a_board(api, build):
    assert api.get(at(build, "outputs")).json()["missing"]
    assert api.post(at(build, "outputs"), {}, format="json").status_code == 409
