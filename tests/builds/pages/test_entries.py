"""Missing figures lead to the page on which they are entered."""

from dataclasses import replace

import pytest

from builds.models import Build
from builds.pages.entries import entry_page
from builds.records import SurfaceRecord
from tests.builds.records_builder import aircraft, without

SERVO = "Servo left (Fennarick F9M)"
PACK = "Pack (Dunmarrow 4×1300)"


def page(missing, snapshot=None, *, may_change=True):
    return entry_page(missing, snapshot or aircraft(), Build(pk=7), may_change=may_change)


@pytest.mark.parametrize(
    ("missing", "address"),
    [
        (f"{SERVO}: mass (g)", "/parts/P5/"),
        (f"{SERVO}: where it gets its power", "/builds/7/positions/5/change/"),
        ("the place “Servo left”: way of its lead (mm)", "/builds/7/positions/5/change/"),
        (f"{PACK}: capacity (mAh)", "/parts/P16/"),
        (f"{PACK}: a log of three cycles or more", "/packs/P16/log/"),
        (f"{PACK}: the rest voltage of each of its 4 cells", "/packs/P16/log/"),
        (f"{PACK}: resistance of each cell (mΩ)", "/packs/P16/log/"),
        ("this build: motor signal", "/builds/7/change/"),
        ("how the packs are joined", "/builds/7/change/"),
        ("which outputs drive the motors", "/builds/7/outputs/"),
        ("the motor screws, as a fitted part with its length", "/builds/7/positions/add/"),
        ("what your club allows at 433 MHz", "/clubs/"),
        ("the charger among your ground gear", "/ground-gear/"),
        ("what the plug may carry: no sheet says it, its maker's data decide", ""),
    ],
)
def test_a_missing_figure_leads_to_where_it_is_entered(missing, address):
    assert page(missing) == address


def test_a_missing_lead_leads_to_the_empty_place_for_one():
    found = page(
        "the lead to the pack, as a fitted part with its plugs", without(aircraft(), "lead")
    )
    assert found == "/builds/7/positions/14/"


def test_a_missing_figure_of_a_surface_leads_to_the_controls():
    surface = SurfaceRecord(id=1, key="left", name="Left elevon", mixing="elevon")
    build = replace(aircraft(), surfaces=(surface,))
    assert page("Left elevon: play at the edge (mm)", build) == "/builds/7/controls/"


@pytest.mark.parametrize(
    "missing", ["this build: motor signal", f"{SERVO}: where it gets its power"]
)
def test_who_may_not_change_the_build_is_led_nowhere(missing):
    assert page(missing, may_change=False) == ""
