from types import SimpleNamespace

import pytest
from django.contrib.auth.models import AnonymousUser
from django.template import Context, Template

NBSP = "\u00a0"


def _render(value, name, **context):
    source = "{% load measures %}{% measure value name %}"
    return Template(source).render(Context({"value": value, "name": name, **context}))


@pytest.mark.parametrize("context", [{}, {"user": AnonymousUser()}, {"user": None}])
def test_shows_grams_to_whom_we_do_not_know(context):
    assert _render(250.0, "mass_g", **context) == f"250{NBSP}g"


# NIST SP 811 (2008), appendix B.8: ounce (avoirdupois) 28.349523125 g; inch 25.4 mm, exact.
def test_shows_the_units_that_the_user_chose():
    user = SimpleNamespace(mass_unit="oz", length_unit="in")
    assert _render(28.349523125, "mass_g", user=user) == f"1{NBSP}oz"
    assert _render(254.0, "span_mm", user=user) == f"10{NBSP}in"


def test_takes_a_unit_in_place_of_a_column_name():
    assert _render(7.25, "min") == f"7.25{NBSP}min"


def test_says_that_a_value_is_not_known():
    assert _render(None, "mass_g") == "not known"


def test_a_name_without_a_unit_is_a_mistake_in_the_template():
    with pytest.raises(ValueError, match="'cells_min' ends in no unit"):
        _render(3, "cells_min")
