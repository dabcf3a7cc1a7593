"""Files on their way in."""

import io

import pytest

from hangar.errors import Conflict, Missing, UserError
from inventory.log_files import receiving
from inventory.log_files.receiving import LogFileProblem, receive_file, text_of
from tests.factories import UserFactory, part_of
from tests.inventory.log_files.files import received

pytestmark = pytest.mark.django_db

TEXT = "when,what,mAh\n2026-05-01 10:00,use,900\n"


@pytest.fixture
def pack(user):
    return part_of("pack", user)


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
def test_text_is_read_in_the_usual_encodings(pack, encoding):
    file = received(pack, "Zeit;Höhe\n1.5.2026 10:00;9\n", encoding=encoding)
    assert file.headers == ["Zeit", "Höhe"]


def test_lines_before_the_headers_are_kept_but_not_read(pack):
    file = received(pack, f"Charger log\n\n{TEXT}")
    assert (file.headers, file.first_row) == (["when", "what", "mAh"], 4)
    assert text_of(file.blocks.get()).startswith("Charger log")


def test_line_ends_of_all_systems_are_read(pack):
    assert received(pack, TEXT.replace("\n", "\r\n")).first_row == 2
    assert received(pack, TEXT.replace("\n", "\r")).first_row == 2


@pytest.mark.parametrize(
    ("data", "reason"),
    [
        (b"", "nothing in this file"),
        (b"when,what\n", "no part below"),
        (b"PK\x03\x04abc", "save the log as CSV"),
        (bytes(range(256)), "no text"),
    ],
)
def test_what_is_no_log_is_refused(pack, data, reason):
    with pytest.raises(LogFileProblem, match=reason):
        received(pack, data)
    assert not pack.log_files.exists()


def test_a_file_that_is_too_large_is_refused(pack, monkeypatch):
    monkeypatch.setattr(receiving, "FILE_BYTES_MAX", 10)
    with pytest.raises(LogFileProblem, match="larger than"):
        received(pack, TEXT)


def test_a_line_without_end_is_refused(pack, monkeypatch):
    monkeypatch.setattr(receiving, "BLOCK_CHARACTERS", 100)
    with pytest.raises(LogFileProblem, match="longer than"):
        received(pack, TEXT + "x" * 1000)
    assert not pack.log_files.exists()


def test_only_packs_have_log_files(user):
    servo = part_of("servo", user)
    with pytest.raises(UserError, match="battery pack"):
        receive_file(servo, by=user, file_name="a", stream=io.BytesIO(TEXT.encode()))


def test_a_stranger_gives_no_file(pack):
    with pytest.raises(Missing):
        receive_file(pack, by=UserFactory(), file_name="a", stream=io.BytesIO(TEXT.encode()))


def test_files_that_wait_are_not_without_number(pack, monkeypatch):
    monkeypatch.setattr(receiving, "OPEN_MAX", 1)
    received(pack, TEXT)
    with pytest.raises(Conflict, match="not imported to their end"):
        received(pack, TEXT + "\n")


def test_an_upload_that_broke_off_is_begun_anew(pack):
    file = received(pack, TEXT)
    pack.log_files.update(received_at=None, uploaded_at="2020-01-01T00:00Z")
    again = received(pack, TEXT)
    assert again.pk != file.pk
    assert again.received_at
