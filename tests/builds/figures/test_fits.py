"""What fits where: sides, ways round, slots, holes, screws, spars and shafts."""

import pytest

from builds.figures import Unknown, figures_of
from builds.figures.fits import Verdict, fits_of
from builds.records import Value
from tests.builds.records_builder import aircraft, with_part, with_place, without


def fits(build, key):
    """The fits at one place by what is compared."""
    return {fit.what: fit for fit in fits_of(figures_of(build)) if fit.position.key == key}


def value(fit, name):
    return fit.figures[name].value


def screws(length_mm):
    return with_part(aircraft(), "screws", purpose="motor screws", length_mm=length_mm)


def spar(rod_mm, bore_mm=6.1):
    build = with_part(aircraft(), "airframe", spar_diameter_mm=bore_mm)
    return with_part(build, "screws", purpose="spar", diameter_mm=rod_mm)


def test_pack_is_held_against_all_sides_of_its_bay():
    build = with_part(aircraft(), "pack", length_mm=75.0, width_mm=35.0, height_mm=29.0)
    found = fits(build, "pack")
    assert set(found) == {"length", "width", "height", "turned the roomiest way"}
    spare = [value(found[side], "room_to_spare_mm") for side in ("length", "width", "height")]
    assert spare == pytest.approx([5.0, 3.0, 7.0])
    assert {fit.verdict for fit in found.values()} == {Verdict.FITS}


def test_too_large_part_does_not_fit_and_says_by_how_much():
    found = fits(with_part(aircraft(), "pack", width_mm=39.0), "pack")["width"]
    assert found.verdict == Verdict.NO
    assert value(found, "room_to_spare_mm") == pytest.approx(-1.0)


def test_part_within_the_limits_of_the_measures_is_tight():
    # 38 - 37.8 = 0.2 mm, less than the limits of 0.3 and 0.2 mm together.
    found = fits(with_part(aircraft(), "pack", width_mm=37.8), "pack")["width"]
    assert found.verdict == Verdict.TIGHT
    assert value(found, "least_to_spare_mm") == pytest.approx(-0.3)


def test_guess_never_makes_a_fit():
    guessed = Value(20.0, "guessed")
    found = fits(with_part(aircraft(), "pack", width_mm=guessed), "pack")["width"]
    assert found.verdict == Verdict.GUESSED


def test_part_is_turned_the_roomiest_way():
    # A box of 36 x 80 x 38 goes into a bay of 80 x 38 x 36 only turned; by hand: nothing to spare.
    build = with_part(aircraft(), "pack", length_mm=36.0, width_mm=80.0, height_mm=38.0)
    turned = fits(build, "pack")["turned the roomiest way"]
    assert value(turned, "turned_to_spare_mm") == pytest.approx(0.0, abs=1e-9)
    assert "80 × 38 × 36 mm" in turned.figures["turned_to_spare_mm"].note


def test_room_or_part_without_a_length_is_named():
    build = with_part(with_place(aircraft(), "pack", length_mm=None), "pack", length_mm=None)
    found = fits(build, "pack")["length"]
    assert found.verdict == Verdict.UNKNOWN
    assert len(found.figures["room_to_spare_mm"].missing) == 2
    assert fits(build, "pack")["width"].verdict == Verdict.FITS


def test_camera_in_a_wide_slot_wants_half_the_gap_each_side():
    build = with_part(with_place(aircraft(), "camera", width_mm=21.6), "camera", width_mm=20.0)
    found = fits(build, "camera")["width"]
    assert value(found, "shim_each_side_mm") == pytest.approx(0.8)


def test_holes_that_match_leave_the_play_of_the_screw():
    # ISO 273, medium series: 3.4 mm for M3 (from memory, not verified), so 0.2 mm each way.
    found = fits(aircraft(), "motor")
    assert {"holes at 16 mm", "holes at 19 mm"} <= set(found)
    assert value(found["holes at 16 mm"], "holes_to_spare_mm") == pytest.approx(0.2)
    assert value(found["holes at 16 mm"], "holes_apart_mm") == pytest.approx(0.0)


def test_circle_that_differs_misses_by_half_the_difference():
    # Geometry by hand: holes on circles of 19 and 16 mm lie 1.5 mm apart.
    found = fits(with_part(aircraft(), "motor", hole_pattern_mm=[16.0]), "motor")
    assert set(found) >= {"holes at 16 mm"}
    missed = with_part(aircraft(), "motor", hole_pattern_mm=[16.0, 16.0])
    off = [
        value(fit, "holes_apart_mm")
        for fit in fits_of(figures_of(missed))
        if fit.position.key == "motor" and fit.what.startswith("holes")
    ]
    assert off == pytest.approx([0.0, 1.5])


def test_board_on_another_square_misses_by_the_corner():
    # Geometry by hand: half a millimetre of side is 0.5 / sqrt 2 = 0.3536 mm at each corner.
    build = with_place(aircraft(), "board", hole_pattern_mm=(30.5,))
    found = fits(with_part(build, "board", hole_pattern_mm=[30.0]), "board")["holes at 30 mm"]
    assert value(found, "holes_apart_mm") == pytest.approx(0.35355, abs=1e-4)
    assert found.verdict == Verdict.NO


def test_board_at_a_place_without_holes_is_not_asked():
    assert not any(what.startswith("holes") for what in fits(aircraft(), "board"))


def test_pattern_that_nobody_gave_is_named():
    found = fits(with_part(aircraft(), "motor", hole_pattern_mm=None), "motor")["holes"]
    assert found.verdict == Verdict.UNKNOWN
    assert "hole pattern" in found.figures["holes_to_spare_mm"].missing[0]


@pytest.mark.parametrize(
    ("length_mm", "engaged_mm", "left_mm", "verdict"),
    [
        (6.0, 3.0, 1.0, Verdict.FITS),
        (5.0, 2.0, 2.0, Verdict.SHORT),
        (8.0, 4.0, -1.0, Verdict.NO),
    ],
)
def test_screw_is_held_against_plate_and_thread(length_mm, engaged_mm, left_mm, verdict):
    # By hand: 3 mm of plate, 4 mm to the winding, M3.
    (found,) = (f for what, f in fits(screws(length_mm), "motor").items() if "screws" in what)
    assert value(found, "screw_engagement_mm") == pytest.approx(engaged_mm)
    assert value(found, "screw_diameters") == pytest.approx(engaged_mm / 3)
    assert value(found, "screw_tip_gap_mm") == pytest.approx(left_mm)
    assert found.verdict == verdict


def test_without_screws_the_lengths_that_would_do_are_told():
    found = fits(with_part(aircraft(), "screws", purpose="hatch"), "motor")["screws"]
    assert found.verdict == Verdict.UNKNOWN
    assert value(found, "screw_shortest_mm") == pytest.approx(6.0)
    assert value(found, "screw_longest_mm") == pytest.approx(7.0)


@pytest.mark.parametrize(
    ("rod_mm", "verdict"),
    [(6.0, Verdict.FITS), (6.2, Verdict.NO), (5.8, Verdict.LOOSE)],
)
def test_spar_sits_in_its_bore(rod_mm, verdict):
    found = fits(spar(rod_mm), "screws")["spar in its bore"]
    assert value(found, "room_to_spare_mm") == pytest.approx(6.1 - rod_mm)
    assert found.verdict == verdict


def test_spar_without_an_airframe_says_so():
    found = fits(without(spar(6.0), "airframe"), "screws")["spar in its bore"]
    assert found.figures["room_to_spare_mm"].missing == ("Airframe: nothing fitted",)


def test_propeller_is_held_against_the_shaft():
    found = fits(aircraft(), "propeller")["bore on the shaft"]
    assert value(found, "room_to_spare_mm") == pytest.approx(0.0)
    assert found.verdict == Verdict.FITS


def test_propeller_without_a_motor_says_so():
    found = fits(without(aircraft(), "motor"), "propeller")["bore on the shaft"]
    assert "Motor: nothing fitted" in found.figures["room_to_spare_mm"].missing


def test_empty_place_with_room_says_that_nothing_is_fitted():
    found = fits(without(aircraft(), "pack"), "pack")["the part"]
    assert isinstance(found.figures["room_to_spare_mm"], Unknown)
    assert found.figures["room_to_spare_mm"].missing == ("Pack: nothing fitted",)
