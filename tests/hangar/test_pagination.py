"""Lists, on the rows of the user table."""

from urllib.parse import quote

import pytest
from django.contrib.auth import get_user_model
from rest_framework.exceptions import ValidationError
from rest_framework.request import Request
from rest_framework.test import APIRequestFactory

from hangar.pagination import KeysetPagination


class ByName:
    page_ordering = "username"


def page(query="", view=None):
    paginator = KeysetPagination()
    request = Request(APIRequestFactory().get(f"/{query}"))
    rows = paginator.paginate_queryset(get_user_model().objects.all(), request, view)
    return paginator.get_paginated_response([row.username for row in rows]).data


@pytest.fixture
def _five_users(db):
    for name in "dbace":
        get_user_model().objects.create_user(username=name)


@pytest.mark.usefixtures("_five_users")
def test_following_next_gives_every_row_once():
    seen, query = [], "?page_size=2"
    while query:
        data = page(query, ByName())
        seen += data["results"]
        query = data["next"] and data["next"].removeprefix("http://testserver/")
    assert seen == ["a", "b", "c", "d", "e"]


@pytest.mark.usefixtures("_five_users")
def test_answer_has_next_previous_and_results_only():
    assert set(page()) == {"next", "previous", "results"}


@pytest.mark.django_db
@pytest.mark.parametrize("text", ["0", "-1", "x", "1.5", "", "٣", "1_0"])
def test_page_size_that_is_no_positive_whole_number_is_refused(text):
    with pytest.raises(ValidationError, match="whole number"):
        page(f"?page_size={quote(text)}")


@pytest.mark.parametrize("text", ["201", "99999999999999999999", "9" * 5000])
def test_page_size_above_the_maximum_gives_the_maximum(text):
    # AIP-158: a value above the maximum is coerced to the maximum.
    request = Request(APIRequestFactory().get("/", {"page_size": text}))
    assert KeysetPagination().get_page_size(request) == 200


@pytest.mark.usefixtures("_five_users")
@pytest.mark.parametrize("cursor", ["nonsense", "cD1hYmM=", "bz0tMQ==", "cD0lMDA=", "%00"])
def test_cursor_that_no_list_gave_is_refused(cursor):
    # The second is p=abc, where the primary key is a number; the third o=-1, the fourth p=NUL.
    with pytest.raises(ValidationError, match="cursor"):
        page(f"?cursor={quote(cursor)}")
