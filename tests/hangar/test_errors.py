"""Problem details are held against RFC 9457; pointers against RFC 6901."""

import json

import pytest
from django.contrib.auth import get_user_model
from django.core.exceptions import PermissionDenied, ValidationError
from django.http import Http404
from rest_framework import exceptions
from rest_framework.response import Response
from rest_framework.test import APIRequestFactory
from rest_framework.views import APIView

from hangar.errors import Conflict, Missing, NotAllowed, UserError, pointed


class OpenView(APIView):
    authentication_classes = ()
    permission_classes = ()

    def post(self, request):
        return Response({"received": request.data})


def answer_to(error):
    class RaisingView(OpenView):
        def get(self, request):
            raise error

    response = RaisingView.as_view()(APIRequestFactory().get("/"))
    response.render()
    return response


def send(body, content_type="application/json"):
    request = APIRequestFactory().generic("POST", "/", body, content_type=content_type)
    response = OpenView.as_view()(request)
    response.render()
    return response


@pytest.mark.parametrize(
    ("error", "status", "title"),
    [
        (UserError("no"), 400, "Bad Request"),
        (NotAllowed("no"), 403, "Forbidden"),
        (Missing("no"), 404, "Not Found"),
        (Conflict("no"), 409, "Conflict"),
        (Http404("secret path"), 404, "Not Found"),
        (PermissionDenied("inner words"), 403, "Forbidden"),
        (exceptions.MethodNotAllowed("GET"), 405, "Method Not Allowed"),
        (exceptions.UnsupportedMediaType("text/csv"), 415, "Unsupported Media Type"),
        (exceptions.Throttled(wait=2.5), 429, "Too Many Requests"),
    ],
)
def test_every_error_has_the_members_of_rfc_9457_section_3_1(error, status, title):
    response = answer_to(error)
    body = json.loads(response.content)
    assert response.status_code == status
    assert response["Content-Type"] == "application/problem+json"
    assert (body["type"], body["title"], body["status"]) == ("about:blank", title, status)
    assert isinstance(body["detail"], str)


def test_text_of_an_inner_exception_is_not_shown():
    assert b"secret path" not in answer_to(Http404("secret path")).content


def test_user_error_points_at_its_field():
    body = answer_to(UserError("Too heavy.", field="mass_g")).data
    assert body["detail"] == "Too heavy."
    assert body["errors"] == [{"pointer": "#/mass_g", "detail": "Too heavy."}]


def test_model_validation_error_points_at_each_field():
    body = answer_to(ValidationError({"mass_g": ["Too small."], "code": ["Wrong."]})).data
    assert body["status"] == 400
    assert body["errors"] == [
        {"pointer": "#/mass_g", "detail": "Too small."},
        {"pointer": "#/code", "detail": "Wrong."},
    ]


def test_error_of_the_whole_points_at_the_root():
    # RFC 6901, section 5: the empty string is the whole document; section 6: written "#".
    assert pointed({"non_field_errors": ["Both."]}) == [{"pointer": "#", "detail": "Both."}]


def test_pointer_escapes_tilde_and_slash():
    # RFC 6901, section 3: "~" is written "~0" and "/" is written "~1".
    assert pointed({"a/b": {"m~n": ["x"]}}) == [{"pointer": "#/a~1b/m~0n", "detail": "x"}]


def test_pointer_counts_the_items_of_a_list():
    detail = {"positions": [{}, {"x_mm": ["Far."]}]}
    assert pointed(detail) == [{"pointer": "#/positions/1/x_mm", "detail": "Far."}]


def test_throttled_client_learns_when_to_come_back():
    # RFC 9110, section 10.2.3: whole seconds.
    assert answer_to(exceptions.Throttled(wait=2.5))["Retry-After"] == "3"


@pytest.mark.django_db
def test_database_refusal_is_a_conflict():
    users = get_user_model().objects
    users.create_user(username="twice")

    class TwiceView(OpenView):
        def get(self, request):
            users.create_user(username="twice")

    response = TwiceView.as_view()(APIRequestFactory().get("/"))
    assert response.status_code == 409
    assert "twice" not in response.data["detail"]


def test_fault_of_our_own_is_not_turned_into_a_client_error():
    with pytest.raises(ZeroDivisionError):
        answer_to(ZeroDivisionError())


@pytest.mark.parametrize(
    "body",
    [
        "[" * 100_000,
        '{"a":' * 100_000,
        "[" * 33 + "]" * 33,
        "{",
        '{"a": NaN}',
        '{"a": -Infinity}',
        "9" * 5000,
        b"\xff\xfe",
        '"\\',
    ],
)
def test_body_that_is_no_bounded_json_is_refused(body):
    response = send(body)
    assert response.status_code == 400
    assert response["Content-Type"] == "application/problem+json"


def test_brackets_inside_a_text_do_not_count_as_depth():
    text = '[{"' * 50 + "\\"
    assert send(json.dumps({"note": text})).data == {"received": {"note": text}}


def test_deepest_allowed_body_is_read():
    assert send("[" * 32 + "]" * 32).status_code == 200


def test_too_long_body_is_refused(settings):
    settings.DATA_UPLOAD_MAX_MEMORY_SIZE = 100
    assert send(json.dumps("x" * 100)).status_code == 413


def test_other_media_type_is_refused():
    assert send("a=1", "text/csv").status_code == 415


def test_body_in_a_binary_codec_is_refused():
    assert send("{}", "application/json; charset=bz2_codec").status_code == 400


def test_unknown_api_address_answers_a_problem(client):
    response = client.get("/api/v1/no-such-thing/")
    assert response.status_code == 404
    assert response["Content-Type"] == "application/problem+json"


def test_unknown_page_answers_a_page(client):
    response = client.get("/no-such-page/")
    assert response.status_code == 404
    assert response["Content-Type"].startswith("text/html")
