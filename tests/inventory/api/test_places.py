"""Places."""

import pytest

from tests.factories import (
    PlaceFactory,
    part_of,
)
from tests.problem_details import refused

pytestmark = pytest.mark.django_db


def test_a_place_lies_in_a_place(api):
    shelf = api.post("/api/v1/places/", {"name": "Shelf"}).json()
    box = api.post("/api/v1/places/", {"name": "Box", "parent": shelf["id"]})
    assert box.status_code == 201, box.json()
    assert box.json()["parent"] == shelf["id"]


def test_a_place_does_not_lie_in_itself(api, user):
    outer = PlaceFactory(person=user)
    inner = PlaceFactory(parent=outer)
    refused(api.patch(f"/api/v1/places/{outer.pk}/", {"parent": inner.pk}), 400, "#/parent")


def test_a_place_with_something_in_it_stays(api, user):
    place = PlaceFactory(person=user)
    part_of("servo", user, place=place)
    refused(api.delete(f"/api/v1/places/{place.pk}/"), 409)


def test_an_empty_place_is_removed(api, user):
    place = PlaceFactory(person=user)
    assert api.delete(f"/api/v1/places/{place.pk}/").status_code == 204
