"""Fixtures that all tests may ask for."""

import pytest
from django.test import Client
from hypothesis import settings
from rest_framework.test import APIClient

from tests.factories import UserFactory

# A slow machine is no fault of the code.
settings.register_profile("unhurried", deadline=None)
settings.load_profile("unhurried")

BACKEND = "django.contrib.auth.backends.ModelBackend"


@pytest.fixture
def user(db):
    """A person with an account and nothing else."""
    return UserFactory()


@pytest.fixture
def client_of(db):
    """Give a page client of a person, signed in; of None, one of nobody."""

    def signed_in(person=None):
        client = Client()
        if person is not None:
            # With two backends Django must be told which one signs the person in.
            client.force_login(person, backend=BACKEND)
        return client

    return signed_in


@pytest.fixture
def api_of(db):
    """Give an API client of a person; of None, one of nobody."""

    def authenticated(person=None):
        client = APIClient()
        if person is not None:
            client.force_authenticate(person)
        return client

    return authenticated
