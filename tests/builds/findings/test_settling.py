"""Which figure settles most of what could not be judged."""

from builds.findings import NotJudged, owner_of, settling
from tests.builds.records_builder import aircraft, with_ground


def gap(*missing, rule="a.b"):
    return NotJudged(rule, missing, "")


def test_counts_the_checks_that_a_figure_is_part_of_and_those_it_settles_alone():
    (first, second) = settling([gap("A"), gap("A", "B"), gap("A")])
    assert (first.missing, first.checks, first.alone) == ("A", 3, 2)
    assert (second.missing, second.checks, second.alone) == ("B", 1, 0)


def test_what_settles_most_alone_comes_before_what_is_part_of_more():
    gaps = [gap("A"), gap("B", "C"), gap("B", "D"), gap("B", "E")]
    assert settling(gaps)[0].missing == "A"


def test_of_equal_worth_what_a_scale_tells_comes_before_what_a_sheet_tells():
    found = settling([gap("Motor (M): current max (A)"), gap("Servo (S): mass (g)")])
    assert [one.missing for one in found][0] == "Servo (S): mass (g)"


def test_what_only_needs_writing_down_comes_first():
    found = settling([gap("Servo (S): mass (g)"), gap("this build: motor signal")])
    assert found[0].missing == "this build: motor signal"


def test_a_check_that_failed_lacks_no_figure():
    assert settling([gap()]) == ()


def test_a_missing_figure_leads_to_its_position():
    build = aircraft()
    camera = build.at("camera")
    assert owner_of(f"{camera.title}: mass (g)", build) is camera
    assert owner_of(f"the place “{camera.name}”: width (mm)", build) is camera
    assert owner_of(f"{camera.name}: nothing fitted", build) is camera


def test_a_missing_figure_of_ground_gear_leads_to_it():
    build = with_ground(aircraft(), "charger", name="Charger C4")
    assert owner_of("Charger C4: cells max", build) is build.ground["charger"]


def test_another_missing_figure_leads_to_the_build():
    build = aircraft()
    assert owner_of("how the packs are joined", build) is build
