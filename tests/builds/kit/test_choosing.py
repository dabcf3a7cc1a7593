"""The kit that completes a build: from the demo's boxes, whose answer was found by trying all.

The expected kit was found by an exhaustive search outside the project.
"""

from __future__ import annotations

import pytest
from django.core.management import call_command
from django.urls import reverse

from builds.kit.choosing import AIMS, MEMBERS, OWN, POOL, Asked, choose_kit
from builds.kit.judging import is_barring
from builds.models import Build, Fitting
from builds.operations.kit import claim_kit, fit_kit
from hangar import demo
from hangar.clubs.models import User
from hangar.errors import Conflict, UserError
from inventory.models import Claim, Part
from inventory.operations import claim_part

pytestmark = pytest.mark.django_db
KIT = {
    "SV-21",
    "SV-41",
    "MT-31",
    "ES-41",
    "FC-31",
    "RX-41",
    "CM-41",
    "VT-31",
    "AN-31",
    "PR-31",
    "GP-31",
    "PK-10",
}
TIME_S = 20


@pytest.fixture(scope="module", autouse=True)
def _demo(django_db_setup, django_db_blocker):
    with django_db_blocker.unblock():
        demo.load()
    yield
    with django_db_blocker.unblock():
        call_command("flush", verbosity=0, interactive=False)


def builder():
    return User.objects.get(username="builder")


def trainer():
    return Build.objects.select_related("club").get(name__startswith="A5")


def found(*sources, aims=("mass",)):
    return choose_kit(trainer(), Asked(aims, sources, time_s=TIME_S), viewer=builder())


@pytest.fixture(scope="module")
def both(_demo, django_db_blocker):
    with django_db_blocker.unblock():
        return found(OWN, POOL, MEMBERS, aims=tuple(AIMS))


def names(kit):
    return {one.part.name.split()[0] for one in kit.chosen}


def test_the_own_box_alone_does_not_complete_the_trainer():
    answer = found(OWN)
    assert answer.state == "impossible"
    assert {place.key for place in answer.clash} == {"camera", "video_unit"}
    assert [rule for rule, _ in answer.reasons] == ["video.camera_of_another_system"]


def test_the_pool_alone_does_not_complete_the_trainer():
    answer = found(POOL)
    assert answer.state == "impossible"
    assert [place.key for place in answer.clash] == ["gps"]


def test_box_and_pool_together_complete_it_in_exactly_one_way(both):
    answer = both
    assert answer.state == "optimal"
    assert names(answer.kit) == KIT
    assert (answer.alternatives, answer.is_all) == ((), True)


def test_the_kit_is_judged_anew_and_nothing_bars_it(both):
    report = both.kit.report
    assert not any(map(is_barring, report.judgement.findings))
    assert report.figures["empty_g"].value == pytest.approx(509.6, abs=0.05)
    assert report.figures["auw_g"].value == pytest.approx(723.6, abs=0.05)
    assert report.figures["pack_x_wanted_mm"].value == pytest.approx(95.3, abs=0.05)
    assert report.figures["current_max_a"].value == pytest.approx(27.2, rel=0.02)


def test_all_that_is_anothers_is_claimed_and_then_all_is_fitted(both):
    build, by = trainer(), builder()
    kit = both.kit.part_ids
    assert claim_kit(build, kit, by=by) == 5
    assert fit_kit(build, kit, by=by) == 12
    assert Fitting.objects.open().filter(build=build, part__in=kit.values()).count() == 12


def test_nothing_is_claimed_when_one_part_has_gone_meanwhile(both):
    build, by = trainer(), builder()
    kit = both.kit.part_ids
    gone = Part.objects.get(name__startswith="PK-10 ")
    claim_part(gone, by=User.objects.get(username="newcomer"))
    before = Claim.objects.count()
    with pytest.raises(Conflict, match="PK-10"):
        claim_kit(build, kit, by=by)
    assert Claim.objects.count() == before


def test_a_build_without_an_open_position_is_told_so():
    build = Build.objects.select_related("club").get(name__startswith="A1")
    with pytest.raises(UserError, match="No required position"):
        choose_kit(build, Asked(), viewer=builder())


def test_the_page_asks_a_constant_number_of_questions(client, django_assert_max_num_queries):
    client.force_login(builder())
    with django_assert_max_num_queries(16):
        page = client.get(
            reverse("builds:kit", args=[trainer().pk]),
            {"first": "mass", "own": "on", "time_s": 10},
        )
    assert b"Camera" in page.content
