"""A flight logged in seconds."""

from datetime import timedelta
from uuid import UUID

import pytest
from django.utils import timezone

from hangar.errors import Conflict, UserError
from inventory.operations import log_flight
from inventory.pack_health import judge_pack
from tests.factories import ClubFactory, keeper_of, member_of, part_of

pytestmark = pytest.mark.django_db

ID = "00000000-0000-0000-0000-00000000000a"
ADDRESS = "/packs/quick/"


@pytest.fixture
def pack(user):
    return part_of("pack", user, sheet__cell_count=4)


@pytest.fixture
def browser(client_of, user):
    return client_of(user)


def full(pack, **changes):
    return {
        "id": ID,
        "code": pack.code,
        "minutes": "7",
        "rest_v": "3.78 3.79 3.78 3.79",
        "charge_mah": "980",
        **changes,
    }


def test_a_flight_its_cells_and_its_charge_are_one_line_each(browser, pack):
    answer = browser.post(ADDRESS, full(pack, is_full="on"))
    assert answer.status_code == 302
    charge, rest, use = pack.log.all()
    assert (use.kind, use.duration_s) == ("use", 420)
    assert rest.rest_v == [3.78, 3.79, 3.78, 3.79]
    assert (charge.kind, charge.charge_mah, charge.is_full) == ("charge", 980, True)


def test_what_was_logged_does_not_contradict_itself(browser, pack):
    browser.post(ADDRESS, full(pack))
    assert not [one for one in judge_pack(pack).reasons if "overlap" in one.message]
    assert not [one for one in judge_pack(pack).reasons if "one minute" in one.message]


def test_the_pack_may_be_picked(browser, pack):
    browser.post(ADDRESS, full(pack, code="") | {"pack": pack.code})
    assert pack.log.count() == 3


def test_the_code_may_be_typed_with_a_hyphen_in_small_letters(browser, pack):
    browser.post(ADDRESS, full(pack, code=f"{pack.code[:3]}-{pack.code[3:]}".lower()))
    assert pack.log.count() == 3


def test_minutes_alone_are_enough(browser, pack):
    browser.post(ADDRESS, {"id": ID, "code": pack.code, "minutes": "7"})
    assert [one.kind for one in pack.log.all()] == ["use"]


def test_the_same_form_sent_twice_adds_nothing(browser, pack):
    for _ in range(2):
        assert browser.post(ADDRESS, full(pack)).status_code == 302
    assert pack.log.count() == 3


def test_a_second_flight_in_the_same_minutes_is_asked_when_it_was(browser, pack):
    browser.post(ADDRESS, full(pack))
    answer = browser.post(ADDRESS, full(pack, id=ID.replace("a", "b")))
    assert list(answer.context["form"].errors) == ["at"]
    earlier = timezone.now() - timedelta(hours=2)
    browser.post(ADDRESS, full(pack, id=ID.replace("a", "b"), at=f"{earlier:%Y-%m-%dT%H:%M}"))
    assert pack.log.count() == 6


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"code": ""}, "code"),
        ({"code": "nonsense"}, "code"),
        ({"minutes": "soon"}, "minutes"),
        ({"minutes": "-3"}, "minutes"),
        ({"minutes": "0"}, "minutes"),
        ({"minutes": "5000"}, "minutes"),
        ({"minutes": "", "rest_v": "", "charge_mah": ""}, "minutes"),
        ({"rest_v": "3.78 3.79"}, "rest_v"),
        ({"rest_v": "3,78 3,79"}, "rest_v"),
        ({"rest_v": "37.8 3.79 3.78 3.79"}, "rest_v"),
        ({"charge_mah": "-1"}, "charge_mah"),
        ({"at": "2099-01-01T10:00"}, "at"),
        ({"id": "none"}, "id"),
    ],
)
def test_bad_input_is_told_at_its_box_and_nothing_is_logged(browser, pack, changes, field):
    answer = browser.post(ADDRESS, full(pack, **changes))
    assert answer.status_code == 400
    assert field in answer.context["form"].errors
    assert not pack.log.exists()


def test_the_packs_offered_are_those_whose_log_the_person_keeps(client_of):
    club = ClubFactory()
    pack = part_of("pack", club)
    for person, offered in ((keeper_of(club), True), (member_of(club), False)):
        form = client_of(person).get(ADDRESS).context["form"]
        assert (pack.code in dict(form.fields["pack"].choices)) is offered


def test_a_pack_of_somebody_else_is_not_found_by_its_code(client_of, pack):
    answer = client_of(member_of(ClubFactory())).post(ADDRESS, full(pack))
    assert "code" in answer.context["form"].errors
    assert not pack.log.exists()


def test_the_address_may_name_the_pack(browser, pack):
    assert browser.get(f"{ADDRESS}?pack={pack.code}").context["form"]["code"].value() == pack.code


def test_an_id_of_another_pack_is_refused(user, pack):
    log_flight(pack, by=user, id=_id(), at=timezone.now(), duration_s=60)
    other = part_of("pack", user)
    with pytest.raises(Conflict):
        log_flight(other, by=user, id=_id(), at=timezone.now(), duration_s=60)


def test_nothing_to_log_is_refused(user, pack):
    with pytest.raises(UserError):
        log_flight(pack, by=user, id=_id(), at=timezone.now())


def _id():

    return UUID(ID)
