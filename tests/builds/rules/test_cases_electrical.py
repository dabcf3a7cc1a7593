"""The worked cases of power, signals, ports and video, one by one."""

import pytest

from tests.builds.records_builder import aircraft, judge, with_part, with_place
from tests.builds.rules.cases_electrical import CASES


def changed(case):
    build = aircraft(**case.build)
    for key, values in case.parts.items():
        build = with_part(build, key, **values)
    for key, values in case.places.items():
        build = with_place(build, key, **values)
    return build


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_a_worked_case_is_judged_as_an_expert_would(case):
    found = judge(case.rule, changed(case), **case.figures).findings
    if case.level is None:
        assert found == ()
        return
    assert {one.level.label for one in found} == {case.level}
    numbers = dict(found[0].numbers)
    for name, value in case.numbers.items():
        is_measure = isinstance(value, float)
        assert numbers[name] == (pytest.approx(value, rel=2e-3) if is_measure else value)


def test_every_case_names_its_source():
    assert all(case.source for case in CASES)
