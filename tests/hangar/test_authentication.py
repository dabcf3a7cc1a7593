from datetime import timedelta

import pytest
from django.test import Client
from knox.models import AuthToken

pytestmark = pytest.mark.django_db


def me_by_key(token):
    return Client(headers={"authorization": f"Bearer {token}"}).get("/api/v1/me/")


def ended_key(user):
    return AuthToken.objects.create(user, expiry=timedelta(seconds=-1))


def test_a_key_lets_its_owner_in_with_one_query(user, django_assert_num_queries):
    _, token = AuthToken.objects.create(user)
    with django_assert_num_queries(1):
        answer = me_by_key(token)
    assert answer.json()["name"] == user.username


def test_a_key_without_an_end_lets_its_owner_in(user):
    _, token = AuthToken.objects.create(user, expiry=None)
    assert me_by_key(token).status_code == 200


def test_a_key_that_has_ended_lets_nobody_in(user):
    _, token = ended_key(user)
    assert me_by_key(token).status_code == 401


def test_a_request_deletes_no_other_key(user):
    ended_key(user)
    _, token = AuthToken.objects.create(user)
    me_by_key(token)
    assert AuthToken.objects.filter(user=user).count() == 2
