"""Answers to findings: accepted for a reason, ended by a change, taken back."""

import pytest

from builds.answers import AnswerState, answered
from builds.models import Answer, Build
from builds.operations import change_position, fit_part
from builds.operations.answers import accept_findings, withdraw_answer
from builds.reports import report_on
from hangar.errors import Conflict, Missing, UserError
from tests.factories import BuildFactory, ClubFactory, member_of, part_of

EMPTY = "records.required_place_empty"
LOOSE = "fit.camera_loose_in_slot"
CELLS = "electrical.wrong_cell_count"


def loaded(build):
    return Build.objects.select_related("club").get(pk=build.pk)


@pytest.fixture
def build(user):
    """A build whose camera is narrower than its slot."""
    made = BuildFactory(person=user)
    slot = made.positions.get(key="camera")
    change_position(slot, by=user, width_mm=21.0)
    fit_part(slot, part_of("camera", user, sheet__width_mm=19.0), by=user)
    return loaded(made)


def accept(build, rule=LOOSE, place="camera", *, by=None, digest="", **changes):
    values = {"reason": "Foam tape holds it."} | changes
    (made,) = accept_findings(
        build, by=by or build.person, rule=rule, places={place: digest}, **values
    )
    return made


def holding(build, viewer):
    return answered(build, report_on(build, viewer=viewer))


def test_an_accepted_finding_holds_its_reason_who_and_when(build, user):
    made = accept(build)
    (finding,) = [f for f in report_on(build, viewer=user).judgement.findings if f.rule == LOOSE]
    found = holding(build, user).answer_to(finding)
    assert (found, found.reason, found.by) == (made, "Foam tape holds it.", user)
    assert (found.level, found.message) == ("note", finding.message)


def test_an_answer_ends_by_itself_when_an_input_changes(build, user):
    made = accept(build)
    change_position(build.positions.get(key="camera"), by=user, width_mm=22.0)
    now = holding(loaded(build), user)
    assert now.answers == {}
    assert now.state_of(made, made.pack_id) is AnswerState.ENDED


def test_an_ended_answer_can_be_followed_by_another(build, user):
    accept(build)
    change_position(build.positions.get(key="camera"), by=user, width_mm=22.0)
    second = accept(loaded(build), reason="Still held.")
    assert holding(loaded(build), user).answers == {(LOOSE, "camera"): second}
    assert Answer.objects.filter(build=build).count() == 2


def test_an_answer_outlives_a_change_of_something_else(build, user):
    made = accept(build)
    fit_part(build.positions.get(key="motor"), part_of("motor", user), by=user)
    assert holding(loaded(build), user).answers == {(LOOSE, "camera"): made}


def test_an_answer_that_is_taken_back_holds_no_more_and_stays_on_record(build, user):
    made = withdraw_answer(accept(build), by=user)
    assert (made.withdrawn_by, made.withdrawn_at is None) == (user, False)
    now = holding(build, user)
    assert now.answers == {}
    assert now.state_of(made, made.pack_id) is AnswerState.WITHDRAWN


def test_an_answer_is_taken_back_once(build, user):
    made = withdraw_answer(accept(build), by=user)
    with pytest.raises(Conflict, match="already"):
        withdraw_answer(made, by=user)


def test_of_two_who_accept_the_same_the_second_reads_why_not(build):
    accept(build)
    with pytest.raises(Conflict, match="already"):
        accept(build)
    assert Answer.objects.count() == 1


def test_what_has_changed_since_it_was_read_is_not_accepted(build):
    with pytest.raises(Conflict, match="changed since"):
        accept(build, digest="0" * 32)


def test_what_no_rule_finds_is_not_accepted(build):
    with pytest.raises(Conflict, match="finds nothing"):
        accept(build, place="motor")


def test_a_final_warning_is_refused_with_the_reason(build, user):
    fit_part(build.positions.get(key="pack"), part_of("pack", user, sheet__cell_count=12), by=user)
    fit_part(
        build.positions.get(key="controller"),
        part_of("speed_controller", user, sheet__cells_max=4),
        by=user,
    )
    with pytest.raises(Conflict, match="put right"):
        accept(loaded(build), CELLS, "controller")


@pytest.mark.parametrize("reason", ["", "   ", "\u200b", "x" * 301])
def test_a_reason_has_visible_words_and_an_end(build, reason):
    with pytest.raises(UserError) as refused:
        accept(build, reason=reason)
    assert refused.value.field == "reason"


def test_an_unknown_rule_is_refused(build):
    with pytest.raises(UserError) as refused:
        accept(build, "no.such")
    assert refused.value.field == "rule"


def test_of_several_places_all_are_accepted_or_none(build, user):
    with pytest.raises(Conflict):
        accept_findings(
            build, by=user, rule=LOOSE, places={"camera": "", "motor": ""}, reason="Held."
        )
    assert not Answer.objects.exists()


def test_who_may_only_see_a_build_accepts_nothing(db):
    club = ClubFactory()
    build = loaded(BuildFactory(club=club))
    with pytest.raises(Missing):
        accept(build, EMPTY, "", by=member_of(club))


def test_an_answer_given_with_another_pack_is_told_so(build, user):
    made = accept(build, EMPTY, "", pack=part_of("pack", user))
    fit_part(build.positions.get(key="receiver"), part_of("receiver", user), by=user)
    now = holding(loaded(build), user)
    assert now.state_of(made, None) is AnswerState.OF_ANOTHER_PACK


def test_the_database_refuses_a_second_standing_answer(build):
    made = accept(build)
    with pytest.raises(Exception, match="(?i)unique|one_standing_answer"):
        Answer.objects.create(
            build=build,
            rule=made.rule,
            position=made.position,
            digest=made.digest,
            level="note",
            message="x",
            reason="y",
            by=build.person,
        )
