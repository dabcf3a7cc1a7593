"""The API of the balance and of weigh-ins."""

import pytest

from builds.models import WeighIn
from builds.operations import change_build, fit_part
from tests.factories import part_of

pytestmark = pytest.mark.django_db


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


def test_balance_gives_each_pack_its_place(api, build, pack):
    found = api.get(at(build, "balance/?margin_percent=8")).json()
    assert found["margin_percent"] == 8
    (place,) = found["packs"]
    assert place["part"] == pack.code
    assert place["fits_cells"] is True
    wanted = place["figures"]["pack_x_wanted_mm"]["value"]
    front = next(one for one in place["wanted_from_marks"] if one["mark"] == "the nose")
    assert front["behind_mm"] == pytest.approx(wanted - 75 / 2)
    assert [one["x_mm"] for one in found["ballast"]] == [15.0, 272.0]
    assert found["shift"] is None


def test_move_of_a_part_is_a_figure_with_its_source(api, build, pack):
    shift = api.get(at(build, "balance/?move=motor&move_mm=12")).json()["shift"]
    auw_g = 158 + 9 * 10 + 155
    assert shift["cg_shift_mm"]["value"] == pytest.approx(12 * 10 / auw_g)
    assert "weight" in shift["cg_shift_mm"]["source"]


@pytest.mark.parametrize(
    ("query", "pointer"),
    [
        ("margin_percent=much", "margin_percent"),
        ("move=wheels", "move"),
        ("move_mm=1e9", "move_mm"),
        ("pack=2D8YMX5", "pack"),
        ("margin=5", "margin"),
    ],
)
def test_bad_query_is_refused_at_its_name(api, build, query, pointer):
    answer = api.get(at(build, f"balance/?{query}"))
    assert answer.status_code == 400
    assert answer["Content-Type"] == "application/problem+json"
    assert [one["pointer"] for one in answer.json()["errors"]] == [f"#/{pointer}"]


def test_weigh_in_leads_the_figures(api, build, pack):
    body = {
        "revision": build.revision, "mass_g": "0.41 kg", "cg_x_mm": 131, "pack": pack.code,
        "left_off": ["camera"],
    }  # fmt: skip
    made = api.post(at(build, "weigh-ins/"), body)
    assert made.status_code == 201, made.json()
    assert (made.json()["mass_g"], made.json()["left_off"]) == (410.0, ["camera"])
    figures = api.get(at(build, "figures/")).json()
    assert figures["auw_g"]["value"] == pytest.approx(420, abs=1)
    assert figures["auw_g"]["source"].startswith("Weighed whole")
    listed = api.get(at(build, "weigh-ins/")).json()["results"]
    assert [one["id"] for one in listed] == [made.json()["id"]]


@pytest.mark.parametrize(
    ("change", "status", "pointer"),
    [
        ({"mass_g": None}, 400, "#/mass_g"),
        ({"mass_g": 0}, 400, "#/mass_g"),
        ({"left_off": ["wheels"]}, 400, "#/left_off"),
        ({"left_off": "camera"}, 400, "#/left_off"),
        ({"pack": "2D8YMX6"}, 400, "#/pack"),
        ({"revision": -1}, 400, "#/revision"),
        ({"revision": 0}, 409, None),
        ({"cg_x_mm": "tail"}, 400, "#/cg_x_mm"),
    ],
)
def test_bad_weigh_in_is_refused_at_its_field(api, build, pack, change, status, pointer):
    answer = api.post(at(build, "weigh-ins/"), {"revision": build.revision, "mass_g": 400} | change)
    assert answer.status_code == status, answer.json()
    found = [one["pointer"] for one in answer.json().get("errors", [])]
    assert found == ([pointer] if pointer else [])
    assert not WeighIn.objects.exists()


def test_figures_are_for_the_air_asked_for(api, build):
    found = api.get(at(build, "figures/?elevation_m=1000")).json()["air_density_kg_m3"]
    # U.S. Standard Atmosphere 1976, table I, 1000 m.
    assert found["value"] == pytest.approx(1.11166, rel=1e-5)


@pytest.mark.parametrize("query", ["elevation_m=sky", "elevation_m=9000", "temperature_c=99"])
def test_air_outside_its_bounds_is_refused(api, build, query):
    answer = api.get(at(build, f"figures/?{query}"))
    assert answer.status_code == 400
    assert [one["pointer"] for one in answer.json()["errors"]] == [f"#/{query.split('=')[0]}"]
