"""Two people who apply what-ifs at once: one build gets the part, the other stays as it was."""

import pytest

from builds.models import Fitting
from builds.operations.variants import create_variant
from hangar.clubs.models import Role
from tests.factories import BuildFactory, ClubFactory, member_of, part_of
from tests.test_two_at_once import (
    ROUNDS,
    Person,
    _threads_take_short_turns,  # noqa: F401 - the same turns here
    assert_records_agree,
    assert_says_why,
    at_once,
    pool_of_two,
    texts,
)

pytestmark = pytest.mark.django_db(transaction=True)


def asks(person, variant, verb):
    return lambda: person.post(f"variants/{variant.pk}/{verb}", {})


def builds_with_parts():
    """The build of each part that is fitted now, airframes apart."""
    fitted = Fitting.objects.open().exclude(part__kind="airframe")
    return list(fitted.values_list("build", flat=True))


def winner_of(answers):
    """The place of the one answer that is 200; the other says why."""
    statuses = [answer.status_code for answer in answers]
    assert sorted(statuses) == [200, 409], texts(answers)
    winner = statuses.index(200)
    assert_says_why(answers[1 - winner], 409)
    return winner


def with_motor(build, person, motor):
    change = {"position": build.positions.get(key="motor"), "part": motor}
    servo = {
        "position": build.positions.get(key="servo-left"),
        "part": part_of("servo", person.user),
    }
    return create_variant(build, by=person.user, name="motor", changes=[change, servo])


def test_of_two_variants_with_the_same_motor_one_is_applied_whole_and_the_other_not_at_all():
    club, people, builds = pool_of_two()
    motor = part_of("motor", club)
    variants = [
        with_motor(build, person, motor) for build, person in zip(builds, people, strict=True)
    ]
    wins = set()
    for _ in range(ROUNDS):
        answers = at_once(
            *(asks(person, one, "apply") for person, one in zip(people, variants, strict=True))
        )
        winner = winner_of(answers)
        wins.add(winner)
        assert_records_agree(motor)
        assert builds_with_parts() == [builds[winner].pk] * 2
        assert people[winner].post(f"variants/{variants[winner].pk}/undo", {}).status_code == 200
        assert builds_with_parts() == []
    assert wins == {0, 1}


@pytest.mark.parametrize(("verb", "back"), [("apply", "undo"), ("undo", "apply")])
def test_of_two_who_do_the_same_to_a_variant_one_does(verb, back):
    club = ClubFactory()
    people = [Person(member_of(club, Role.KEEPER)) for _ in range(2)]
    build = BuildFactory(club=club)
    motor = part_of("motor", club)
    change = {"position": build.positions.get(key="motor"), "part": motor}
    variant = create_variant(build, by=people[0].user, name="motor", changes=[change])
    if verb == "undo":
        asks(people[0], variant, back)()
    wins = set()
    for _ in range(ROUNDS):
        winner = winner_of(at_once(*(asks(person, variant, verb) for person in people)))
        wins.add(winner)
        assert_records_agree(motor)
        assert asks(people[winner], variant, back)().status_code == 200
    assert wins == {0, 1}
    build.refresh_from_db()
    assert build.revisions.count() == build.revision
