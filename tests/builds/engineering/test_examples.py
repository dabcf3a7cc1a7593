import doctest
import importlib
import pkgutil

import pytest

import builds.engineering

MODULES = sorted(
    found.name
    for found in pkgutil.walk_packages(builds.engineering.__path__, "builds.engineering.")
)


@pytest.mark.parametrize("name", MODULES)
def test_examples_in_docstrings_give_what_they_say(name):
    result = doctest.testmod(importlib.import_module(name))
    assert result.failed == 0


def test_there_are_examples_to_run():
    attempted = sum(doctest.testmod(importlib.import_module(name)).attempted for name in MODULES)
    assert attempted > 50
