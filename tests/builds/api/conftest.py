import pytest

from tests.factories import BuildFactory


@pytest.fixture
def api(api_of, user):
    """An API client of the person."""
    return api_of(user)


@pytest.fixture
def build(user):
    """A build of the person's, with its airframe."""
    return BuildFactory(person=user)
