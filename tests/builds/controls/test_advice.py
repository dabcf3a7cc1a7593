"""What to change, and in which order: common practice, no source."""

from builds.controls import set_up_of
from tests.builds.controls.surfaces import elevon, wing


def advice(surface=None, **servo):
    build = wing(made := surface or elevon(), **servo)
    return set_up_of(build, made).advice


def test_the_hole_comes_first_and_the_travel_second():
    first, second, *_ = advice()
    assert first.startswith("Mechanics first: move the pushrod to the hole at 8 mm")
    assert "72.9" not in first
    assert second == (
        "Electronics second, with that hole: roll 93.6 % up, 97.3 % down; pitch 64.0 % up, 65.3 %"
        " down."
    )


def test_a_hole_that_is_the_best_already_stays():
    assert advice(elevon(arm_radius_mm=8.0))[0].startswith("Mechanics: keep the hole at 8 mm")


def test_less_than_70_percent_asks_for_another_hole():
    said = advice(elevon(arm_radius_mm=12.0))
    assert "below 70 %" in said[0]


def test_even_the_smallest_hole_may_be_too_large():
    said = advice(elevon(arm_radius_mm=12.0), arm_radii_mm=[12.0])
    assert any("Even there roll takes 60.0 %" in one for one in said)


def test_no_hole_gives_the_throw():
    (said,) = advice(elevon(arm_radius_mm=5.0), arm_radii_mm=[5.0])
    assert said.startswith("No hole of this arm gives 14 mm within 100 % travel.")


def test_what_both_sticks_ask_and_where_it_stops_is_said():
    said = " ".join(advice())
    assert "Both sticks at full ask 24 mm: with the hole at 8 mm the surface stops at 14.3" in said
    assert "The hole at 12 mm stops at 21.8 mm" in said


def test_a_hole_that_gives_both_together_is_named():
    said = advice(elevon(arm_radius_mm=10.0), arm_radii_mm=[8.0, 10.0, 12.0, 14.0])
    assert any(one.startswith("The hole at 14 mm gives both together") for one in said)


def test_a_throw_nobody_wants_gets_no_advice():
    assert advice(elevon(mixing="flap")) == ()
