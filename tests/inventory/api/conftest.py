import pytest


@pytest.fixture
def api(api_of, user):
    """An API client of the person."""
    return api_of(user)
