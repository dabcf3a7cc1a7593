"""What the sheet for the field says of a build. Common practice, no source."""

from dataclasses import replace

import pytest

from builds.answers import Answered
from builds.field_sheets import draw_up
from builds.findings import subjects_of
from builds.reports import report_of
from tests.builds.controls.surfaces import wing
from tests.builds.records_builder import aircraft, part, with_part, without


def sheet(build=None, *, is_first=False):
    report = report_of(build or wing())
    answers = Answered(subjects_of(report.judgement, report.snapshot), {})
    return draw_up(report, answers, is_first=is_first)


def section(drawn, key):
    return next((one for one in drawn.sections if one.key == key), None)


def facts(drawn, key):
    return {fact.name: fact.text for fact in section(drawn, key).facts}


def texts(drawn, key):
    return [line.text for line in section(drawn, key).lines]


def test_the_pack_with_its_full_voltage_alarm_and_timer():
    found = facts(sheet(), "pack")
    # 4 cells of 4.20 V; an alarm of 3.5 V a cell; 240 s.
    assert found["Full"] == "16.8 V"
    assert found["Voltage alarm"] == "14.0 V"
    assert found["Timer"] == "4:00 min"
    assert found["What its log says"] == "fit"


def test_an_alarm_for_the_whole_pack_and_none_at_all():
    whole = replace(wing(), cell_alarm_v=None, voltage_alarm_v=13.6)
    assert facts(sheet(whole), "pack")["Voltage alarm"] == "13.6 V"
    none = replace(wing(), cell_alarm_v=None, voltage_alarm_v=None, timer_s=None)
    assert facts(sheet(none), "pack")["Voltage alarm"] == "not known"
    assert facts(sheet(none), "pack")["Timer"] == "not known"


def test_a_pack_out_of_service_is_told():
    drawn = sheet(with_part(wing(), "pack", out_of_service="swollen"))
    assert facts(drawn, "pack")["What its log says"] == "out of service: swollen"


def test_the_balance_is_told_from_the_datum_and_from_a_mark():
    # The leading edge at the root lies 60 mm aft of the datum.
    found = {fact.name: fact for fact in section(sheet(), "balance").facts}
    assert found["Wanted"].text == "134.0 mm aft of the datum"
    assert found["Wanted"].note == "74.0 mm behind the leading edge at the root"
    assert found["Allowed"].text == "129.4 to 138.6 mm aft of the datum"
    assert found["Allowed"].note == "69.4 to 78.6 mm behind the leading edge at the root"


def test_a_place_ahead_of_the_mark_is_told_with_a_minus():
    ahead = replace(wing(), cg_target_x_mm=55.0)
    found = {fact.name: fact for fact in section(sheet(ahead), "balance").facts}
    assert found["Wanted"].note == "-5.0 mm from the leading edge at the root, minus is ahead of it"


def test_what_is_not_known_is_said():
    drawn = sheet(with_part(wing(), "gps", mass_g=None))
    assert facts(drawn, "balance")["Centre of gravity, worked out"] == "not known"


def test_the_throws_of_each_surface():
    found = facts(sheet(), "controls")["Left elevon"]
    assert found == "roll 14.0 mm each way, pitch 10.0 mm each way"


def test_what_can_come_off_is_a_line_of_its_own():
    held = with_part(aircraft(), "screws", purpose="hatch latch")
    assert "Screws fitted and locked." in texts(sheet(held), "held")
    loose = with_part(aircraft(), "screws", purpose="ballast")
    assert "Screws fitted and locked." not in texts(sheet(loose), "held")


def test_the_radio_with_its_band_and_power():
    assert facts(sheet(), "radio") == {"Receiver": "2400 MHz", "Video": "5800 MHz, 25 mW set"}


def test_lines_of_parts_that_are_not_fitted_are_left_out():
    bare = without(without(without(aircraft(), "gps"), "video"), "receiver")
    assert len(texts(sheet(bare), "radio")) == 1


def test_due_checks_are_lines_and_not_findings():
    drawn = sheet(replace(aircraft(), changed_in={"part.camera": 3}))
    assert [line.key for line in section(drawn, "checks").lines] == ["check-balance"]
    assert drawn.findings == ()
    assert section(sheet(), "checks") is None


def test_a_first_flight_has_its_own_part():
    assert section(sheet(), "first") is None
    assert len(texts(sheet(is_first=True), "first")) == 6
    thrown = replace(wing(), is_hand_launched=False)
    assert len(texts(sheet(thrown, is_first=True), "first")) == 5


def test_open_findings_are_told_without_notes():
    spoilt = with_part(aircraft(), "gps", condition="suspect")
    # A slot of 20.1 mm: the narrow camera is worth a note.
    spoilt = with_part(spoilt, "camera", width_mm=15.0)
    assert [(one.level, one.is_final) for one in sheet(spoilt).findings] == [("caution", False)]


def test_a_final_warning_is_named():
    spoilt = with_part(wing(), "motor", cells_max=3)
    (text,) = sheet(spoilt).final_warnings
    assert "Motor" in text


def test_each_line_has_a_key_of_its_own():
    build = replace(wing(), changed_in={"crash": 3})
    keys = [line.key for line in sheet(build, is_first=True).lines]
    assert len(keys) == len(set(keys))


def test_the_digest_follows_what_the_sheet_says_and_not_the_ticks():
    drawn = sheet()
    assert drawn.digest == sheet().digest
    assert drawn.content({"site-1"}) != drawn.content(set())
    assert drawn.digest != sheet(replace(wing(), timer_s=200.0)).digest


@pytest.mark.parametrize("word", ["propeller", "swollen", "local", "observer"])
def test_the_usual_cautions_stand_on_every_sheet(word):
    assert word in " ".join(sheet().cautions).casefold()


def test_a_build_without_a_pack_says_so():
    assert facts(sheet(without(wing(), "pack")), "pack") == {"Pack": "none chosen"}


def test_a_part_as_record_needs_no_figures():
    bare = part("receiver", **dict.fromkeys(("band_mhz",)))
    build = wing()
    drawn = sheet(build.with_part(build.at("receiver").id, bare))
    assert facts(drawn, "radio")["Receiver"] == "not known"
