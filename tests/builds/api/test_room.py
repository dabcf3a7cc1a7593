"""The API of what fits where."""

import pytest

from builds import operations
from tests.factories import part_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def room(api, build, user):
    """Asks for the fits of a build with a camera in a slot of 21.6 mm."""
    slot = operations.add_position(
        build, by=user, key="slot", name="Slot", kind="camera", width_mm=21.6
    )
    operations.fit_part(slot, part_of("camera", user, sheet__width_mm=20.0), by=user)
    return lambda **query: api.get(f"/api/v1/builds/{build.pk}/room/", query)


def test_fits_carry_their_figures_and_a_verdict(room):
    (found,) = room(position="slot").json()["fits"]
    assert (found["position"], found["what"], found["verdict"]) == ("slot", "width", "fits")
    assert found["figures"]["shim_each_side_mm"]["value"] == pytest.approx(0.8)
    assert found["figures"]["room_to_spare_mm"]["inputs"][0]["value"] == 21.6


def test_sizes_asked_about_are_answered(room):
    (found,) = room(position="slot", width_mm="22 mm").json()["asked"]
    assert found["verdict"] == "does not fit"
    assert found["part"] == ""


@pytest.mark.parametrize(
    ("name", "given"), [("width_mm", "wide"), ("position", "x"), ("screw_length_mm", "-1")]
)
def test_bad_question_names_its_field(room, name, given):
    answer = room(**{name: given})
    assert answer.status_code == 400
    assert answer.json()["errors"][0]["pointer"].endswith(name)


def test_strange_parameter_is_refused(room):
    assert room(depth_mm="3").status_code == 400
