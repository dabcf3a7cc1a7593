"""A file on its way in: what it is, whether it was here before, and its lines put by as read."""

from __future__ import annotations

import codecs
import hashlib
import io
import zlib
from collections.abc import Iterator
from datetime import timedelta
from itertools import islice
from typing import IO, Any

from django.db import IntegrityError, transaction
from django.utils import timezone

from hangar.clubs.models import User
from hangar.errors import Conflict, UserError
from inventory.imports.reading import delimiter_of, read_text
from inventory.imports.table import ImportProblem, Table
from inventory.log_files import telemetry
from inventory.log_files.models import LogFile, LogFileBlock
from inventory.models import Part
from inventory.operations.guards import refuse_unless_loggable

MEGABYTE = 1024 * 1024
FILE_BYTES_MAX = 128 * MEGABYTE
PIECE_BYTES = MEGABYTE
BLOCK_CHARACTERS = 256 * 1024
LINE_CHARACTERS_MAX = 64 * 1024
HEAD_CHARACTERS = 32 * 1024
HEAD_LINES = 200
BLOCKS_AT_ONCE = 8
OPEN_MAX = 10
FILE_NAME_MAX = 120
NO_CHARACTER = "\ufffd"
RECEIVING_MAX = timedelta(minutes=10)
_UTF_16 = (codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)


class LogFileProblem(UserError):
    """The file cannot be received; the message says why."""

    def __init__(self, message: str) -> None:
        super().__init__(message, field="file")


def receive_file(pack: Part, *, by: User, file_name: str, stream: IO[bytes]) -> LogFile:
    """Put a file by for a pack, its lines as they are; the same file again is the one that is here.

    Nothing is logged yet. The file is read piece by piece, never whole. Raises LogFileProblem.
    """
    if pack.kind != "pack":
        raise UserError("Only a battery pack has a log.")
    refuse_unless_loggable(pack, by=by)
    digest, byte_count, encoding = _survey(stream)
    known = LogFile.objects.filter(pack=pack, digest=digest).first()
    if known and known.received_at:
        return known
    if known and known.uploaded_at > timezone.now() - RECEIVING_MAX:
        raise Conflict("This file is being received already.", field="file")
    if LogFile.objects.visible_to(by).unfinished().filter(by=by).count() >= OPEN_MAX:
        raise Conflict(
            f"You have {OPEN_MAX} files that are not imported to their end: "
            "go on with one, or discard one.",
            field="file",
        )
    if encoding == telemetry.ENCODING:
        stream, encoding = telemetry.as_text(stream), "utf-8"
    table, delimiter = _head(stream, encoding)
    if known:
        # An earlier upload broke off.
        known.delete()
    file = LogFile(
        pack=pack,
        by=by,
        file_name=_tidy_name(file_name),
        digest=digest,
        byte_count=byte_count,
        delimiter=delimiter,
        headers=list(table.headers),
        first_row=table.rows[0].number,
    )
    try:
        with transaction.atomic():
            file.save(force_insert=True)
    except IntegrityError as error:
        raise Conflict("This file is being received already.", field="file") from error
    return _store(file, stream, encoding)


def table_of(file: LogFile) -> Table:
    """Headers and first rows of a file that is put by."""
    rows = read_text(_first_lines(text_of(file.blocks.get(number=0)))).rows
    return Table(tuple(file.headers), rows)


def text_of(block: LogFileBlock) -> str:
    """The lines of a block."""
    return zlib.decompress(block.data).decode()


def _tidy_name(file_name: str) -> str:
    printable = "".join(one for one in file_name if one.isprintable())
    return printable.strip()[-FILE_NAME_MAX:] or "log"


def _survey(stream: IO[bytes]) -> tuple[str, int, str]:
    """Digest, length and encoding of a file; refuses one that is too large or holds no text."""
    digest, length = hashlib.sha256(), 0
    head = b""
    utf_8: Any = codecs.getincrementaldecoder("utf-8")()
    is_utf_8 = True
    for piece in _pieces(stream):
        head = head or piece[:64]
        digest.update(piece)
        length += len(piece)
        if length > FILE_BYTES_MAX:
            raise LogFileProblem(f"The file is larger than {FILE_BYTES_MAX // MEGABYTE} MB.")
        if is_utf_8:
            is_utf_8 = _decodes(utf_8, piece)
    if not length:
        raise LogFileProblem("There is nothing in this file.")
    return digest.hexdigest(), length, _encoding(head, is_utf_8=is_utf_8)


def _pieces(stream: IO[bytes]) -> Iterator[bytes]:
    stream.seek(0)
    while piece := stream.read(PIECE_BYTES):
        yield piece


def _decodes(decoder: Any, piece: bytes) -> bool:
    try:
        decoder.decode(piece)
    except UnicodeError:
        return False
    return True


def _encoding(head: bytes, *, is_utf_8: bool) -> str:
    if telemetry.is_telemetry(head):
        return telemetry.ENCODING
    if head.startswith(b"PK\x03\x04"):
        raise LogFileProblem("This is a spreadsheet or an archive: save the log as CSV.")
    if head.startswith(_UTF_16):
        return "utf-16"
    return "utf-8-sig" if is_utf_8 else "cp1252"


def _head(stream: IO[bytes], encoding: str) -> tuple[Table, str]:
    text = _first_lines("".join(islice(_texts(stream, encoding), 1)))
    if NO_CHARACTER in "".join(text.splitlines()[:2]):
        raise LogFileProblem("This is no text that is read here: save the log as CSV.")
    try:
        return _without_made_up(read_text(text), text), delimiter_of(text)
    except ImportProblem as error:
        raise LogFileProblem(error.message) from error


def _without_made_up(table: Table, text: str) -> Table:
    """The table without headers that were made up for cells beyond the last header."""
    headers = list(table.headers)
    while len(headers) > 1 and headers[-1] == f"column {len(headers)}" and headers[-1] not in text:
        headers.pop()
    return Table(tuple(headers), table.rows)


def _first_lines(text: str) -> str:
    head = text[:HEAD_CHARACTERS]
    if len(head) < len(text) and "\n" in head:
        head = head[: head.rindex("\n")]
    return "\n".join(head.split("\n")[:HEAD_LINES])


def _texts(stream: IO[bytes], encoding: str) -> Iterator[str]:
    # A file that broke off may end within a character, or in the nulls of an empty card.
    decoder: Any = codecs.getincrementaldecoder(encoding)(errors="replace")
    lines = io.IncrementalNewlineDecoder(decoder, translate=True)
    for piece in _pieces(stream):
        yield lines.decode(piece).replace("\x00", NO_CHARACTER)
    yield lines.decode(b"", final=True).replace("\x00", NO_CHARACTER)


def _blocks(stream: IO[bytes], encoding: str) -> Iterator[tuple[int, str]]:
    """The text in blocks of whole lines, each with the number of its first line."""
    first_line, rest = 1, ""
    for text in _texts(stream, encoding):
        rest += text
        while len(rest) >= BLOCK_CHARACTERS:
            end = rest.rfind("\n", 0, BLOCK_CHARACTERS) + 1
            if end == 0:
                raise LogFileProblem(
                    f"Line {first_line} is longer than {LINE_CHARACTERS_MAX} characters."
                )
            block, rest = rest[:end], rest[end:]
            yield first_line, block
            first_line += block.count("\n")
    if rest.strip():
        yield first_line, rest


def _store(file: LogFile, stream: IO[bytes], encoding: str) -> LogFile:
    blocks = (
        LogFileBlock(
            file=file, number=number, first_line=first_line, data=zlib.compress(text.encode(), 3)
        )
        for number, (first_line, text) in enumerate(_blocks(stream, encoding))
    )
    count = 0
    try:
        while lot := list(islice(blocks, BLOCKS_AT_ONCE)):
            LogFileBlock.objects.bulk_create(lot)
            count += len(lot)
    except BaseException:
        file.delete()
        raise
    file.block_count = count
    file.received_at = timezone.now()
    file.save(update_fields=["block_count", "received_at"])
    return file
