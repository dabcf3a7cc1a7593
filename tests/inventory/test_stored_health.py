"""Health that is stored says what health judged anew says, whatever happened in between."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest
from django.utils import timezone
from hypothesis import given, settings
from hypothesis import strategies as st

from inventory import operations
from inventory.health import LogEntry as Row
from inventory.health import judge
from inventory.models import PackHealth, Part
from inventory.pack_health import judge_pack
from inventory.stored_health import health_of, health_of_all
from tests.factories import PackFactory, PartFactory, UserFactory
from tests.inventory.health.rows import facts

FINDING = "Looked at all sides, weighed, rest voltages read: nothing found."


@pytest.fixture
def pack(db):
    owner = UserFactory()
    part = PartFactory(sheet=PackFactory(person=owner))
    start = timezone.now() - timedelta(days=40)
    for day in range(12):
        at = start + timedelta(days=3 * day)
        log(part, kind="use", charge_mah=800 + day, duration_s=300, started_at=at)
        log(
            part, kind="resistance", resistance_mohm=[3 + day / 10] * 4, temperature_c=21,
            started_at=at + timedelta(hours=2),
        )  # fmt: skip
    log(
        part, kind="use", charge_mah=1000, is_capacity_test=True, temperature_c=22,
        started_at=start + timedelta(days=38),
    )  # fmt: skip
    return part


def log(pack, **given):
    return operations.add_log_entry(pack, by=pack.person, **given)


def again(pack):
    return Part.objects.with_sheets().get(pk=pack.pk)


def late_entry(pack):
    at = timezone.now() - timedelta(days=39, hours=12)
    log(pack, kind="charge", charge_mah=900, started_at=at)


def corrected_entry(pack):
    wrong = pack.log.standing().filter(kind="use").last()
    log(pack, kind="use", charge_mah=1250, started_at=wrong.started_at, corrects=wrong)


def incident(pack):
    log(pack, kind="incident", incident="crashed")


def inspection(pack):
    incident(pack)
    health_of(again(pack))
    operations.return_to_service(pack, finding=FINDING, by=pack.person)


def taken_out(pack):
    operations.take_out_of_service(pack, reason="puffed on one side", by=pack.person)


def measured(pack):
    operations.record_measurement(pack, name="cycles_at_purchase", value=40, by=pack.person)


def end_line(pack):
    operations.record_measurement(pack, name="end_line_percent", value=70, by=pack.person)


def weighed(pack):
    operations.record_measurement(pack, name="mass_g", value=171.0, by=pack.person)


def sheet_changed(pack):
    sheet = pack.sheet.typed
    sheet.capacity_mah, sheet.continuous_c_rate = 1500.0, 20.0
    sheet.save()


def cells_forgotten(pack):
    sheet = pack.sheet.typed
    sheet.chemistry = ""
    sheet.save()


def renamed(pack):
    inspection(pack)
    health_of(again(pack))
    pack.person.username = "another-name"
    pack.person.save()


CHANGES = (
    late_entry, corrected_entry, incident, inspection, taken_out, measured, end_line, weighed,
    sheet_changed, cells_forgotten, renamed,
)  # fmt: skip


def test_an_entry_that_is_committed_has_the_pack_judged_at_once(
    pack, django_capture_on_commit_callbacks
):
    with django_capture_on_commit_callbacks(execute=True):
        late_entry(pack)
    kept = PackHealth.objects.get()
    assert health_of(again(pack), kept.judged_at) == judge_pack(again(pack), kept.judged_at)
    assert PackHealth.objects.get().digest == kept.digest


def test_entries_added_together_have_the_pack_judged_at_once(
    pack, django_capture_on_commit_callbacks
):
    at = timezone.now() - timedelta(days=45)
    rows = [{"kind": "charge", "charge_mah": 900, "started_at": at}]
    with django_capture_on_commit_callbacks(execute=True):
        operations.add_log_entries(pack, by=pack.person, rows=rows)
    assert PackHealth.objects.filter(part=pack).exists()


@pytest.mark.parametrize("change", CHANGES, ids=lambda change: change.__name__)
def test_after_every_change_what_is_stored_is_what_is_judged_anew(pack, change):
    before = health_of(again(pack))
    change(pack)
    now = timezone.now()
    found = health_of(again(pack), now)
    assert found == judge_pack(again(pack), now)
    assert found != before
    assert health_of(again(pack), now) == found


def test_what_is_stored_is_read_back_whole(pack):
    now = timezone.now()
    assert health_of(again(pack), now) == health_of(again(pack), now)
    assert PackHealth.objects.get().judged_at == now


def test_an_unchanged_pack_is_not_judged_again(pack):
    now = timezone.now()
    health_of(again(pack), now)
    health_of(again(pack), now + timedelta(minutes=1))
    assert PackHealth.objects.get().judged_at == now


def test_time_that_passes_counts(pack):
    log(
        pack, kind="charge", charge_mah=1000, is_full=True,
        started_at=timezone.now() - timedelta(hours=1),
    )  # fmt: skip
    health_of(again(pack))
    later = timezone.now() + timedelta(days=5)
    found = health_of(again(pack), later)
    assert found == judge_pack(again(pack), later)
    assert any("Full for 5 days" in words for words in found.health.care)


def test_many_packs_are_told_in_two_queries(pack, django_assert_num_queries):
    packs = [again(pack), *Part.objects.with_sheets().filter(pk=pack.pk)]
    health_of_all(packs)
    with django_assert_num_queries(2):
        health_of_all(packs)


def test_what_another_release_stored_does_not_hold(pack, monkeypatch):
    now = timezone.now()
    health_of(again(pack), now)
    monkeypatch.setattr("inventory.stored_health._digest_of_code", lambda: "another")
    health_of(again(pack), now + timedelta(minutes=1))
    assert PackHealth.objects.get().judged_at > now


START = datetime(2026, 3, 1, 12, tzinfo=UTC)
KINDS = st.sampled_from(("charge", "use", "rest"))
HOURS = st.integers(min_value=-24 * 400, max_value=24 * 20)


@st.composite
def logs(draw):
    rows = []
    for number in range(draw(st.integers(min_value=0, max_value=6))):
        kind = draw(KINDS)
        at = START + timedelta(hours=draw(HOURS))
        volts = draw(st.sampled_from((3.3, 3.85, 4.18, 4.2, 4.3)))
        given_ = {"rest_v": (volts,) * 4} if kind == "rest" else {"charge_mah": 800.0}
        rows.append(Row(id=str(number), kind=kind, started_at=at, **given_))
    return rows


def told(found):
    return replace(found, changes_at=None)


@settings(max_examples=150, deadline=None)
@given(logs(), st.floats(min_value=0, max_value=1, exclude_max=True))
def test_nothing_changes_before_the_time_that_is_given(rows, share):
    found = judge(facts(), rows, START)
    end = found.changes_at or START + timedelta(days=2000)
    later = max(START, min(START + share * (end - START), end - timedelta(microseconds=1)))
    assert told(judge(facts(), rows, later)) == told(found)
