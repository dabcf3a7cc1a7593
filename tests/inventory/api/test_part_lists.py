"""Lists of parts: what they show, their filters and pages, and what they cost."""

import pytest

from inventory.filters import parts_of_kind
from tests.factories import (
    SHEET_FACTORIES,
    MembershipFactory,
    PlaceFactory,
    part_of,
)
from tests.problem_details import refused

pytestmark = pytest.mark.django_db


def codes(response):
    assert response.status_code == 200, response.json()
    return [part["code"] for part in response.json()["results"]]


def test_a_list_answers_next_previous_and_results(api):
    assert api.get("/api/v1/parts/").json() == {"next": None, "previous": None, "results": []}


def test_a_part_shows_what_scripts_lean_on(api, user):
    place = PlaceFactory(person=user, name="Drawer 2")
    part = part_of(
        "servo", user, name="Left", mass_g=9.2, mass_uncertainty_g=0.1, place=place, notes="spare"
    )
    shown = api.get(f"/api/v1/parts/{part.code}/").json()
    for stamp in ("created_at", "updated_at"):
        assert shown.pop(stamp)
    assert shown == {
        "code": part.code,
        "kind": "servo",
        "name": "Left",
        "sheet": part.sheet_id,
        "mass_g": 9.2,
        "mass_source": "weighed",
        "mass_uncertainty_g": 0.1,
        "condition": "good",
        "out_of_service": "",
        "fitted": False,
        "is_bag": False,
        "count": 1,
        "fitted_count": 0,
        "place": place.pk,
        "place_name": "Drawer 2",
        "owner": {"kind": "person", "name": user.username},
        "notes": "spare",
        "acquired_on": None,
    }


def test_a_part_that_nobody_weighed_shows_the_mass_of_its_sheet(api, user):
    part = part_of("servo", user, sheet__mass_g=9.0)
    shown = api.get(f"/api/v1/parts/{part.code}/").json()
    assert (shown["mass_g"], shown["mass_source"]) == (9.0, "sheet")


def test_a_part_without_any_mass_says_unknown(api, user):
    part = part_of("servo", user, sheet__mass_g=None)
    shown = api.get(f"/api/v1/parts/{part.code}/").json()
    assert (shown["mass_g"], shown["mass_source"]) == (None, "unknown")


def test_a_club_part_names_its_club(api, user):
    club = MembershipFactory(user=user).club
    part = part_of("servo", club)
    shown = api.get(f"/api/v1/parts/{part.code}/").json()
    assert shown["owner"] == {"kind": "club", "name": club.name, "slug": club.slug}


@pytest.mark.parametrize(
    ("query", "expected"),
    [
        ("kind=servo", {"light", "heavy", "sheet-mass"}),
        ("kind=motor", {"motor"}),
        ("mass_g__lt=9.5", {"light", "sheet-mass"}),
        ("mass_g__gt=9.5&kind=servo", {"heavy"}),
        ("mass_g__lt=0.3 oz", {"light"}),
        ("kind=servo&mass_g__gte=9&mass_g__lte=9", {"sheet-mass"}),
        ("condition=worn", {"heavy"}),
        ("condition=worn&condition=good&kind=servo", {"light", "heavy", "sheet-mass"}),
        ("q=Heavy", {"heavy"}),
        ("q=heavy motor", set()),
        ("kind=servo&torque_kgcm__gte=2.0", {"heavy"}),
        ("kind=servo&torque_kgcm__gte=1.0&height_mm__lte=20", {"light"}),
        ("kind=motor&cells_max__lt=4", set()),
        ("kind=motor&cells_max=4", {"motor"}),
        ("kind=servo&plug=JR", {"heavy"}),
        ("kind=servo&direction=ccw", {"heavy"}),
        ("owner=me", {"light", "heavy", "sheet-mass", "motor"}),
        ("in_service=false", {"motor"}),
        ("fitted=true", set()),
    ],
)
def test_parts_are_filtered(api, user, query, expected):
    part_of("servo", user, name="light", mass_g=8.0, sheet__height_mm=20.0)
    part_of(
        "servo",
        user,
        name="heavy",
        mass_g=12.0,
        condition="worn",
        sheet__torque_kgcm=2.5,
        sheet__plug="jr",
        sheet__direction="ccw",
    )
    part_of("servo", user, name="sheet-mass", sheet__mass_g=9.0)
    part_of("motor", user, name="motor", out_of_service="bent shaft")
    found = api.get(f"/api/v1/parts/?{query}").json()["results"]
    assert {part["name"] for part in found} == expected


def test_a_yes_or_no_figure_of_a_kind_is_a_filter(api, user):
    wanted = part_of("gps", user)
    part_of("gps", user, sheet__has_compass=False)
    assert codes(api.get("/api/v1/parts/?kind=gps&has_compass=true")) == [wanted.code]


def test_a_bag_is_fitted_when_no_piece_is_left(api, user):
    empty = part_of("propeller", user, is_bag=True, count=2, fitted_count=2)
    part_of("propeller", user, is_bag=True, count=2, fitted_count=1)
    assert codes(api.get("/api/v1/parts/?fitted=true")) == [empty.code]


def test_a_place_stands_for_all_that_is_inside_it(api, user):
    box = PlaceFactory(person=user)
    bag = PlaceFactory(parent=box)
    inside = part_of("servo", user, place=bag)
    part_of("servo", user, place=PlaceFactory(person=user))
    assert codes(api.get(f"/api/v1/parts/?place={box.pk}")) == [inside.code]


def test_an_owner_may_be_a_club(api, user):
    club = MembershipFactory(user=user).club
    part = part_of("servo", club)
    part_of("servo", user)
    assert codes(api.get(f"/api/v1/parts/?owner={club.slug}")) == [part.code]


def test_a_label_code_is_read_with_spaces_and_small_letters(api, user):
    part = part_of("servo", user)
    typed = f"{part.code[:3].lower()} {part.code[3:]}"
    assert codes(api.get("/api/v1/parts/", {"code": typed})) == [part.code]


def test_parts_come_in_pages_without_a_gap(api, user):
    expected = [part_of("servo", user).code for _ in range(5)]
    found, address = [], "/api/v1/parts/?page_size=2"
    while address:
        page = api.get(address).json()
        found += [part["code"] for part in page["results"]]
        address = page["next"]
    assert found == expected


@pytest.mark.parametrize(
    ("query", "pointer"),
    [
        ("colour=red", "#/colour"),
        ("torque_kgcm__gte=1", "#/torque_kgcm__gte"),
        ("kind=servo&kv_rpm_v=1", "#/kv_rpm_v"),
        ("kind=boat", "#/kind"),
        ("mass_g__lt=heavy", "#/mass_g__lt"),
        ("mass_g__lt=5 mm", "#/mass_g__lt"),
        ("fitted=perhaps", "#/fitted"),
        ("place=999", "#/place"),
        ("owner=nobody-here", "#/owner"),
        ("condition=shiny", "#/condition"),
        ("code=2D8YMX6", "#/code"),
        ("kind=motor&cells_max=three", "#/cells_max"),
    ],
)
def test_a_bad_filter_is_named(api, query, pointer):
    refused(api.get(f"/api/v1/parts/?{query}"), 400, pointer)


def test_a_place_of_somebody_else_is_no_filter(api):
    refused(api.get(f"/api/v1/parts/?place={PlaceFactory().pk}"), 400, "#/place")


@pytest.mark.parametrize("kind", sorted(SHEET_FACTORIES))
def test_every_figure_of_every_kind_is_a_filter_that_runs(api, user, kind):
    for name, used in parts_of_kind(kind).base_filters.items():
        field = used.field
        choices = [value for value, _ in getattr(field, "choices", ()) if value]
        value = choices[0] if choices and name != "kind" else 1
        if name in ("kind", "place", "owner", "code", "q"):
            continue
        answer = api.get("/api/v1/parts/", {"kind": kind, name: value})
        assert answer.status_code == 200, (name, answer.json())


def test_a_page_of_parts_costs_few_queries(client_of, user, django_assert_max_num_queries):
    for _ in range(3):
        part_of("servo", user, place=PlaceFactory(person=user))
    part_of("servo", MembershipFactory(user=user).club)
    client = client_of(user)
    with django_assert_max_num_queries(3):
        answer = client.get("/api/v1/parts/?kind=servo&mass_g__lt=1000&fitted=false")
    assert len(answer.json()["results"]) == 4
