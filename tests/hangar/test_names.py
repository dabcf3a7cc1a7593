"""Names of people, clubs, places and parts."""

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError

from hangar.clubs import operations as clubs
from hangar.clubs.forms import SignUpForm
from hangar.clubs.models import User
from hangar.errors import UserError
from hangar.fields import visible
from inventory.models import Place
from inventory.operations import save_place
from tests.factories import BuildFactory

pytestmark = pytest.mark.django_db

ZERO_WIDTH = "\u200b\u202e"


def sign_up(name):
    password = "a long pass phrase"  # noqa: S105
    return SignUpForm({"username": name, "password1": password, "password2": password})


@pytest.mark.parametrize("name", ["robin", "Robin.B-2", "r_b"])
def test_a_name_of_letters_digits_and_three_signs_is_taken(name):
    assert sign_up(name).is_valid()


@pytest.mark.parametrize("name", ["ro bin", "robin@home", "r\u043ebin", "rob\u0131n", "robin+1"])
def test_any_other_name_is_refused_at_it(name):
    assert "username" in sign_up(name).errors


def test_a_name_differs_from_others_in_more_than_capitals():
    User.objects.create_user("robin")
    assert "username" in sign_up("ROBIN").errors
    with pytest.raises(IntegrityError):
        User.objects.create_user("Robin")


def test_what_cannot_be_seen_is_taken_out_of_a_name():
    assert visible(f" spare {ZERO_WIDTH}box\u0007 ") == "spare box"


def test_a_place_of_no_visible_name_is_refused(user):
    with pytest.raises(ValidationError) as caught:
        save_place(Place(name=ZERO_WIDTH, person=user), by=user)
    assert "name" in caught.value.message_dict


def test_a_club_of_no_visible_name_is_refused(user):
    with pytest.raises(UserError) as caught:
        clubs.found_club(name=ZERO_WIDTH, by=user)
    assert caught.value.field == "name"
    assert clubs.found_club(name=f"Hill{ZERO_WIDTH} fliers", by=user).name == "Hill fliers"


def test_a_build_of_no_visible_name_is_refused():
    build = BuildFactory()
    build.name = ZERO_WIDTH
    with pytest.raises(ValidationError) as caught:
        build.full_clean()
    assert "name" in caught.value.message_dict
