"""What each rule reads, against what it declares: judging again rests on the declaration."""

from dataclasses import replace
from functools import cache

import pytest

import builds.rules  # noqa: F401
from builds.figures import figures_of
from builds.findings import RuleBook, book
from tests.builds.controls.surfaces import ELEVON, reading, wing
from tests.builds.findings.watching import reads_of, undeclared
from tests.builds.records_builder import aircraft, part, with_part, without
from tests.builds.rules.mutations import MUTATIONS


@cache
def samples():
    """Aircraft that lead the rules through many of their branches, with their figures."""
    whole = wing(replace(ELEVON, throws=(reading(up_mm=14.0, down_mm=14.0),)))
    builds = [whole, aircraft(), replace(whole, club_mass_line_g=250.0)]
    for place in whole.positions:
        if place.part is None:
            continue
        bare = part(place.kind, **dict.fromkeys(place.part.values))
        builds += [
            without(whole, place.key),
            whole.with_part(place.id, bare),
            with_part(whole, place.key, condition="suspect"),
        ]
    return [(build, figures_of(build)) for build in builds]


@pytest.mark.parametrize("rule", list(book), ids=lambda rule: rule.id)
def test_a_rule_reads_nothing_that_it_does_not_declare(rule):
    tried = [*samples(), *spoilt(rule)]
    reads = set().union(*(reads_of(rule, build, figures) for build, figures in tried))
    assert undeclared(rule, reads) == set()


def spoilt(rule):
    """An aircraft in which the rule has something to say, with its figures."""
    if rule.id not in MUTATIONS:
        return []
    build = MUTATIONS[rule.id].build()
    return [(build, figures_of(build))]


def sly_rule(function, **declared):
    made = RuleBook()
    made.rule(group="own", source="test", **declared)(function)
    (rule,) = made
    return rule


@pytest.mark.parametrize(
    ("kind", "name"),
    [("servo", "mass_g"), ("servo", "(the part itself)"), ("position", "x_mm"), ("figure", "x")],
)
def test_what_is_not_declared_is_told(kind, name):
    rule = sly_rule(lambda case: (), needs=["motor.kv_rpm_v"])
    assert undeclared(rule, {(kind, name)}) == {f"{kind}.{name}"}


def test_what_is_declared_is_not_told():
    rule = sly_rule(lambda case: (), each="servo", needs=["part.mass_g", "position.x_mm"])
    reads = {("servo", "mass_g"), ("servo", "(the part itself)"), ("position", "x_mm")}
    assert undeclared(rule, reads) == set()


def test_a_watched_build_remembers_what_a_rule_reads():
    build = aircraft()
    reads = reads_of(book["fit.camera_loose_in_slot"], build, figures_of(build))
    assert {("camera", "width_mm"), ("position", "width_mm")} <= reads
