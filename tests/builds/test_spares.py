"""The spare finder on whole records of the database."""

from dataclasses import replace

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from builds import operations
from builds.figures import figures_of
from builds.findings import Finding, Level, book
from builds.models import Build
from builds.snapshot import part_records, take_snapshot
from builds.spares import compare, find_spares, unmoved_figures
from hangar.clubs.models import Role
from hangar.errors import Missing
from inventory.models import Part
from tests.factories import (
    BuildFactory,
    ClaimFactory,
    ClubFactory,
    LoanFactory,
    MembershipFactory,
    OfferFactory,
    PartFactory,
    UserFactory,
    member_of,
    part_of,
)

FRAME_AND_MOTOR = (
    {"key": "airframe", "kind": "airframe", "name": "Airframe", "x_mm": 172.0},
    {"key": "motor", "kind": "motor", "name": "Motor", "x_mm": 258.0},
    {"key": "pack", "kind": "pack", "name": "Pack", "x_mm": 66.0},
)


def frame_with_motor_mount(owner, **values):
    airframe = part_of("airframe", owner, sheet__template=FRAME_AND_MOTOR, mass_g=158.0)
    build = BuildFactory(person=owner, airframe=airframe, **values)
    return Build.objects.select_related("club").get(pk=build.pk)


def whole_wing(owner):
    build = BuildFactory(person=owner)
    for key, kind in (("controller", "speed_controller"), ("pack", "pack")):
        fit(build, key, part_of(kind, owner))
    return Build.objects.select_related("club").get(pk=build.pk)


def fit(build, key, part):
    return operations.fit_part(build.positions.get(key=key), part, by=build.person)


def spares_for(build, key, viewer=None, **options):
    position = build.positions.get(key=key)
    return find_spares(build, position, viewer or build.person, **options)


def codes(found):
    return [one.part.code for one in found]


@pytest.fixture
def build(user):
    return frame_with_motor_mount(user)


def test_offers_a_free_part_of_the_positions_kind(build, user):
    motor = part_of("motor", user, mass_g=33.6)
    part_of("servo", user, mass_g=9.0)
    assert codes(spares_for(build, "motor").candidates) == [motor.code]


def test_says_by_how_much_mass_and_centre_of_gravity_change(build, user):
    fit(build, "pack", part_of("pack", user, mass_g=150.0))
    fit(build, "motor", part_of("motor", user, mass_g=30.0))
    part_of("motor", user, mass_g=40.0)
    candidate = spares_for(build, "motor").candidates[0]
    assert candidate.mass_change_g == pytest.approx(10.0)
    # Sum of moments over sum of masses, FAA-H-8083-1B, chapter 2.
    rest = 158.0 * 172.0 + 150.0 * 66.0
    before = (rest + 30.0 * 258.0) / 338.0
    after = (rest + 40.0 * 258.0) / 348.0
    assert candidate.cg_change_mm == pytest.approx(after - before)


def test_a_part_of_unknown_mass_changes_mass_and_balance_by_an_unknown_amount(build, user):
    part_of("motor", user, sheet__mass_g=None)
    candidate = spares_for(build, "motor").candidates[0]
    assert (candidate.mass_change_g, candidate.cg_change_mm) == (None, None)


def test_the_lighter_of_two_alike_parts_comes_first(build, user):
    heavy = part_of("motor", user, mass_g=36.0)
    light = part_of("motor", user, mass_g=33.0)
    assert codes(spares_for(build, "motor").candidates) == [light.code, heavy.code]


def test_a_part_with_a_finding_comes_after_a_heavier_one_without(build, user):
    worn = part_of("motor", user, mass_g=33.0, condition="suspect")
    heavy = part_of("motor", user, mass_g=36.0)
    found = spares_for(build, "motor").candidates
    assert codes(found) == [heavy.code, worn.code]
    assert found[1].new_findings


def test_a_part_whose_figures_are_missing_comes_after_one_that_could_be_judged(user):
    build = whole_wing(user)
    known = part_of("motor", user, mass_g=36.0)
    unknown = part_of("motor", user, mass_g=33.0, sheet__cells_max=None, sheet__cells_min=None)
    found = spares_for(build, "motor").candidates
    assert codes(found) == [known.code, unknown.code]
    assert found[0].not_judged < found[1].not_judged


def test_a_part_that_brings_a_warning_falls_out_with_the_rule_that_threw_it_out(user):
    build = whole_wing(user)
    weak = part_of("speed_controller", user, sheet__cells_min=1, sheet__cells_max=2)
    strong = part_of("speed_controller", user)
    search = spares_for(build, "controller")
    assert codes(search.candidates) == [strong.code]
    assert codes(search.rejected) == [weak.code]
    assert "electrical.wrong_cell_count" in {found.rule for found in search.rejected[0].rules}
    assert {found.level for found in search.rejected[0].rules} == {Level.WARNING}


def test_a_warning_that_was_there_before_throws_nothing_out(user):
    build = whole_wing(user)
    fit(build, "motor", part_of("motor", user, sheet__cells_min=1, sheet__cells_max=2))
    alike = part_of("motor", user, sheet__cells_min=1, sheet__cells_max=2)
    assert codes(spares_for(build, "motor").candidates) == [alike.code]


def test_says_which_findings_a_spare_clears(user):
    build = whole_wing(user)
    fit(build, "motor", part_of("motor", user, sheet__cells_min=1, sheet__cells_max=2))
    part_of("motor", user)
    cleared = spares_for(build, "motor").candidates[0].cleared_findings
    assert "electrical.wrong_cell_count" in {found.rule for found in cleared}


@pytest.mark.parametrize("condition", ["broken", "retired"])
def test_leaves_out_what_is_broken_or_retired(build, user, condition):
    part_of("motor", user, condition=condition)
    assert spares_for(build, "motor").candidates == ()


def test_leaves_out_what_is_out_of_service(build, user):
    part_of("motor", user, out_of_service="bent shaft")
    assert spares_for(build, "motor").candidates == ()


def test_leaves_out_what_is_in_another_aircraft(build, user):
    fit(frame_with_motor_mount(user), "motor", part_of("motor", user))
    assert spares_for(build, "motor").candidates == ()


def test_leaves_out_what_another_has_lent_or_claimed(build, user):
    club = MembershipFactory(user=user).club
    LoanFactory(part=part_of("motor", user), borrower=member_of(club))
    ClaimFactory(part=part_of("motor", user), claimant=member_of(club))
    assert spares_for(build, "motor").candidates == ()


def test_strangers_parts_are_not_seen(build):
    part_of("motor", UserFactory())
    assert spares_for(build, "motor").candidates == ()


def test_a_clubs_part_is_offered_to_a_member_with_why_they_cannot_fit_it_at_once(build, user):
    club = ClubFactory()
    MembershipFactory(user=user, club=club)
    part_of("motor", club)
    candidate = spares_for(build, "motor").candidates[0]
    assert not candidate.is_fittable
    assert str(club) in candidate.why


def test_a_clubs_part_is_fittable_by_its_keeper(build, user):
    club = ClubFactory()
    MembershipFactory(user=user, club=club, role=Role.KEEPER)
    part_of("motor", club)
    candidate = spares_for(build, "motor").candidates[0]
    assert (candidate.is_fittable, candidate.why) == (True, "")


def test_a_part_that_a_member_offers_is_a_candidate(build, user):
    offer = OfferFactory(part=part_of("motor", UserFactory()))
    MembershipFactory(user=user, club=offer.club)
    assert codes(spares_for(build, "motor").candidates) == [offer.part.code]


def test_no_more_candidates_than_asked_for_and_says_so(build, user):
    for _ in range(3):
        part_of("motor", user)
    search = spares_for(build, "motor", limit=2)
    assert (len(search.candidates), search.has_more) == (2, True)


def test_a_position_of_another_build_is_missing(build, user):
    other = frame_with_motor_mount(user)
    with pytest.raises(Missing):
        find_spares(build, other.positions.get(key="motor"), user)


def queries_of(build):
    with CaptureQueriesContext(connection) as captured:
        spares_for(build, "motor")
    return len(captured)


def test_forty_spares_take_as_many_queries_as_two(build, user):
    queries_of(build)  # reads the owner, once
    counts = []
    for number in (2, 38):
        for _ in range(number):
            part_of("motor", user, mass_g=33.0)
        counts.append(queries_of(build))
    assert counts[0] == counts[1]


@pytest.mark.parametrize("key", ["motor", "propeller", "controller", "servo-left", "receiver"])
def test_the_rules_left_aside_would_have_said_nothing_new(user, key):
    build = whole_wing(user)
    kind = build.positions.get(key=key).kind
    part_of(kind, user, condition="suspect", sheet__mass_g=None)
    search = spares_for(build, key)
    tried = [*search.candidates, *search.rejected][0]
    snapshot = search.picture.snapshot
    place = snapshot.at(key)
    after = snapshot.with_part(place.id, tried.record)
    by_all = compare(
        book.judge(snapshot, figures_of(snapshot)).findings,
        book.judge(after, figures_of(after)).findings,
    )
    seen = tried.new_findings if search.candidates else tried.rules
    wanted = by_all if search.candidates else [f for f in by_all if f.level == Level.WARNING]
    assert list(seen) == list(wanted)


@pytest.mark.parametrize(
    "key", ["motor", "propeller", "controller", "servo-left", "receiver", "board", "pack"]
)
def test_figures_taken_over_are_those_that_a_spare_would_have(user, key):
    build = whole_wing(user)
    fit(build, "motor", part_of("motor", user, mass_g=33.0))
    fit(build, "propeller", part_of("propeller", user))
    snapshot = take_snapshot(build, viewer=user)
    place = snapshot.at(key)
    spare = part_of(place.kind, user, mass_g=77.0)
    record = part_records(Part.objects.filter(pk=spare.pk))[spare.pk]
    changed_values = {
        name: replace(value, value=value.value * 1.25)
        for name, value in record.values.items()
        if isinstance(value.value, float)
    }
    changed = replace(record, values={**record.values, **changed_values})
    after = figures_of(snapshot.with_part(place.id, changed))
    taken_over = unmoved_figures(figures_of(snapshot), place.kind)
    assert taken_over == {name: after[name] for name in taken_over}


FINDING = Finding("fit.too_wide", Level.CAUTION, "12 mm in 10 mm", "Take a narrower one.")


def test_the_same_finding_with_other_numbers_is_not_new():
    assert compare([FINDING], [replace(FINDING, message="13 mm in 10 mm")]) == ()


def test_the_same_finding_at_a_graver_level_is_new():
    graver = replace(FINDING, level=Level.WARNING)
    assert compare([FINDING], [graver]) == (graver,)


def test_the_same_finding_at_another_position_is_new():
    elsewhere = replace(FINDING, position="servo-left")
    assert compare([FINDING], [FINDING, elsewhere]) == (elsewhere,)


def test_a_second_finding_of_the_same_rule_is_new():
    assert compare([FINDING], [FINDING, FINDING]) == (FINDING,)


def test_a_candidate_carries_the_record_that_was_judged(build, user):
    motor = part_of("motor", user, mass_g=33.6)
    record = part_records(Part.objects.filter(pk=motor.pk))[motor.pk]
    assert spares_for(build, "motor").candidates[0].record == record


def test_a_part_to_fit_at_once_comes_before_a_lighter_one_to_be_claimed_first(build, user):
    club = ClubFactory()
    MembershipFactory(user=user, club=club)
    light = part_of("motor", club, mass_g=33.0)
    own = part_of("motor", user, mass_g=36.0)
    assert codes(spares_for(build, "motor").candidates) == [own.code, light.code]


def test_a_clubs_part_without_findings_comes_before_ones_own_with_some(build, user):
    club = ClubFactory()
    MembershipFactory(user=user, club=club)
    sound = part_of("motor", club, mass_g=36.0)
    suspect = part_of("motor", user, mass_g=33.0, condition="suspect")
    assert codes(spares_for(build, "motor").candidates) == [sound.code, suspect.code]


def weak_controllers(owner, number, **values):
    first = part_of("speed_controller", owner, sheet__cells_min=1, sheet__cells_max=2, **values)
    return [first, *(PartFactory(sheet=first.sheet, person=owner) for _ in range(number - 1))]


def test_spares_of_one_data_sheet_fall_out_together_and_are_counted_by_rule(user):
    build = whole_wing(user)
    weak_controllers(user, 5)
    search = spares_for(build, "controller")
    assert [one.count for one in search.rejected] == [5]
    counts = {one.rule: one.count for one in search.fallen}
    assert counts["electrical.wrong_cell_count"] == 5


def test_one_whose_own_figures_were_measured_does_not_fall_out_with_its_data_sheet(user):
    build = whole_wing(user)
    *_, measured = weak_controllers(user, 3)
    measured.measurements.create(name="cells_max", value=4, by=user)
    search = spares_for(build, "controller")
    assert codes(search.candidates) == [measured.code]
    assert [one.count for one in search.rejected] == [2]


def test_the_best_of_every_data_sheet_is_judged_before_more_of_any(build, user, monkeypatch):
    monkeypatch.setattr("builds.spares.CONSIDERED", 2)
    light = part_of("motor", user, mass_g=33.0)
    PartFactory(sheet=light.sheet, person=user, mass_g=34.0)
    heavy = part_of("motor", user, mass_g=36.0)
    search = spares_for(build, "motor")
    assert (codes(search.candidates), search.has_more) == ([light.code, heavy.code], True)


def test_marks_a_spare_of_the_same_figures_as_what_is_in_the_place(build, user):
    fitted = part_of("motor", user)
    fit(build, "motor", fitted)
    PartFactory(sheet=fitted.sheet, person=user)
    part_of("motor", user, sheet__mass_g=61.0)
    found = spares_for(build, "motor").candidates
    assert sorted(one.is_alike for one in found) == [False, True]


def test_what_may_not_be_seen_is_not_counted_either(user):
    build = whole_wing(user)
    weak_controllers(user, 2)
    weak_controllers(UserFactory(), 4)
    assert [one.count for one in spares_for(build, "controller").rejected] == [2]
