"""Two people at once: one wins, the other reads why, and nothing is lost.

Every call goes through the API with a token, in a thread with a database connection of its own;
the threads start together at a barrier. The order in which they are started alternates and each
waits a random moment, so that either may win.
"""

import random
import sys
import threading
import time
import uuid
from concurrent.futures import ThreadPoolExecutor

import pytest
from django.db import connection
from django.test import Client
from knox.models import AuthToken

import builds.rules  # noqa: F401 - fills the book
from builds.findings import book
from builds.models import Fitting
from hangar.clubs.models import Invitation, Membership, Role
from inventory.models import Claim, Loan, LogEntry
from tests.factories import (
    BuildFactory,
    ClubFactory,
    InvitationFactory,
    UserFactory,
    member_of,
    part_of,
)

pytestmark = pytest.mark.django_db(transaction=True)

FITTING_ROUNDS = 200
ROUNDS = 30
HEAD_START_S = 0.004
WAIT_S = 30


@pytest.fixture(autouse=True)
def _threads_take_short_turns():
    usual = sys.getswitchinterval()
    sys.setswitchinterval(0.0002)
    yield
    sys.setswitchinterval(usual)


class Person:
    """Someone with a token who calls the API."""

    def __init__(self, user):
        self.user = user
        _, token = AuthToken.objects.create(user)
        self.client = Client(headers={"authorization": f"Bearer {token}"})

    def post(self, path, body):
        return self.client.post(f"/api/v1/{path}/", body, content_type="application/json")

    def delete(self, path):
        return self.client.delete(f"/api/v1/{path}/")


def at_once(*calls):
    """Make the calls at the same moment; gives their answers in the order of the calls."""
    barrier = threading.Barrier(len(calls))

    def wait_and_call(call, moment):
        try:
            barrier.wait(WAIT_S)
            time.sleep(moment)
            return call()
        finally:
            connection.close()

    order = random.sample(range(len(calls)), len(calls))
    moments = [random.uniform(0, HEAD_START_S) for _ in calls]
    with ThreadPoolExecutor(len(calls)) as pool:
        started = {
            place: pool.submit(wait_and_call, calls[place], moments[place]) for place in order
        }
        return [started[place].result(WAIT_S) for place in range(len(calls))]


def winner_of(answers, *, refused=409):
    """The place of the one answer that is 201; each other one is a problem that says why."""
    statuses = [answer.status_code for answer in answers]
    assert sorted(statuses) == sorted([201, *[refused] * (len(answers) - 1)]), texts(answers)
    for answer in answers:
        if answer.status_code != 201:
            assert_says_why(answer, refused)
    return statuses.index(201)


def assert_says_why(answer, status):
    assert answer["Content-Type"] == "application/problem+json"
    problem = answer.json()
    assert problem["status"] == status
    assert len(problem["detail"]) > 20


def texts(answers):
    return [(answer.status_code, answer.content.decode()[:300]) for answer in answers]


def events_of(part, verb):
    return part.events.filter(verb=verb).count()


def pool_of_two():
    """A club with two keepers who have a build of their own each."""
    club = ClubFactory()
    people = [Person(member_of(club, Role.KEEPER)) for _ in range(2)]
    return club, people, [BuildFactory(person=person.user) for person in people]


def fits(person, build, position, part, quantity=1):
    body = {"position": position.pk, "part": part.code, "quantity": quantity}
    return lambda: person.post(f"builds/{build.pk}/fittings", body)


def assert_records_agree(part):
    """The count on the part, its open fittings and its history tell the same."""
    part.refresh_from_db()
    still_fitted = sum(Fitting.objects.open().filter(part=part).values_list("quantity", flat=True))
    assert part.fitted_count == still_fitted
    assert part.has_free == (still_fitted < part.count)
    assert events_of(part, "fitted") == Fitting.objects.filter(part=part).count()
    assert events_of(part, "removed") == part.fittings.filter(removed_at__isnull=False).count()


# One part, two aircraft


def test_of_two_people_who_fit_the_same_part_one_wins_each_of_200_times():
    club, people, builds = pool_of_two()
    servo = part_of("servo", club)
    positions = [build.positions.get(key="servo-left") for build in builds]
    wins = [0, 0]
    for _ in range(FITTING_ROUNDS):
        answers = at_once(
            *(
                fits(person, build, position, servo)
                for person, build, position in zip(people, builds, positions, strict=True)
            )
        )
        winner = winner_of(answers)
        wins[winner] += 1
        assert_records_agree(servo)
        assert Fitting.objects.open().get(part=servo).build == builds[winner]
        fitting = answers[winner].json()["id"]
        gone = people[winner].delete(f"builds/{builds[winner].pk}/fittings/{fitting}")
        assert gone.status_code == 204
    assert_records_agree(servo)
    assert sum(wins) == Fitting.objects.filter(part=servo).count() == FITTING_ROUNDS
    assert min(wins) > 0, f"never a race: {wins}"
    for build, won in zip(builds, wins, strict=True):
        build.refresh_from_db()
        assert build.revisions.count() == build.revision
        assert build.revisions.filter(text__startswith=f"Fitted {servo}").count() == won


def test_of_two_parts_for_one_position_one_gets_it():
    club = ClubFactory()
    people = [Person(member_of(club, Role.KEEPER)) for _ in range(2)]
    build = BuildFactory(club=club)
    position = build.positions.get(key="motor")
    motors = [part_of("motor", club) for _ in people]
    wins = set()
    for _ in range(ROUNDS):
        answers = at_once(
            *(
                fits(person, build, position, motor)
                for person, motor in zip(people, motors, strict=True)
            )
        )
        winner = winner_of(answers)
        wins.add(winner)
        assert Fitting.objects.open().get(position=position).part == motors[winner]
        for motor in motors:
            assert_records_agree(motor)
        people[winner].delete(f"builds/{build.pk}/fittings/{answers[winner].json()['id']}")
    assert wins == {0, 1}


def test_of_two_who_take_out_the_same_part_one_does():
    club = ClubFactory()
    people = [Person(member_of(club, Role.KEEPER)) for _ in range(2)]
    build = BuildFactory(club=club)
    motor = part_of("motor", club)
    for _ in range(ROUNDS):
        made = fits(people[0], build, build.positions.get(key="motor"), motor)().json()
        path = f"builds/{build.pk}/fittings/{made['id']}"
        answers = at_once(*(lambda p=person, to=path: p.delete(to) for person in people))
        assert sorted(answer.status_code for answer in answers) == [204, 409], texts(answers)
        assert_records_agree(motor)
        assert motor.fitted_count == 0


# A bag with a count


def test_a_bag_of_five_gives_three_pieces_to_one_of_two():
    club, people, builds = pool_of_two()
    positions = [build.positions.get(key="propeller") for build in builds]
    wins = set()
    for _ in range(ROUNDS):
        bag = part_of("propeller", club, is_bag=True, count=5)
        calls = [
            fits(person, build, position, bag, 3)
            for person, build, position in zip(people, builds, positions, strict=True)
        ]
        answers = at_once(*calls)
        winner = winner_of(answers)
        wins.add(winner)
        assert_records_agree(bag)
        assert bag.fitted_count == 3
        people[winner].delete(f"builds/{builds[winner].pk}/fittings/{answers[winner].json()['id']}")
    assert wins == {0, 1}


def test_a_bag_gives_no_more_than_it_holds_to_eight_at_once():
    club = ClubFactory()
    people = [Person(member_of(club, Role.KEEPER)) for _ in range(8)]
    builds = [BuildFactory(person=person.user) for person in people]
    bag = part_of("propeller", club, is_bag=True, count=7)
    answers = at_once(
        *(
            fits(person, build, build.positions.get(key="propeller"), bag, 2)
            for person, build in zip(people, builds, strict=True)
        )
    )
    assert sorted(answer.status_code for answer in answers) == [201] * 3 + [409] * 5, texts(answers)
    assert_records_agree(bag)
    assert bag.fitted_count == 6


def test_a_count_is_not_lowered_below_what_another_fits_meanwhile():
    club, people, builds = pool_of_two()
    position = builds[0].positions.get(key="propeller")
    for _ in range(ROUNDS):
        bag = part_of("propeller", club, is_bag=True, count=4)
        lower = {"count": 1}
        fitted, changed = at_once(
            fits(people[0], builds[0], position, bag, 3),
            lambda bag=bag, body=lower: people[1].client.patch(
                f"/api/v1/parts/{bag.code}/", body, content_type="application/json"
            ),
        )
        assert {fitted.status_code, changed.status_code} in ({201, 409}, {409, 200}), texts(
            [fitted, changed]
        )
        assert_records_agree(bag)
        assert bag.fitted_count <= bag.count
        if fitted.status_code == 201:
            people[0].delete(f"builds/{builds[0].pk}/fittings/{fitted.json()['id']}")


# Claims, loans and the same thing from two sides


def test_of_two_claims_on_one_part_one_stands():
    club = ClubFactory()
    people = [Person(member_of(club)) for _ in range(2)]
    wins = set()
    for _ in range(ROUNDS):
        part = part_of("gps", club)
        body = {"part": part.code, "purpose": "the new wing"}
        answers = at_once(*(lambda p=person, b=body: p.post("claims", b) for person in people))
        winner = winner_of(answers)
        wins.add(winner)
        assert Claim.objects.open().get(part=part).claimant == people[winner].user
        assert events_of(part, "claimed") == 1
    assert wins == {0, 1}


def test_of_two_loans_of_one_part_one_stands():
    club = ClubFactory()
    keepers = [Person(member_of(club, Role.KEEPER)) for _ in range(2)]
    borrowers = [member_of(club) for _ in keepers]
    wins = set()
    for _ in range(ROUNDS):
        part = part_of("gps", club)
        answers = at_once(
            *(
                lambda k=keeper, body={"part": part.code, "borrower": borrower.username}: k.post(
                    "loans", body
                )
                for keeper, borrower in zip(keepers, borrowers, strict=True)
            )
        )
        winner = winner_of(answers)
        wins.add(winner)
        assert Loan.objects.open().get(part=part).borrower == borrowers[winner]
        assert events_of(part, "lent") == 1
    assert wins == {0, 1}


def test_a_part_is_not_lent_away_while_it_goes_into_an_aircraft():
    club, people, builds = pool_of_two()
    borrower = member_of(club)
    position = builds[0].positions.get(key="motor")
    for _ in range(ROUNDS):
        motor = part_of("motor", club)
        body = {"part": motor.code, "borrower": borrower.username}
        answers = at_once(
            fits(people[0], builds[0], position, motor),
            lambda body=body: people[1].post("loans", body),
        )
        winner_of(answers)
        assert_records_agree(motor)
        assert motor.fitted_count + Loan.objects.open().filter(part=motor).count() == 1
        if motor.fitted_count:
            people[0].delete(f"builds/{builds[0].pk}/fittings/{answers[0].json()['id']}")


# Joining a club


def test_of_two_who_take_a_one_use_invitation_one_joins():
    wins = set()
    people = [Person(UserFactory()) for _ in range(2)]
    for _ in range(ROUNDS):
        invitation = InvitationFactory(uses_max=1)
        path = f"invitations/{invitation.token}/accept"
        answers = at_once(*(lambda p=person, to=path: p.post(to, {}) for person in people))
        # What is used up is answered as what never was.
        winner = winner_of(answers, refused=404)
        wins.add(winner)
        assert Membership.objects.get(club=invitation.club).user == people[winner].user
        assert Invitation.objects.get(pk=invitation.pk).uses == 1
    assert wins == {0, 1}


def test_one_person_who_joins_twice_at_once_joins_once_and_uses_one_place():
    person = UserFactory()
    browsers = [Person(person), Person(person)]
    for _ in range(ROUNDS):
        invitation = InvitationFactory(uses_max=5)
        path = f"invitations/{invitation.token}/accept"
        winner_of(at_once(*(lambda b=browser, to=path: b.post(to, {}) for browser in browsers)))
        assert Membership.objects.filter(club=invitation.club, user=person).count() == 1
        assert Invitation.objects.get(pk=invitation.pk).uses == 1


# A phone that sends again


def test_an_entry_sent_twice_at_once_is_logged_once():
    owner = UserFactory()
    phones = [Person(owner), Person(owner)]
    pack = part_of("pack", owner)
    body = {"kind": "use", "charge_mah": 900, "started_at": "2024-05-04T10:00:00Z"}
    for _ in range(ROUNDS):
        address = f"/api/v1/packs/{pack.code}/log/{uuid.uuid4()}/"
        answers = at_once(
            *(
                lambda p=phone, to=address: p.client.put(to, body, content_type="application/json")
                for phone in phones
            )
        )
        assert {answer.status_code for answer in answers} <= {200, 201}, texts(answers)
    assert LogEntry.objects.filter(pack=pack).count() == ROUNDS
    assert events_of(pack, "logged") == ROUNDS


def test_of_two_who_accept_one_finding_one_answer_stands():
    club = ClubFactory()
    keepers = [Person(member_of(club, Role.KEEPER)) for _ in range(2)]
    body = {"rule": "records.required_place_empty", "reason": "It flies without."}
    for _ in range(ROUNDS // 3):
        build = BuildFactory(club=club)
        path = f"builds/{build.pk}/answers"
        answers = at_once(*(lambda p=one, to=path: p.post(to, body) for one in keepers))
        won = winner_of(answers)
        assert build.answers.get().by == keepers[won].user


def test_of_two_officers_who_set_one_limit_the_second_reads_of_the_first():
    rule, limit = next((rule, limit) for rule in book for limit in rule.limits)
    body = {"rule": rule.id, "name": limit.name, "value": limit.value, "instead_of": 0}
    for _ in range(ROUNDS // 3):
        club = ClubFactory()
        officers = [Person(member_of(club, Role.OFFICER)) for _ in range(2)]
        path = f"clubs/{club.slug}/rule-limits"
        answers = at_once(*(lambda p=one, to=path: p.post(to, body) for one in officers))
        won = winner_of(answers)
        assert club.rule_limits.get().by == officers[won].user
