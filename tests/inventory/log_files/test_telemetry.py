"""Recorded telemetry, written here by the protocol's own library."""

import io
import struct
import sys

import pytest

from hangar.errors import UserError
from inventory.log_files import importing, telemetry
from tests.factories import part_of
from tests.inventory.log_files.files import entries_of, received

pytestmark = pytest.mark.django_db
BEGAN_S = 1_777_629_600
NOT_KNOWN = 0xFFFF


@pytest.fixture
def pack(user):
    return part_of("pack", user, sheet__cell_count=4)


def recording(seconds, *, current_ca=600, battery=0, counter=-1, warmth=2500):
    """A recording with one battery message a second."""
    dialect = pytest.importorskip("pymavlink.dialects.v20.common")
    link = dialect.MAVLink(io.BytesIO(), srcSystem=1, srcComponent=1)
    volts = [3950, 3940, 3950, 3960, *[NOT_KNOWN] * 6]
    written = b""
    for second in range(seconds):
        message = dialect.MAVLink_battery_status_message(
            battery, 0, 1, warmth, volts, current_ca, counter if counter < 0 else counter + second,
            -1, 80,
        )  # fmt: skip
        stamp = struct.pack(">Q", (BEGAN_S + second) * 1_000_000)
        written += stamp + message.pack(link)
    return written


def imported(pack, data):
    file = received(pack, data, name="flight.tlog")
    by = pack.person
    file = importing.choose_recipe(file, importing.recipe_of(file, by=by), by=by)
    return importing.import_all(file, by=by)


def test_a_flight_is_integrated_from_its_battery_messages(pack):
    imported(pack, recording(601))
    (use,) = entries_of(pack)
    # 6 A for 600 s is 1000 mAh.
    assert (use.kind, use.charge_mah) == ("use", pytest.approx(1000, rel=1e-6))
    assert use.temperature_c == 25
    assert use.started_at.timestamp() == BEGAN_S


def test_without_a_current_the_charge_counter_is_taken(pack):
    imported(pack, recording(601, current_ca=-1, counter=100, warmth=0x7FFF))
    (use,) = entries_of(pack)
    assert use.charge_mah == pytest.approx(600)
    assert use.temperature_c is None


def test_the_cells_of_the_pack_are_matched_and_no_more(pack):
    file = received(pack, recording(10))
    recipe = importing.recipe_of(file, by=pack.person)
    assert [key for key in recipe.columns.values() if key.startswith("cell")] == [
        f"cell_{number}_v" for number in range(1, 5)
    ]


def test_the_messages_of_a_second_battery_are_left_out(pack):
    first, second = recording(601), recording(601, battery=1)
    size = len(first) // 601
    mixed = b"".join(
        first[n * size : (n + 1) * size] + second[n * size : (n + 1) * size] for n in range(601)
    )
    imported(pack, mixed)
    assert [one.charge_mah for one in entries_of(pack)] == pytest.approx([1000])


def test_a_recording_without_battery_messages_is_refused(pack):
    pytest.importorskip("pymavlink")
    data = struct.pack(">Q", BEGAN_S * 1_000_000) + b"\xfd" + bytes(40)
    with pytest.raises(UserError, match="no battery message"):
        received(pack, data)


def test_a_missing_library_is_told_by_name(pack, monkeypatch):
    data = recording(10)
    monkeypatch.setitem(sys.modules, "pymavlink", None)
    with pytest.raises(UserError, match=r"hangar\[mavlink\]"):
        received(pack, data)
    assert not pack.log_files.exists()


def test_text_is_no_recording():
    assert not telemetry.is_telemetry(b"time,current,voltage\n")
    assert not telemetry.is_telemetry(b"")
