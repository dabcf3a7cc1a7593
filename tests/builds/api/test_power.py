"""The API of power and placing, and of readings on the bench."""

import pytest

from builds.operations import change_build, fit_part
from tests.factories import part_of

pytestmark = pytest.mark.django_db

READ = {"voltage_v": 15.6, "current_a": 30.0, "speed_rpm": 24000.0, "thrust_g": 900.0}


def at(build, rest):
    return f"/api/v1/builds/{build.pk}/{rest}"


@pytest.fixture
def pack(build, user):
    """Its usual pack; every place is filled."""
    for position in build.positions.exclude(kind__in=("airframe", "pack")):
        fit_part(position, part_of(position.kind, user, mass_g=10.0), by=user)
    pack = part_of("pack", user, mass_g=155.0)
    change_build(build, by=user, pack=pack, pack_x_mm=66.0)
    build.refresh_from_db()
    return pack


def test_power_gives_four_points_with_their_figures(api, build, pack):
    found = api.get(at(build, "power/?duty=0.6&airspeed_m_s=12")).json()
    ways = [(one["duty"], one["airspeed_m_s"]) for one in found["points"]]
    assert ways == [(1.0, 0.0), (0.6, 0.0), (1.0, 12.0), (0.6, 12.0)]
    part = found["points"][1]["figures"]
    motor, battery = part["motor_current_a"]["value"], part["pack_current_a"]["value"]
    assert battery == pytest.approx(0.6 * motor)
    assert part["thrust_g"]["dominant"]
    assert len(found["over_duty"]) > 5
    assert found["flight"]["endurance_min"]["value"] > 0
    assert found["reading"] is None


def test_higher_field_gives_less_thrust(api, build, pack):
    low, high = (
        api.get(at(build, f"power/?elevation_m={height}")).json()["points"][0]["figures"]
        for height in (0, 2000)
    )
    assert high["thrust_g"]["value"] < low["thrust_g"]["value"]


def test_reading_is_listed_and_used(api, build, pack):
    made = api.post(at(build, "power-readings/"), READ, format="json")
    assert made.status_code == 201
    (listed,) = api.get(at(build, "power-readings/")).json()["results"]
    assert listed["thrust_g"] == 900.0
    assert listed["motor"]
    assert api.get(at(build, "power/")).json()["reading"] == listed["id"]


@pytest.mark.parametrize("name", ["voltage_v", "current_a", "speed_rpm"])
def test_reading_without_what_it_needs_names_the_field(api, build, pack, name):
    answer = api.post(at(build, "power-readings/"), {**READ, name: None}, format="json")
    assert answer.status_code == 400
    assert answer.json()["errors"][0]["pointer"].endswith(name)


@pytest.mark.parametrize(
    "query", ["duty=0", "duty=2", "airspeed_m_s=x", "elevation_m=1e9", "throttle=1"]
)
def test_bad_question_about_power_is_a_problem(api, build, pack, query):
    answer = api.get(at(build, f"power/?{query}"))
    assert answer.status_code == 400
    assert answer["Content-Type"] == "application/problem+json"


def test_placing_gives_links_and_compasses(api, build, pack):
    found = api.get(at(build, "placing/?latitude_deg=51.5&longitude_deg=-0.1&distance_m=2000"))
    body = found.json()
    assert body["compasses"][0]["figures"]["earth_field"]["value"] == pytest.approx(19.6, abs=0.2)
    labels = [one["label"] for one in body["links"]]
    assert any(label.startswith("Video link") for label in labels)


@pytest.mark.parametrize("query", ["latitude_deg=91", "spacing_mm=0", "distance_m=-1", "km=1"])
def test_bad_question_about_placing_is_a_problem(api, build, pack, query):
    assert api.get(at(build, f"placing/?{query}")).status_code == 400


def test_figures_without_the_reading_stand_beside_those_with_it(api, build, pack):
    assert api.get(at(build, "power/")).json()["before_reading"] == {}
    api.post(at(build, "power-readings/"), READ, format="json")
    found = api.get(at(build, "power/")).json()
    without = found["before_reading"]["current_max_a"]
    settled = found["points"][0]["figures"]["pack_current_a"]
    assert settled["value"] == pytest.approx(30.0, rel=0.02)
    assert settled["high"] - settled["low"] < without["high"] - without["low"]


def test_minutes_over_the_power_of_cruise_have_their_range(api, build, pack):
    for point in api.get(at(build, "power/")).json()["over_power"]:
        assert point["endurance_low_min"] < point["endurance_min"] < point["endurance_high_min"]
