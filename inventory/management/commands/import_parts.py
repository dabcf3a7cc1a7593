"""The command that imports a parts list."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from hangar.clubs.models import Club, User
from hangar.errors import UserError
from inventory.imports import applying
from inventory.imports.matching import Matching
from inventory.imports.models import ImportRun
from inventory.imports.plans import Plan, RowsRefused
from inventory.imports.serializers import ImportSerializer, PreviewSerializer, preview_of
from inventory.imports.table import FILE_BYTES_MAX


class Command(BaseCommand):
    """Import a parts list (CSV, XLSX or ODS): all of its rows, or none."""

    help = __doc__

    def add_arguments(self, parser: CommandParser) -> None:
        """Name the file, the owner and what the columns are."""
        parser.add_argument("file", type=Path, help="the list; its first line has the headers")
        owner = parser.add_mutually_exclusive_group(required=True)
        owner.add_argument("--owner", metavar="NAME", help="person whose parts these are")
        owner.add_argument("--club", metavar="SLUG", help="club whose parts these are; needs --by")
        parser.add_argument("--by", metavar="NAME", help="keeper who imports for the club")
        for option, metavar, about in (
            ("--match", "COLUMN=FIELD", "what a column is; nothing after = leaves it out"),
            ("--unit", "COLUMN=UNIT", "unit of bare numbers in a column"),
            ("--word", "WORD=KIND", "kind that a word of the list means"),
        ):
            parser.add_argument(option, metavar=metavar, action="append", default=[], help=about)
        parser.add_argument("--kind", default="", help="kind of rows that name none")
        parser.add_argument("--dry-run", action="store_true", help="only say what would happen")
        parser.add_argument("--json", action="store_true", help="answer JSON")

    def handle(self, *args: Any, **options: Any) -> None:  # noqa: ARG002
        """Import the list."""
        try:
            run = _read(options)
            if options["dry_run"]:
                self._show_plan(run, applying.plan_of(run), as_json=options["json"])
                return
            done = applying.import_at_once(run)
        except RowsRefused as error:
            lines = "\n".join(str(problem) for problem in error.problems)
            raise CommandError(f"Nothing was imported.\n{lines}") from error
        except UserError as error:
            raise CommandError(error.message) from error
        if options["json"]:
            self._write_json(ImportSerializer(done).data)
            return
        self._say_counts(done.counts)

    def _show_plan(self, run: ImportRun, plan: Plan, *, as_json: bool) -> None:
        if as_json:
            self._write_json(PreviewSerializer(preview_of(run, plan)).data)
            return
        for header, key in run.matching["columns"].items():
            unit = run.matching["units"].get(header)
            self.stdout.write(f"{header} = {key}{f' in {unit}' if unit else ''}")
        for problem in plan.problems:
            self.stdout.write(str(problem))
        self._say_counts(plan.counts)

    def _say_counts(self, counts: dict[str, int]) -> None:
        for name, count in counts.items():
            self.stdout.write(f"{name.replace('_', ' ')}: {count}")

    def _write_json(self, data: Any) -> None:
        self.stdout.write(json.dumps(data, indent=2, ensure_ascii=False, default=str))


def _read(options: dict[str, Any]) -> ImportRun:
    person, club, by = _owner(options)
    run = applying.read_list(
        by=by,
        person=person,
        club=club,
        file_name=options["file"].name,
        data=_bytes(options["file"]),
    )
    run.matching = _matching(Matching.from_json(run.matching), options).to_json()
    return run


def _owner(options: dict[str, Any]) -> tuple[User | None, Club | None, User]:
    if options["owner"]:
        if options["by"]:
            raise CommandError("--by goes with --club.")
        person = _person(options["owner"])
        return person, None, person
    club = Club.objects.filter(slug=options["club"]).first()
    if club is None:
        raise CommandError(f"There is no club {options['club']!r}.")
    if not options["by"]:
        raise CommandError("Say with --by which keeper imports for the club.")
    return None, club, _person(options["by"])


def _person(name: str) -> User:
    person = User.objects.filter(username=name, is_active=True).first()
    if person is None:
        raise CommandError(f"There is no user {name!r}.")
    return person


def _bytes(file: Path) -> bytes:
    try:
        with file.open("rb") as opened:
            return opened.read(FILE_BYTES_MAX + 1)
    except OSError as error:
        raise CommandError(f"{file} cannot be read: {error.strerror}.") from error


def _matching(known: Matching, options: dict[str, Any]) -> Matching:
    chosen = {name: _pairs(options[name]) for name in ("match", "unit", "word")}
    # What is chosen here outdoes a suggestion of the same field for another column.
    taken = set(chosen["match"].values())
    suggested = {header: key for header, key in known.columns.items() if key not in taken}
    columns = {header: key for header, key in (suggested | chosen["match"]).items() if key}
    units = {header: unit for header, unit in known.units.items()
             if known.columns.get(header) == columns.get(header)}  # fmt: skip
    return replace(
        known,
        columns=columns,
        units=units | chosen["unit"],
        kinds=known.kinds | chosen["word"],
        kind=options["kind"] or known.kind,
    )


def _pairs(texts: list[str]) -> dict[str, str]:
    pairs = {}
    for text in texts:
        name, sign, value = text.rpartition("=")
        if not sign or not name:
            raise CommandError(f"{text!r} is not understood: write NAME=VALUE.")
        pairs[name.strip()] = value.strip()
    return pairs
