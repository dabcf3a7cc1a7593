"""Every action on a part in every state does what the table says."""

from datetime import timedelta

import pytest
from django.utils import timezone

from builds.operations import fit_part
from hangar.clubs.models import Role
from hangar.errors import UserError
from inventory import operations
from inventory.operations.pool.standing import states_of
from inventory.pool.states import ALL_STATES, Action, State, answer
from tests.factories import (
    BuildFactory,
    ClaimFactory,
    ClubFactory,
    LoanFactory,
    keeper_of,
    member_of,
    part_of,
)

pytestmark = pytest.mark.django_db
SOON = timezone.localdate() + timedelta(days=3)
LATER = timezone.localdate() + timedelta(days=9)


@pytest.fixture
def club():
    return ClubFactory()


def part_in(state, club, holder):
    """A servo of the club in that state; what is claimed or lent is so by the holder."""
    condition = {"suspect": "suspect", "retired": "retired"}.get(state, "good")
    part = part_of("servo", club, condition=condition)
    if state == State.CLAIMED:
        ClaimFactory(part=part, claimant=holder, until_on=SOON)
    if state == State.LENT:
        LoanFactory(part=part, borrower=holder, due_on=SOON)
    if state == State.FITTED:
        build = BuildFactory(club=club)
        fit_part(build.positions.get(key="servo-left"), part, by=keeper_of(club))
        part.refresh_from_db()
    return part


def extend(part, officer):
    loan, claim = part.loans.open().first(), part.claims.open().first()
    if loan:
        return operations.extend_loan(loan, due_on=LATER, by=officer)
    if claim:
        return operations.extend_claim(claim, until_on=LATER, by=officer)
    raise UserError("There is nothing to extend.")


def end_of(records, end):
    if not records:
        raise UserError("There is nothing to end.")
    return end(records[0])


def perform(action, part, *, person, officer, club):
    """Do it as an officer, to or by that person where one is concerned."""
    build = BuildFactory(club=club)
    position = build.positions.get(key="servo-right")
    does = {
        Action.OFFER: lambda: operations.offer_part(part, club=club, by=officer),
        Action.CLAIM: lambda: operations.claim_part(part, by=person),
        Action.QUEUE: lambda: operations.join_queue(part, by=member_of(club)),
        Action.RELEASE: lambda: end_of(
            list(part.claims.open()), lambda claim: operations.release_claim(claim, by=officer)
        ),
        Action.LEND: lambda: operations.lend_part(part, to=person, by=officer),
        Action.EXTEND: lambda: extend(part, officer),
        Action.TAKE_BACK: lambda: end_of(
            list(part.loans.open()),
            lambda loan: operations.return_loan(loan, by=officer, condition="good"),
        ),
        Action.TRANSFER: lambda: operations.transfer_part(part, by=officer, person=person),
        Action.LOSE: lambda: operations.report_lost(part, by=officer),
        Action.STOP: lambda: operations.take_out_of_service(part, reason="bent", by=officer),
        Action.FIT: lambda: fit_part(position, part, by=person),
        Action.RETIRE: lambda: operations.retire_part(part, by=officer),
    }
    return does[action]()


@pytest.mark.parametrize("state", ALL_STATES)
@pytest.mark.parametrize("action", Action)
def test_an_action_is_done_or_refused_as_the_table_says(action, state, club):
    officer, holder = member_of(club, Role.OFFICER), member_of(club, Role.KEEPER)
    part = part_in(state, club, holder)
    assert state in states_of(part)
    events = part.events.count()
    if answer(action, state).is_allowed:
        perform(action, part, person=holder, officer=officer, club=club)
        assert part.events.count() > events
        return
    with pytest.raises(UserError):
        perform(action, part, person=holder, officer=officer, club=club)
    assert part.events.count() == events


@pytest.mark.parametrize("state", [State.CLAIMED, State.LENT])
@pytest.mark.parametrize("action", [Action.CLAIM, Action.LEND, Action.FIT, Action.TRANSFER])
def test_what_is_for_one_person_is_refused_to_another(action, state, club):
    officer, other = member_of(club, Role.OFFICER), member_of(club, Role.KEEPER)
    part = part_in(state, club, member_of(club))
    with pytest.raises(UserError):
        perform(action, part, person=other, officer=officer, club=club)
