"""A build's figures and findings in one call."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from builds.findings import book
from builds.models import Build
from builds.operations import fit_part
from builds.reports import report_of, report_on
from tests.factories import BuildFactory, PositionFactory, part_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def build(user):
    return BuildFactory(person=user)


def report(build, **options):
    return report_on(Build.objects.select_related("club").get(pk=build.pk), **options)


def test_report_holds_what_is_fitted_what_it_weighs_and_what_the_rules_say(user, build):
    found = report(build, viewer=user)
    assert found.snapshot.airframe.kind == "airframe"
    assert found.figures["empty_g"].value == pytest.approx(158.0)
    assert found.judgement == book.judge(found.snapshot, found.figures)


def test_report_with_another_pack_counts_that_pack(user, build):
    pack = part_of("pack", user, mass_g=205.0)
    without, with_pack = report(build), report(build, pack=pack)
    assert with_pack.snapshot.pack.id == pack.pk
    assert with_pack.figures["auw_g"].value - without.figures["auw_g"].value == pytest.approx(205)


def test_report_of_a_record_asks_the_database_nothing(build, django_assert_num_queries):
    snapshot = report(build).snapshot
    with django_assert_num_queries(0):
        assert dict(report_of(snapshot).figures)


def test_report_takes_as_many_queries_for_many_parts_as_for_few(user, build):
    def queries():
        with CaptureQueriesContext(connection) as context:
            dict(report(build, viewer=user).figures)
        return len(context)

    few = queries()
    for number in range(20):
        place = PositionFactory(build=build, key=f"more-{number}", kind="servo")
        fit_part(place, part_of("servo", user, mass_g=9.0), by=user)
    assert queries() == few
