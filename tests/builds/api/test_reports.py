"""Figures, findings, spares and the rule book."""

import math

import pytest

from builds.figures import MAKERS
from builds.models import Build
from inventory.models import LogEntry
from tests.factories import (
    BuildFactory,
    PositionFactory,
    UserFactory,
    part_of,
)
from tests.problem_details import refused

pytestmark = pytest.mark.django_db


def at(build, rest=""):
    return f"/api/v1/builds/{build.pk}/{rest}"


def fit(api, build, key, part, **more):
    position = build.positions.get(key=key)
    body = {"position": position.pk, "part": part.code} | more
    return api.post(at(build, "fittings/"), body)


@pytest.fixture
def flyable(api, build, user):
    """A build with every position filled and a usual pack."""
    for key, kind in (
        ("motor", "motor"), ("propeller", "propeller"), ("controller", "speed_controller"),
        ("servo-left", "servo"), ("servo-right", "servo"), ("receiver", "receiver"),
        ("board", "flight_controller"),
    ):  # fmt: skip
        assert fit(api, build, key, part_of(kind, user)).status_code == 201
    pack = part_of("pack", user, mass_g=158.0)
    assert api.patch(at(build), {"pack": pack.code, "pack_x_mm": 66}).status_code == 200
    return build


def test_figures_are_an_object_by_name(api, flyable):
    figures = api.get(at(flyable, "figures/")).json()
    assert set(figures) == set(MAKERS)
    weight = figures["auw_g"]
    assert set(weight) == {
        "value", "uncertainty", "low", "high", "unit", "inputs", "source", "note",
        "is_lower_bound", "dominant",
    }  # fmt: skip
    # Masses of the parts above, added by hand.
    assert weight["value"] == pytest.approx(158 + 33 + 4.2 + 18 + 2 * 9 + 2.5 + 24 + 158)
    assert weight["unit"] == "g"
    assert {"name", "value", "unit", "source", "at"} == set(weight["inputs"][0])


def test_a_figure_that_lacks_something_says_what(api, build):
    figures = api.get(at(build, "figures/")).json()
    assert figures["thrust_to_weight"]["value"] is None
    assert figures["thrust_to_weight"]["missing"]


def test_another_pack_gives_another_weight(api, flyable, user):
    heavier = part_of("pack", user, mass_g=200.0)
    usual = api.get(at(flyable, "figures/")).json()["auw_g"]["value"]
    other = api.get(at(flyable, f"figures/?pack={heavier.code}")).json()["auw_g"]["value"]
    assert other - usual == pytest.approx(42.0)


@pytest.mark.parametrize("what", ["figures", "findings"])
@pytest.mark.parametrize("text", ["2D8YMX6", "nonsense", "\x00", "5" * 500])
def test_a_pack_that_is_no_pack_is_refused_by_name(api, build, what, text):
    refused(api.get(at(build, f"{what}/"), {"pack": text}), 400, "#/pack")


def test_a_motor_is_no_pack(api, build, user):
    motor = part_of("motor", user)
    refused(api.get(at(build, f"figures/?pack={motor.code}")), 400, "#/pack")


def test_a_pack_of_a_stranger_is_no_pack(api, build):
    pack = part_of("pack", UserFactory())
    refused(api.get(at(build, f"findings/?pack={pack.code}")), 400, "#/pack")


def test_a_misspelt_parameter_is_refused_by_name(api, build):
    refused(api.get(at(build, "figures/?battery=1")), 400, "#/battery")


def test_findings_say_what_was_found_and_what_could_not_be_judged(api, flyable, user):
    pack = part_of("pack", user, sheet__cell_count=8, mass_g=300.0)
    said = api.get(at(flyable, f"findings/?pack={pack.code}")).json()
    assert set(said) == {"judged", "not_applicable", "not_judged", "findings", "settles"}
    assert said["judged"] > 0
    finding, gap = said["findings"][0], said["not_judged"][0]
    assert set(finding) == {
        "rule", "level", "message", "remedy", "numbers", "position", "source", "inputs",
        "is_final", "digest", "answer",
    }  # fmt: skip
    assert finding["level"] in ("warning", "caution", "note")
    assert isinstance(finding["numbers"], dict)
    assert set(gap) == {"rule", "missing", "remedy", "position"}


def test_figures_and_findings_cost_few_queries_however_many_parts(
    client_of, user, flyable, django_assert_max_num_queries
):
    LogEntry.objects.create(
        pack=Build.objects.get(pk=flyable.pk).pack,
        kind="rest",
        rest_v=[3.8] * 4,
        by=user,
    )
    client = client_of(user)
    for what in ("figures", "findings"):
        with django_assert_max_num_queries(12):
            assert client.get(at(flyable, f"{what}/")).status_code == 200


def test_every_number_of_the_figures_is_finite(api, flyable):
    for figure in api.get(at(flyable, "figures/")).json().values():
        for name in ("value", "low", "high"):
            assert figure.get(name) is None or math.isfinite(figure[name])


def test_spares_are_candidates_with_what_they_would_change(api, flyable, user):
    spare = part_of("motor", user, mass_g=40.0)
    position = flyable.positions.get(key="motor")
    said = api.get(at(flyable, f"spares/?position={position.pk}")).json()
    assert set(said) == {"candidates", "rejected", "fallen", "has_more"}
    [found] = said["candidates"]
    assert (found["part"], found["is_fittable"]) == (spare.code, True)
    # The fitted motor weighs 33 g by its sheet.
    assert found["mass_change_g"] == pytest.approx(7.0)


@pytest.mark.parametrize("text", ["", "1e99", "-1", "9" * 30, "x", "\x00", "0"])
def test_a_position_that_is_none_is_refused_by_name(api, build, text):
    refused(api.get(at(build, "spares/"), {"position": text}), 400, "#/position")


def test_a_position_of_another_build_has_no_spares_here(api, build, user):
    other = PositionFactory(build=BuildFactory(person=user))
    refused(api.get(at(build, f"spares/?position={other.pk}")), 400, "#/position")


def test_the_rule_book_is_listed_and_each_rule_has_its_page(api):
    listed = api.get("/api/v1/rules/").json()
    assert (listed["next"], listed["previous"]) == (None, None)
    assert listed["results"]
    for rule in listed["results"]:
        assert api.get(f"/api/v1/rules/{rule['id']}/").json() == rule
        assert rule["question"]
        assert rule["source"]
    refused(api.get("/api/v1/rules/no.such_rule/"), 404)
