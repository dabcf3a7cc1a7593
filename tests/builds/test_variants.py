"""What-ifs on plain records: what they change, what they leave, and how they compare."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from builds.records import SurfaceRecord
from builds.variants import ArmHole, Change, WhatIf, compare, options_of, vary
from tests.builds.records_builder import PLACES, aircraft, part, with_part

KEYS = [key for key in PLACES if key != "regulator"]


def changed(build, key, **values):
    place = build.at(key)
    return Change(place.id, part(place.kind, id=place.id + 100, **values))


def row(rows, name, limit_of=""):
    return next(one for one in rows if (one.name, one.limit_of) == (name, limit_of))


def test_a_variant_that_changes_nothing_is_the_build_itself():
    assert vary(aircraft(), WhatIf("as now")) == aircraft()


def test_a_change_puts_another_part_into_its_position_and_leaves_the_others():
    build = aircraft()
    varied = vary(build, WhatIf("motor", (changed(build, "motor", mass_g=50.0),)))
    assert varied.at("motor").part.get("mass_g") == 50.0
    others = [place for place in varied.positions if place.key != "motor"]
    assert others == [place for place in build.positions if place.key != "motor"]


def test_a_change_without_a_part_empties_its_position():
    build = aircraft()
    emptied = vary(build, WhatIf("light", (Change(build.at("camera").id, None),)))
    assert emptied.at("camera").part is None


def test_another_pack_takes_the_tray_and_may_sit_elsewhere():
    pack = part("pack", id=99, mass_g=205.0)
    varied = vary(aircraft(), WhatIf("heavy", pack=pack, pack_x_mm=70.0))
    assert (varied.pack, varied.at("pack").x_mm) == (pack, 70.0)


def test_the_pack_alone_may_move():
    build = aircraft()
    varied = vary(build, WhatIf("forward", pack_x_mm=60.0))
    assert (varied.pack, varied.at("pack").x_mm) == (build.pack, 60.0)


def test_another_arm_hole_changes_its_surface_alone():
    surfaces = (
        SurfaceRecord(1, "left", "Left", "elevon", arm_radius_mm=10.0),
        SurfaceRecord(2, "right", "Right", "elevon", arm_radius_mm=10.0),
    )
    varied = vary(aircraft(surfaces=surfaces), WhatIf("slower", holes=(ArmHole(1, 8.0),)))
    assert [one.arm_radius_mm for one in varied.surfaces] == [8.0, 10.0]


@given(st.lists(st.sampled_from(KEYS), unique=True), st.floats(1.0, 500.0))
def test_a_variant_and_then_the_parts_of_before_give_the_same_build(keys, mass_g):
    build = aircraft()
    changes = tuple(changed(build, key, mass_g=mass_g) for key in keys)
    back = tuple(Change(build.at(key).id, build.at(key).part) for key in keys)
    assert vary(vary(build, WhatIf("there", changes)), WhatIf("back", back)) == build


@given(st.floats(1.0, 500.0), st.floats(58.0, 78.0))
def test_comparing_changes_neither_build_nor_the_first_column(mass_g, x_mm):
    build = aircraft()
    what_if = WhatIf("heavy", pack=part("pack", mass_g=mass_g), pack_x_mm=x_mm)
    present, _ = options_of(build, [what_if])
    assert (present.snapshot, build) == (aircraft(), aircraft())


@given(st.floats(1.0, 500.0))
def test_the_weight_differs_by_what_the_part_weighs_more(mass_g):
    # Masses add up: definition.
    build = aircraft()
    was_g = build.at("motor").part.get("mass_g")
    options = options_of(build, [WhatIf("motor", (changed(build, "motor", mass_g=mass_g),))])
    cell = row(compare(options), "auw_g").cells[1]
    assert cell.difference == pytest.approx(mass_g - was_g, abs=1e-9)


def test_what_leaves_out_an_unweighed_part_is_not_compared():
    build = aircraft()
    options = options_of(build, [WhatIf("motor", (changed(build, "motor", mass_g=None),))])
    assert row(compare(options), "auw_g").cells[1].difference is None


def test_currents_are_held_against_the_controller_the_motor_and_the_pack():
    build = aircraft()
    cells = {
        limit_of: row(compare(options_of(build, [])), name, limit_of).cells[0]
        for name, limit_of in (
            ("motor_current_max_a", "speed controller"),
            ("motor_current_max_a", "motor"),
            ("pack_current_each_max_a", "pack"),
        )
    }
    # 75 times 1300 mAh is 97.5 A: what the label says, common practice, no source.
    assert {name: cell.limit for name, cell in cells.items()} == {
        "speed controller": 50.0,
        "motor": 45.0,
        "pack": 97.5,
    }
    assert not any(cell.is_over for cell in cells.values())


def test_a_limit_that_nobody_gave_is_neither_kept_nor_broken():
    build = aircraft()
    options = options_of(build, [WhatIf("motor", (changed(build, "motor", current_max_a=None),))])
    cell = row(compare(options), "motor_current_max_a", "motor").cells[1]
    assert (cell.limit, cell.is_over) == (None, None)


def test_a_current_at_its_limit_is_not_over_it():
    build = aircraft()
    current = options_of(build, [])[0].figures["motor_current_max_a"].value
    at_limit = WhatIf("motor", (changed(build, "motor", current_max_a=current),))
    above = WhatIf("motor", (changed(build, "motor", current_max_a=current * 0.999),))
    cells = row(compare(options_of(build, [at_limit, above])), "motor_current_max_a", "motor").cells
    assert [cell.is_over for cell in cells[1:]] == [False, True]


def test_the_current_of_the_packs_is_held_against_lead_and_sensor():
    build = with_part(aircraft(), "board", current_sensor_max_a=60.0)
    build = with_part(build, "lead", current_rating_a=40.0)
    rows = compare(options_of(build, []))
    lead = row(rows, "current_max_a", "lead").cells[0]
    sensor = row(rows, "current_max_a", "current sensor").cells[0]
    assert (lead.limit, sensor.limit) == (40.0, 60.0)
    assert lead.figure == sensor.figure


def test_sensors_of_controllers_share_the_current():
    build = with_part(aircraft(), "controller", current_sensor_max_a=30.0)
    build = with_part(build, "board", current_sensor_max_a=None)
    (controller,) = build.fitted("speed_controller")
    two = replace(
        build,
        positions=tuple(
            replace(place, quantity=2) if place is controller else place
            for place in build.positions
        ),
    )
    assert row(compare(options_of(two, [])), "current_max_a", "current sensor").cells[0].limit == 60


def test_without_a_sensor_there_is_no_limit_of_one():
    build = with_part(aircraft(), "controller", current_sensor_max_a=None)
    build = with_part(build, "board", current_sensor_max_a=None)
    cell = row(compare(options_of(build, [])), "current_max_a", "current sensor").cells[0]
    assert (cell.limit, cell.is_over, cell.may_be_over) == (None, None, None)


def test_a_range_that_reaches_over_the_limit_may_be_over():
    build = aircraft()
    figure = options_of(build, [])[0].figures["motor_current_max_a"]
    between = WhatIf(
        "motor", (changed(build, "motor", current_max_a=(figure.value + figure.high) / 2),)
    )
    above = WhatIf("motor", (changed(build, "motor", current_max_a=figure.high + 1),))
    cells = row(compare(options_of(build, [between, above])), "motor_current_max_a", "motor").cells
    assert [(cell.is_over, cell.may_be_over) for cell in cells[1:]] == [
        (False, True),
        (False, False),
    ]
