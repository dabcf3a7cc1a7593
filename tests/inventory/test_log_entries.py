"""Many entries of a pack's log at once: all or none, and one line in the pack's history."""

import uuid
from datetime import UTC, datetime, timedelta

import pytest
from django.core.exceptions import ValidationError

from hangar.errors import Conflict, Missing, UserError
from inventory.models import LogEntry
from inventory.operations import add_log_entries
from tests.factories import UserFactory, part_of

pytestmark = pytest.mark.django_db

AT = datetime(2026, 3, 1, 12, tzinfo=UTC)


@pytest.fixture
def pack(user):
    return part_of("pack", user)


def charge(days=0, **values):
    return {
        "kind": "charge",
        "started_at": AT + timedelta(days=days),
        "charge_mah": 900,
        **values,
    }


def test_all_rows_are_kept_and_the_history_says_so_once(user, pack):
    add_log_entries(pack, by=user, rows=[charge(0), charge(1), charge(2)])
    assert LogEntry.objects.filter(pack=pack, by=user).count() == 3
    assert [event.text for event in pack.events.filter(verb="logged")] == ["Logged: 3 entries."]


@pytest.mark.parametrize(
    ("wrong", "error"),
    [
        ({"charge_mah": None}, UserError),
        ({"charge_mah": -1}, ValidationError),
        ({"kind": "incident", "incident": "swollen"}, UserError),
        ({"incident": "swollen"}, UserError),
    ],
)
def test_one_wrong_row_keeps_all_out(user, pack, wrong, error):
    with pytest.raises(error):
        add_log_entries(pack, by=user, rows=[charge(0), charge(1, **wrong)])
    assert not LogEntry.objects.filter(pack=pack).exists()


def test_a_row_that_is_there_already_keeps_all_out(user, pack):
    known = uuid.uuid4()
    add_log_entries(pack, by=user, rows=[charge(0, id=known)])
    with pytest.raises(Conflict):
        add_log_entries(pack, by=user, rows=[charge(1), charge(2, id=known)])
    assert LogEntry.objects.filter(pack=pack).count() == 1


def test_a_stranger_finds_no_such_pack(pack):
    with pytest.raises(Missing):
        add_log_entries(pack, by=UserFactory(), rows=[charge()])


def test_only_a_pack_has_a_log(user):
    with pytest.raises(UserError):
        add_log_entries(part_of("motor", user), by=user, rows=[charge()])
