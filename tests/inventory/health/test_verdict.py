"""Verdicts of twelve invented packs with logs of a stated ageing model, and the order of signs."""

import math
import random
from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inventory.health import Chemistry, Kind, LogEntry, PackFacts, Verdict, judge
from tests.inventory.health.ageing import Life, log_of
from tests.inventory.health.fading import Ways, fading

NOW = datetime(2026, 6, 1, 18, tzinfo=UTC)


def pack(cells, mah, c, mass_g, thickness, **values):
    first_mm, now_mm = thickness
    defaults = {"chemistry": Chemistry.LIPO}
    return PackFacts(
        cells=cells,
        capacity_mah=mah,
        continuous_c=c,
        mass_g=mass_g,
        thickness_first_mm=first_mm,
        thickness_now_mm=now_mm,
        **(defaults | values),
    )


def life(facts, cycles, months, first_mohm, now_mohm, rest_v, now_mah, **values):
    return Life(
        cycles=cycles,
        months=months,
        rated_mah=facts.capacity_mah,
        now_mah=now_mah,
        first_mohm=(first_mohm,) * facts.cells,
        now_mohm=now_mohm,
        rest_v=rest_v,
        **values,
    )


def four_1300(now_mm=29):
    return pack(4, 1300, 75, 158, (29, now_mm))


def pk_01():
    facts = four_1300()
    return facts, life(facts, 34, 11, 3.9, (4.1, 4.0, 4.2, 4.1), (3.84, 3.84, 3.83, 3.84), 1262)


def pk_02():
    facts = four_1300(30)
    now_mohm = (9.8, 10.1, 12.6, 9.9)
    return facts, life(facts, 168, 31, 3.9, now_mohm, (3.82, 3.82, 3.79, 3.82), 1008)


def pk_03():
    facts = four_1300(34)
    now_mohm = (6.2, 6.4, 31.0, 6.3)
    return facts, life(facts, 91, 26, 4.0, now_mohm, (3.81, 3.80, 2.61, 3.81), None)


def pk_04():
    facts = pack(4, 1500, 100, 178, (34, 34))
    return facts, life(facts, 47, 12, 5.0, (5.0, 5.1, 5.0, 5.2), (3.85,) * 4, None)


def pk_05():
    facts = pack(6, 850, 95, 156, (32, 32))
    return facts, life(facts, 2, 1, 5.6, (5.6, 5.7, 5.5, 5.6, 5.8, 5.6), (3.86,) * 6, None)


def pk_06():
    facts = pack(6, 1300, 100, 205, (38, 38))
    return facts, life(facts, 47, 14, 3.4, (3.9, 3.8, 4.0, 3.9, 3.9, 4.1), (3.83,) * 6, 1241)


def pk_07():
    facts = pack(6, 1300, 100, 206, (38, 38))
    rest_v = (3.85, 3.85, 3.85, 3.85, 3.795, 3.85)
    return facts, life(facts, 88, 14, 3.4, (5.1, 5.0, 5.2, 5.1, 7.6, 5.1), rest_v, 1160)


def pk_08():
    facts = pack(4, 1000, 90, 118, (27, 27), chemistry=Chemistry.LIPO_HV, full_v_per_cell=4.35)
    return facts, life(facts, 26, 9, 5.8, (6.3, 6.2, 6.4, 6.3), (3.87,) * 4, 968)


def pk_09():
    facts = pack(4, 4000, 5, 292, (44, 44), chemistry=Chemistry.LI_ION, continuous_a=20.0)
    return facts, life(facts, 40, 20, 18.0, (19.5, 19.7, 19.4, 19.6), (3.60,) * 4, 3880)


def pk_10():
    facts = pack(4, 2200, 45, 214, (33, 33))
    return facts, life(facts, 61, 16, 3.6, (4.4, 4.5, 4.4, 4.6), (3.82,) * 4, 2076)


def pk_11():
    facts = pack(4, 2200, 45, 216, (34, 34))
    rest_v = (4.17, 4.17, 4.16, 4.17)
    return facts, life(facts, 133, 30, 3.6, (6.9, 7.0, 7.1, 6.9), rest_v, 1830, idle_days=41)


def pk_12():
    facts = pack(3, 2200, 30, 172, (24, 24))
    return facts, life(facts, 19, 38, 5.2, (5.9, 6.0, 5.9), (3.31, 3.30, 3.31), 2105, idle_days=97)


def impossible_rows():
    day = timedelta(days=1)
    return [
        LogEntry(id="too-much", kind=Kind.USE, started_at=NOW - 30 * day, charge_mah=1720.0),
        LogEntry(id="six-cells", kind=Kind.USE, started_at=NOW - 29 * day, aircraft_cells=6),
        LogEntry(id="twice-a", kind=Kind.USE, started_at=NOW - 28 * day),
        LogEntry(id="twice-b", kind=Kind.USE, started_at=NOW - 28 * day + timedelta(seconds=20)),
        LogEntry(id="next-year", kind=Kind.USE, started_at=NOW + 300 * day),
        LogEntry(id="counter", kind=Kind.INSPECTION, started_at=NOW - day, counter_cycles=12),
    ]


def drifting_rows():
    return [
        LogEntry(
            id=f"drift-{days}",
            kind=Kind.REST,
            started_at=NOW - timedelta(days=days),
            rest_v=(3.85, 3.85, 3.85, 3.85, 3.85 - drop_v, 3.85),
            hours_since_use=12,
            temperature_c=21,
        )
        for days, drop_v in ((92, 0.008), (46, 0.021))
    ]


def health_of(case, *more):
    facts, of = case
    return judge(facts, [*log_of(of, NOW), *more], NOW)


# Invented packs; the verdicts are what a careful modeller would say, common practice, no source.
@pytest.mark.parametrize(
    ("case", "more", "verdict", "about"),
    [
        (pk_01(), [], Verdict.FIT, {"capacity", "resistance"}),
        (pk_02(), [], Verdict.RETIRE, {"capacity", "resistance"}),
        (pk_03(), [], Verdict.OUT_OF_SERVICE, {"low_cell", "swelling", "cell_resistance"}),
        (pk_04(), impossible_rows(), Verdict.CANNOT_TELL, {"log"}),
        (pk_05(), [], Verdict.CANNOT_TELL, {"cycles"}),
        (pk_06(), [], Verdict.FIT, {"capacity", "resistance"}),
        (pk_07(), drifting_rows(), Verdict.WATCH, {"spread", "cell_resistance"}),
        (pk_08(), [], Verdict.FIT, {"capacity", "full_voltage"}),
        (pk_09(), [], Verdict.FIT, {"capacity", "current"}),
        (pk_10(), [], Verdict.FIT, {"capacity", "class"}),
        (pk_11(), [], Verdict.WATCH, {"capacity", "left_full"}),
        (pk_12(), [], Verdict.WATCH, {"left_empty"}),
    ],
    ids=[f"pack {number}" for number in range(1, 13)],
)
def test_each_pack_gets_the_verdict_it_deserves(case, more, verdict, about):
    health = health_of(case, *more)
    assert health.verdict == verdict
    assert about <= {reason.about for reason in health.reasons}


# The truth is an argument of the ageing model; the tester's gain is uncertain by 2 %.
@pytest.mark.parametrize(
    ("case", "truth_mah"),
    [(pk_01(), 1262), (pk_02(), 1008), (pk_06(), 1241), (pk_08(), 968), (pk_11(), 1830)],
)
def test_the_capacity_interval_holds_the_truth_of_the_model(case, truth_mah):
    capacity = health_of(case).capacity_mah
    assert capacity.low <= truth_mah <= capacity.high
    assert capacity.value == pytest.approx(truth_mah, rel=0.03)


def test_the_worn_pack_crossed_80_percent_where_the_model_says():
    # The model loses 292 mAh over 168 cycles in a straight line: 80 % after 260 / 292 of them.
    health = health_of(pk_02())
    truth = health.equivalent_cycles * 260 / 292
    assert health.end_of_life.cycles_low <= truth <= health.end_of_life.cycles_high


def test_impossible_rows_are_named_with_the_test_that_would_settle_it():
    health = health_of(pk_04(), *impossible_rows())
    named = " ".join(reason.would_change for reason in health.reasons)
    for row_id in ("too-much", "six-cells", "twice-a", "twice-b", "next-year", "counter"):
        assert row_id in named
    assert "One full charge, then a discharge" in named


def test_good_measurements_do_not_outweigh_an_impossible_log():
    assert health_of(pk_01(), *impossible_rows()).verdict == Verdict.CANNOT_TELL


def test_a_stop_fact_outweighs_an_impossible_log():
    assert health_of(pk_03(), *impossible_rows()).verdict == Verdict.OUT_OF_SERVICE


def test_an_incident_outweighs_every_good_figure():
    crash = LogEntry(id="crash", kind=Kind.INCIDENT, started_at=NOW, note="crashed")
    health = health_of(pk_01(), crash)
    assert health.verdict == Verdict.OUT_OF_SERVICE
    assert "must not be charged or used" in health.care[0]


def test_a_worn_pack_is_kept_for_light_work():
    assert "no first flight" in health_of(pk_02()).care[0]


def test_the_drift_of_a_cell_is_told_with_its_history():
    messages = [reason.message for reason in health_of(pk_07(), *drifting_rows()).reasons]
    assert any("Cell 5 is 55 mV low" in m and "8, 21, 55 mV" in m for m in messages)


def test_a_cell_that_loses_charge_in_storage_is_watched():
    facts, of = pk_01()
    later = LogEntry(
        id="later",
        kind=Kind.REST,
        started_at=NOW + timedelta(days=10),
        rest_v=(3.84, 3.84, 3.79, 3.84),
        hours_since_use=300,
        temperature_c=21,
    )
    health = judge(facts, [*log_of(of, NOW), later], NOW + timedelta(days=11))
    assert health.verdict == Verdict.WATCH
    assert "self_discharge" in {reason.about for reason in health.reasons}


def test_every_reason_of_a_grade_says_what_would_change_it():
    graded = [
        reason
        for case in (pk_02(), pk_07(), pk_11(), pk_12())
        for reason in health_of(case).reasons
        if reason.verdict != Verdict.FIT
    ]
    assert graded
    assert all(reason.would_change for reason in graded)


def test_the_deciding_reason_comes_first():
    assert health_of(pk_02()).reasons[0].verdict == Verdict.RETIRE


def without(rows, kind):
    return [row for row in rows if row.kind != kind]


def test_without_resistance_a_good_capacity_is_not_enough():
    facts, of = pk_01()
    health = judge(facts, without(log_of(of, NOW), Kind.RESISTANCE), NOW)
    assert health.verdict == Verdict.CANNOT_TELL
    assert health.reasons[0].about == "resistance"


def test_without_capacity_a_good_resistance_is_not_enough():
    facts, of = pk_01()
    health = judge(facts, log_of(replace(of, now_mah=None), NOW), NOW)
    assert health.verdict == Verdict.CANNOT_TELL
    assert health.capacity_mah is None
    assert "discharge to the maker's cut-off" in health.reasons[0].would_change


def test_without_resistance_a_bad_capacity_is_still_told():
    facts, of = pk_02()
    health = judge(facts, without(log_of(of, NOW), Kind.RESISTANCE), NOW)
    assert health.verdict == Verdict.RETIRE


def test_evidence_of_last_year_does_not_make_a_pack_fit():
    facts, of = pk_01()
    later = NOW + timedelta(days=500)
    stored = LogEntry(id="later", kind=Kind.REST, started_at=later, rest_v=(3.84,) * 4)
    health = judge(facts, [*log_of(of, NOW), stored], later)
    assert health.verdict == Verdict.CANNOT_TELL


def test_li_ion_is_not_measured_by_the_limits_of_flight_packs():
    about = {reason.about for reason in health_of(pk_09()).reasons}
    assert "class" not in about
    assert health_of(pk_09()).current.limit_a == 20
    assert health_of(pk_09()).energy_wh == pytest.approx(59.2)


def test_a_pack_left_full_is_told_to_be_discharged_today():
    assert "discharge it today" in health_of(pk_11()).care[0]


def test_an_empty_log_cannot_be_judged():
    assert judge(four_1300(), [], NOW).verdict == Verdict.CANNOT_TELL


def test_a_time_without_zone_is_refused():
    with pytest.raises(ValueError, match="time zone"):
        judge(four_1300(), [], datetime(2026, 6, 1))  # noqa: DTZ001


ROWS = log_of(pk_01()[1], NOW)


@settings(max_examples=15, deadline=None)
@given(st.randoms(use_true_random=False))
def test_the_order_of_import_does_not_matter(rng):
    shuffled = ROWS[:]
    rng.shuffle(shuffled)
    assert judge(four_1300(), shuffled, NOW) == judge(four_1300(), ROWS, NOW)


OPTIONAL = st.none() | st.floats(allow_nan=True, allow_infinity=True)
CELLS = st.lists(st.floats(allow_nan=True), max_size=5).map(tuple)
ENTRIES = st.builds(
    LogEntry,
    id=st.uuids().map(str),
    kind=st.sampled_from(Kind),
    started_at=st.datetimes(
        min_value=datetime(2020, 1, 1),  # noqa: DTZ001
        max_value=datetime(2030, 1, 1),  # noqa: DTZ001
        timezones=st.just(UTC),
    ),
    charge_mah=OPTIONAL,
    duration_s=st.none() | st.floats(-1e6, 1e6),
    rest_v=CELLS,
    resistance_mohm=CELLS,
    temperature_c=OPTIONAL,
    hours_since_use=OPTIONAL,
    counter_mah=OPTIONAL,
    thickness_mm=st.none() | st.floats(0, 100),
    is_full=st.booleans(),
    is_capacity_test=st.booleans(),
)


STOP_ROWS = [
    {"kind": Kind.INCIDENT, "note": "crashed"},
    {"kind": Kind.REST, "rest_v": (3.84, 3.84, 2.61, 3.84)},
    {"kind": Kind.REST, "rest_v": (3.84, 3.84, 3.70, 3.84)},
    {"kind": Kind.RESISTANCE, "resistance_mohm": (4.1, 4.0, 31.0, 4.1)},
    {"kind": Kind.INSPECTION, "thickness_mm": 34.0},
]
STOP_FACTS = [{"out_of_service_because": "smelled sweet"}, {"thickness_now_mm": 34.0}]


@settings(max_examples=100, deadline=None)
@given(st.sampled_from([*STOP_ROWS, *STOP_FACTS]), st.lists(ENTRIES, max_size=8))
def test_a_pack_with_any_stop_fact_is_never_fit_whatever_else_is_logged(stop, others):
    facts, rows = four_1300(), [*ROWS, *others]
    if "kind" in stop:
        rows.append(LogEntry(id="stop", started_at=NOW, method="charger", **stop))
    else:
        facts = replace(facts, **stop)
    health = judge(facts, rows, NOW)
    assert health.verdict not in (Verdict.FIT, Verdict.WATCH)
    if not any(row.started_at > NOW for row in others):
        assert health.verdict == Verdict.OUT_OF_SERVICE


@settings(max_examples=60, deadline=None)
@given(
    st.integers(0, 1000),
    st.floats(0.6, 1.0),
    st.floats(0.8, 4.0),
    st.floats(0.0, 0.3),
    st.floats(29.0, 36.0),
)
def test_a_worn_or_dangerous_pack_of_the_model_is_never_fit(start, share, growth, low_v, now_mm):
    # The truth stands in the arguments; the margins are those of the measurement.
    facts = replace(four_1300(), thickness_now_mm=now_mm)
    now_mohm = tuple(4.0 * growth for _ in range(4))
    rest_v = (3.84, 3.84, 3.84 - low_v, 3.84)
    model = life(facts, 60, 12, 4.0, now_mohm, rest_v, 1300 * share, random_start=start)
    is_dangerous = low_v > 0.101 or now_mm > 29 * 1.101
    is_worn = share < 0.86 or growth > 1.65
    verdict = judge(facts, log_of(model, NOW), NOW).verdict
    assert not (is_dangerous and verdict != Verdict.OUT_OF_SERVICE)
    assert not (is_worn and verdict == Verdict.FIT)


def test_cells_above_full_are_watched_and_the_charger_is_named():
    row = LogEntry(
        id="high", kind=Kind.REST, started_at=NOW - timedelta(days=5), rest_v=(4.33,) * 4
    )
    health = health_of(pk_01(), row)
    assert health.verdict == Verdict.WATCH
    (told,) = (reason for reason in health.reasons if reason.about == "overcharged")
    assert "4.33 V" in told.message
    assert "charger's setting" in told.message


def test_a_full_high_voltage_pack_is_not_above_full():
    row = LogEntry(
        id="full", kind=Kind.REST, started_at=NOW - timedelta(days=5), rest_v=(4.35,) * 4
    )
    assert health_of(pk_08(), row).verdict == Verdict.FIT


def test_a_reading_in_the_cold_is_named_where_it_leaves_the_resistance_open():
    facts, of = pk_01()
    cold = LogEntry(
        id="cold",
        kind=Kind.RESISTANCE,
        started_at=NOW,
        resistance_mohm=(8.0,) * 4,
        method="charger",
        temperature_c=6,
    )
    health = judge(facts, [*without(log_of(of, NOW), Kind.RESISTANCE), cold], NOW)
    assert health.verdict == Verdict.CANNOT_TELL
    assert "6 °C is outside 15 to 30 °C" in health.reasons[0].message


def laboratory_log(pack, cycles):
    """One full charge and one full discharge in a tester a day."""
    rows = []
    for cycle, share in enumerate(pack.readings[:cycles]):
        at = NOW - timedelta(days=cycles - cycle)
        drawn = {"charge_mah": 2000 * share, "temperature_c": 24}
        rows += [
            LogEntry(id=f"in-{cycle}", kind=Kind.CHARGE, started_at=at, is_full=True, **drawn),
            LogEntry(
                id=f"out-{cycle}",
                kind=Kind.USE,
                started_at=at + timedelta(hours=6),
                is_capacity_test=True,
                **drawn,
            ),
        ]
    return rows


def test_the_log_of_a_laboratory_foretells_the_end_from_its_first_half():
    # Own check: simulated cells, 130 to 170 full cycles of a meter without an error of its own;
    # truth in equivalent cycles is the charge drawn until 80 %.
    facts = PackFacts(chemistry=Chemistry.LI_ION, cells=1, capacity_mah=2000)
    rng = random.Random(20250501)
    held = []
    for _ in range(40):
        pack = fading(rng, Ways(gain_sd=0.0))
        if pack.end >= len(pack.readings):
            continue
        end = judge(facts, laboratory_log(pack, len(pack.readings) // 2), NOW).end_of_life
        truth = sum(pack.readings[: int(pack.end)])
        late = math.inf if end.cycles_high is None else end.cycles_high
        held.append(end.cycles_low <= truth <= late)
    assert len(held) >= 25
    assert sum(held) / len(held) >= 0.95


@settings(max_examples=200, deadline=None)
@given(st.lists(ENTRIES, max_size=12))
def test_any_log_gets_a_verdict(rows):
    assert judge(four_1300(), rows, NOW).verdict in Verdict
