"""Files into the log: what rows become, and what is refused with row and reason."""

import random
from datetime import UTC, date, datetime, timedelta

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from hangar.errors import Conflict, Missing
from inventory.log_files import importing, receiving
from inventory.log_files.models import LogRecipe
from inventory.log_files.planning import Subject
from inventory.log_files.recipes import Recipe
from inventory.log_files.shapes import reading_of
from inventory.models import LogEntry
from tests.factories import UserFactory, part_of
from tests.inventory.log_files.files import (
    entries_of,
    imported,
    matched,
    reasons_of,
    received,
)

pytestmark = pytest.mark.django_db

LIST = "when,what,mAh,minutes\n2026-05-01 10:00,charge,1020,45\n2026-05-02 14:30,flight,980,7:30\n"


@pytest.fixture
def pack(user):
    return part_of("pack", user)


def test_rows_are_taken_as_they_are(pack):
    file = imported(pack, LIST)
    charge, use = entries_of(pack)
    assert (charge.kind, charge.charge_mah, charge.duration_s) == ("charge", 1020, 2700)
    assert (use.kind, use.charge_mah, use.duration_s) == ("use", 980, 450)
    assert use.started_at == datetime(2026, 5, 2, 14, 30, tzinfo=UTC)
    assert (use.log_file_id, use.log_file_row) == (file.pk, 3)
    assert file.counts["entries_added"] == 2


def test_the_same_file_again_is_the_one_that_is_here(pack):
    first = imported(pack, LIST)
    assert received(pack, LIST).pk == first.pk
    assert pack.log.count() == 2


def test_a_longer_export_adds_only_what_is_new(pack):
    imported(pack, LIST)
    later = imported(pack, LIST + "2026-05-03 14:30,flight,960,7:10\n")
    assert (later.counts["entries_known"], later.counts["entries_added"]) == (2, 1)
    assert pack.log.count() == 3


def test_a_row_twice_in_a_file_is_one_entry(pack):
    imported(pack, LIST + "2026-05-02 14:30,flight,980,7:30\n")
    assert pack.log.count() == 2


def test_another_figure_for_the_same_event_is_refused_with_row_and_reason(pack):
    imported(pack, LIST)
    file = imported(pack, LIST.replace("980", "890"))
    assert "with other figures" in reasons_of(file)[3]
    assert pack.log.get(kind="use").charge_mah == 980


def test_the_unit_of_the_file_does_not_matter(pack):
    imported(pack, LIST)
    other = "when,what,Ah,h\n2026-05-01 10:00,charge,1.02,0.75\n2026-05-02 14:30,use,0.98,0.125\n"
    file = imported(
        pack,
        other,
        columns={"when": "moment", "what": "kind", "Ah": "charge_mah", "h": "duration_s"},
        units={"Ah": "Ah", "h": "h"},
    )
    assert (file.counts["entries_known"], file.counts["entries_added"]) == (2, 0)


def test_the_order_of_import_does_not_matter(user):
    head, *rows = LIST.splitlines()
    one, other = part_of("pack", user), part_of("pack", user)
    for row in rows:
        imported(one, f"{head}\n{row}\n")
    for row in reversed(rows):
        imported(other, f"{head}\n{row}\n")
    figures = [
        [(one.kind, one.started_at, one.charge_mah) for one in entries_of(pack)]
        for pack in (one, other)
    ]
    assert figures[0] == figures[1]


SUBJECT = Subject("2345678", 4, ("when", "kind", "q"), ",")


def ids_of(rows, unit):
    recipe = Recipe(
        columns={"when": "moment", "kind": "kind", "q": "charge_mah"}, units={"q": unit}
    )
    scale = {"mAh": 1, "Ah": 1000}[unit]
    text = "".join(f"{when},{kind},{charge / scale!r}\n" for when, kind, charge in rows)
    found = reading_of(SUBJECT, recipe, {}).read(text, 2, is_last=True)
    assert not found.problems
    return {one.id for one in found.entries}


# Times as a file has them, without a zone.
FIRST, LAST = datetime(2020, 1, 1), datetime(2026, 1, 1)  # noqa: DTZ001
log_rows = st.lists(
    st.tuples(
        # With a time of day and without.
        st.one_of(
            st.datetimes(FIRST, LAST).map(lambda at: f"{at:%Y-%m-%d %H:%M:%S}"),
            st.dates(date(2020, 1, 1), date(2020, 1, 9)).map(str),
        ),
        st.sampled_from(("charge", "use")),
        st.integers(1, 5000),
    ),
    max_size=20,
)


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(log_rows, st.randoms())
def test_neither_order_nor_unit_of_the_rows_changes_which_entries_they_are(rows, rng):
    shuffled = rng.sample(rows, len(rows))
    assert ids_of(rows, "mAh") == ids_of(shuffled, "Ah")


def test_decimal_commas_day_first_and_a_time_zone(pack):
    text = "Datum;Zeit;Art;Ladung (Ah)\n1.5.2026;10:20;laden;1,02\n"
    imported(pack, text, zone="Europe/Berlin")
    (entry,) = entries_of(pack)
    assert entry.charge_mah == pytest.approx(1020)
    assert entry.started_at == datetime(2026, 5, 1, 8, 20, tzinfo=UTC)


def test_a_point_in_a_file_with_decimal_commas_is_refused(pack):
    text = "when;what;mAh\n2026-05-01 10:00;use;1020,5\n2026-05-02 10:00;use;1.020\n"
    assert "has a point" in reasons_of(imported(pack, text))[3]


def test_cells_of_a_list_become_a_rest_reading(user):
    pack = part_of("pack", user, sheet__cell_count=2)
    text = "when,what,cell 1 (mV),cell 2 (mV),rested (h)\n2026-05-01 10:00,rest,3810,3820,2\n"
    imported(pack, text)
    (entry,) = entries_of(pack)
    assert entry.rest_v == pytest.approx([3.81, 3.82])
    assert entry.rested_h == 2


def test_flights_of_a_day_without_a_time_are_each_an_entry(pack):
    text = "date,what,mAh,minutes\n2026-05-01,use,900,6\n2026-05-01,use,900,6\n"
    imported(pack, text)
    first, second = entries_of(pack)
    assert second.started_at - first.started_at >= timedelta(minutes=6)
    imported(pack, text + "2026-05-01,use,900,6\n")
    assert pack.log.count() == 3


@pytest.mark.parametrize(
    ("row", "reason"),
    [
        ("soon,use,900,5", "no date and time"),
        ("2026-02-30 10:00,use,900,5", "no day 30"),
        ("2099-01-01 10:00,use,900,5", "in the future"),
        ("2026-05-01 10:00,swim,900,5", "no charge, use or reading"),
        ("2026-05-01 10:00,use,lots,5", "not read"),
        ('2026-05-01 10:00,use,"1,020",5', "has a comma"),
        ("2026-05-01 10:00,use,-900,5", "at least 0"),
        ("2026-05-01 10:00,use,,", "Say how much charge was used"),
        ("2026-05-01 10:00,use,900,5,7,8,9", "the headers are 4"),
        ("2026-05-01 10:00,use,9e99,5", "too large"),
    ],
)
def test_a_row_that_cannot_be_read_is_refused_and_the_others_are_logged(pack, row, reason):
    file = imported(pack, f"{LIST}{row}\n")
    assert reason in reasons_of(file)[4]
    assert file.counts["rows_refused"] == 1
    assert pack.log.count() == 2


def test_a_last_line_cut_short_is_refused(pack):
    file = imported(pack, LIST + "2026-05-03 14:")
    assert reasons_of(file) == {4: "The last line is cut short."}


def test_rows_of_another_pack_are_left_out(user, pack):
    other = part_of("pack", user)
    text = (
        f"pack,when,what,mAh\n{pack.code},2026-05-01 10:00,use,900\n"
        f"{other.code},2026-05-01 10:00,use,800\n"
    )
    file = imported(pack, text)
    assert [one.charge_mah for one in entries_of(pack)] == [900]
    assert file.counts["rows_left_out"] == 1


# Samples


def sampled(seconds, *, start=0, amps=6.0, step=1):
    return "".join(f"{start + n},{amps},15.5\n" for n in range(0, seconds + 1, step))


HEAD = "time_s,current_a,voltage_v\n"
BEGAN = {"starts_at": "2026-05-01T10:00"}


def test_samples_are_integrated_into_uses(pack):
    imported(pack, HEAD + sampled(600), **BEGAN)
    (entry,) = entries_of(pack)
    # The last line ends its text, so nothing of it is in doubt: 6 A for 600 s is 1000 mAh.
    assert (entry.kind, entry.charge_mah) == ("use", pytest.approx(1000))
    assert (entry.duration_s, entry.voltage_min_v, entry.current_max_a) == (600, 15.5, 6)


def test_a_sample_without_its_line_end_is_left_out(pack):
    file = imported(pack, (HEAD + sampled(600)).rstrip("\n"), **BEGAN)
    assert reasons_of(file)[602] == "The last line is cut short."
    assert entries_of(pack)[0].charge_mah == pytest.approx(1000 * 599 / 600)


def test_a_logger_that_starts_at_zero_again_makes_a_second_use_and_says_so(pack):
    file = imported(pack, HEAD + sampled(600) + sampled(300), **BEGAN)
    first, second = entries_of(pack)
    assert (first.charge_mah, second.charge_mah) == pytest.approx((1000, 500))
    assert second.started_at > first.started_at + timedelta(seconds=600)
    assert "starts anew" in reasons_of(file)[603]


def test_a_clock_that_jumps_back_is_told_and_nothing_is_counted_twice(pack):
    rows = [f"2026-05-01 10:{n // 60:02}:{n % 60:02},6\n" for n in range(600)]
    back = [f"2026-05-01 09:{n // 60:02}:{n % 60:02},6\n" for n in range(301)]
    file = imported(pack, "time,current (A)\n" + "".join(rows + back))
    assert sum(one.charge_mah for one in entries_of(pack)) == pytest.approx(1000 * 599 / 600 + 500)
    assert "clock goes back" in reasons_of(file)[602]


def test_a_recording_pasted_twice_into_a_file_is_counted_once(pack):
    rows = [f"2026-05-01 10:{n // 60:02}:{n % 60:02},6\n" for n in range(601)]
    file = imported(pack, "time,current (A)\n" + "".join(rows * 2))
    assert pack.log.count() == 1
    assert file.counts["entries_known"] == 1


def test_headers_in_the_middle_begin_a_further_recording(pack):
    imported(pack, HEAD + sampled(600) + HEAD + sampled(600, start=601), **BEGAN)
    assert pack.log.count() == 2


def test_a_trickle_is_left_out(pack):
    file = imported(pack, HEAD + sampled(60, amps=0.1), **BEGAN)
    assert not pack.log.exists()
    assert "left out" in next(iter(reasons_of(file).values()))


def test_resistances_are_logged_only_when_they_are_wanted(user):
    pack = part_of("pack", user, sheet__cell_count=1)
    rows = "".join(
        f"{n},{20 if n % 10 < 5 else 5},{4 - (20 if n % 10 < 5 else 5) * 0.004:.3f}\n"
        for n in range(300)
    )
    imported(pack, HEAD + rows, **BEGAN)
    assert {one.kind for one in entries_of(pack)} == {"use"}
    imported(pack, HEAD + rows + "\n", wants_resistance=True, **BEGAN)
    (reading,) = pack.log.filter(kind="resistance")
    assert reading.resistance_mohm == pytest.approx([4.0])


# Long files


@pytest.fixture
def small_blocks(monkeypatch):
    monkeypatch.setattr(receiving, "BLOCK_CHARACTERS", 2000)


def long_list(count):
    start = FIRST
    rows = (
        f"{start + timedelta(hours=n):%Y-%m-%d %H:%M},use,{900 + n % 7}\n" for n in range(count)
    )
    return "when,what,mAh\n" + "".join(rows)


@pytest.mark.usefixtures("small_blocks")
def test_an_import_that_was_interrupted_goes_on_where_it_stood(pack):
    file = matched(received(pack, long_list(500)))
    file = importing.import_some(file, by=pack.person, seconds=0)
    assert 0 < file.percent < 100
    assert 0 < pack.log.count() < 500
    file = importing.import_all(file, by=pack.person)
    assert file.finished_at
    assert pack.log.count() == file.counts["rows"] == 500


@pytest.mark.usefixtures("small_blocks")
def test_a_use_that_runs_from_one_block_into_the_next_is_one_use(pack):
    imported(pack, HEAD + sampled(600), **BEGAN)
    (entry,) = entries_of(pack)
    assert entry.charge_mah == pytest.approx(1000)


@pytest.mark.usefixtures("small_blocks")
def test_a_block_that_fails_leaves_nothing_behind(pack, monkeypatch):
    file = matched(received(pack, long_list(500)))
    file = importing.import_some(file, by=pack.person, seconds=0)
    before = pack.log.count()

    def fail(*_):
        raise RuntimeError("power cut")

    with monkeypatch.context() as patched:
        patched.setattr(importing, "_count", fail)
        with pytest.raises(RuntimeError):
            importing.import_some(file, by=pack.person, seconds=0)
    assert pack.log.count() == before
    importing.import_all(file, by=pack.person)
    assert pack.log.count() == 500


@pytest.mark.usefixtures("small_blocks")
def test_the_lines_are_kept_as_they_were_read(pack):
    file = received(pack, long_list(500))
    kept = "".join(receiving.text_of(block) for block in file.blocks.all())
    assert kept == long_list(500)


# Recipes


def test_the_recipe_is_remembered_for_the_next_file_with_these_headers(pack):
    text = "A;B;C\n1.5.2026 10:00;use;900\n"
    columns = {"A": "moment", "B": "kind", "C": "charge_mah"}
    imported(pack, text, columns=columns, units={"C": "mAh"}, zone="Europe/Berlin")
    later = received(pack, text.replace("900", "901"))
    recipe = importing.recipe_of(later, by=pack.person)
    assert (recipe.columns, recipe.zone) == (columns, "Europe/Berlin")


def test_a_recipe_of_another_person_is_not_offered(pack):
    text = "A;B;C\n1.5.2026 10:00;use;900\n"
    imported(pack, text, columns={"A": "moment", "B": "kind", "C": "charge_mah"})
    other = part_of("pack", UserFactory())
    assert importing.recipe_of(received(other, text), by=other.person).columns == {}
    assert LogRecipe.objects.visible_to(other.person).count() == 0


def test_a_recipe_stands_once_rows_are_in_the_log(pack):
    file = imported(pack, LIST)
    with pytest.raises(Conflict):
        matched(file)
    with pytest.raises(Conflict):
        importing.discard_file(file, by=pack.person)


def test_a_file_of_which_nothing_is_logged_can_be_discarded(pack):
    file = received(pack, LIST)
    importing.discard_file(file, by=pack.person)
    assert not pack.log_files.exists()


def test_a_stranger_cannot_import(pack):
    file = matched(received(pack, LIST))
    with pytest.raises(Missing):
        importing.import_all(file, by=UserFactory())
    assert not LogEntry.objects.exists()


def test_random_bytes_in_a_row_are_refused_and_break_nothing(pack):
    rng = random.Random(7)
    for _ in range(30):
        junk = bytes(rng.randrange(256) for _ in range(60)).replace(b"\n", b" ")
        file = received(pack, LIST.encode() + junk + b"\n")
        file = importing.import_all(matched(file, **_recipe()), by=pack.person)
        assert file.finished_at
    assert pack.log.count() == 2


def _recipe():
    return {"columns": {"when": "moment", "what": "kind", "mAh": "charge_mah"}}
