"""Limits of data sheets the wrong way round, cell voltages out of order, maxima of nothing."""

import pytest
from django.core.exceptions import ValidationError

from inventory.kinds import DataSheet
from tests.factories import UserFactory

pytestmark = pytest.mark.django_db


def faults_of(kind, **values):
    sheet = DataSheet.registry[kind](name="any", person=UserFactory(), **values)
    try:
        sheet.full_clean()
    except ValidationError as error:
        return set(error.message_dict)
    return set()


def limits():
    for kind, sheet in sorted(DataSheet.registry.items()):
        names = {field.name for field in sheet._meta.fields}
        for low in sorted(names):
            high = low.replace("_min_", "_max_") if "_min_" in low else low.replace("_min", "_max")
            if low != high and high in names:
                yield kind, low, high


@pytest.mark.parametrize(("kind", "low", "high"), list(limits()))
def test_limits_the_wrong_way_round_are_refused_at_both(kind, low, high):
    assert faults_of(kind, **{low: 4, high: 3}) == {low, high}
    assert faults_of(kind, **{low: 3, high: 3}) == set()
    assert faults_of(kind, **{low: 4}) == set()


@pytest.mark.parametrize(
    ("values", "field"),
    [
        ({"cell_min_v": 3.7, "cell_nominal_v": 3.7, "cell_full_v": 4.2}, "cell_nominal_v"),
        ({"cell_min_v": 3.2, "cell_nominal_v": 4.3, "cell_full_v": 4.2}, "cell_full_v"),
        ({"cell_min_v": 4.3, "cell_full_v": 4.2}, "cell_full_v"),
        ({"cell_count": 0}, "cell_count"),
        ({"capacity_mah": 0}, "capacity_mah"),
        ({"mass_g": 0}, "mass_g"),
    ],
)
def test_a_pack_that_cannot_be_is_refused_at_its_figure(values, field):
    assert faults_of("pack", **values) == {field}


def test_a_pack_as_they_are_is_taken():
    values = {"cell_min_v": 3.2, "cell_nominal_v": 3.7, "cell_full_v": 4.2, "cell_count": 1}
    assert faults_of("pack", **values) == set()


@pytest.mark.parametrize(
    ("kind", "field"),
    [("motor", "power_max_w"), ("motor", "cells_max"), ("servo", "voltage_max_v")],
)
def test_a_maximum_of_nothing_is_refused(kind, field):
    assert faults_of(kind, **{field: 0}) == {field}
