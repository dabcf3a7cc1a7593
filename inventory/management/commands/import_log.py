"""The command that imports a log file of a charger or logger."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from hangar.clubs.models import User
from hangar.errors import UserError
from inventory.codes import CodeError, check_code
from inventory.log_files import importing, receiving
from inventory.log_files.faults import Problem
from inventory.log_files.fields import log_file_fields
from inventory.log_files.models import LogFile
from inventory.log_files.recipes import Recipe
from inventory.models import Part

PROBLEMS_SHOWN = 50


class Command(BaseCommand):
    """Import a log file of a charger or logger; going on where an earlier run ended."""

    help = __doc__

    def add_arguments(self, parser: CommandParser) -> None:
        """Name the file, the pack, the person and the recipe."""
        parser.add_argument("file", type=Path, help="CSV with headers, or a MAVLink recording")
        parser.add_argument("--pack", metavar="CODE", required=True, help="label code of the pack")
        parser.add_argument("--by", metavar="NAME", help="who imports; default: the pack's owner")
        parser.add_argument(
            "--recipe", metavar="NAME", help="your recipe; default: that of the same headers"
        )
        parser.add_argument(
            "--suggested",
            action="store_true",
            help="read a file of new headers as they suggest, which is said before",
        )
        parser.add_argument(
            "--starts-at", metavar="MOMENT", help="when a recording that counts seconds began"
        )

    def handle(self, *args: Any, **options: Any) -> None:  # noqa: ARG002
        """Import the file."""
        try:
            pack, by = _pack_and_person(options)
            file = _received(options["file"], pack, by)
            if not file.is_started:
                file = importing.choose_recipe(file, _recipe(file, options, by), by=by)
            while not file.finished_at:
                file = importing.import_some(file, by=by, seconds=1)
                self.stdout.write(f"{file.percent} %, {file.counts['rows']} rows")
        except UserError as error:
            raise CommandError(error.message) from error
        for name, count in file.counts.items():
            self.stdout.write(f"{name.replace('_', ' ')}: {count}")
        for problem in file.problems[:PROBLEMS_SHOWN]:
            self.stdout.write(str(Problem(*problem)))


def _pack_and_person(options: dict[str, Any]) -> tuple[Part, User]:
    try:
        code = check_code(options["pack"])
    except CodeError as error:
        raise CommandError(str(error)) from error
    pack = Part.objects.with_sheets().filter(code=code, kind="pack").first()
    if pack is None:
        raise CommandError(f"There is no pack {code}.")
    if not options["by"]:
        if pack.person is None:
            raise CommandError("This is a club's pack: say with --by who imports.")
        return pack, pack.person
    person = User.objects.filter(username=options["by"], is_active=True).first()
    if person is None:
        raise CommandError(f"There is no user {options['by']!r}.")
    return pack, person


def _received(path: Path, pack: Part, by: User) -> LogFile:
    try:
        with path.open("rb") as stream:
            return receiving.receive_file(pack, by=by, file_name=path.name, stream=stream)
    except OSError as error:
        raise CommandError(f"{path} cannot be read: {error.strerror}.") from error


def _recipe(file: LogFile, options: dict[str, Any], by: User) -> Recipe:
    if options["recipe"]:
        recipe = importing.recipe_named(options["recipe"], by=by)
    else:
        recipe = importing.recipe_of(file, by=by)
        if not options["suggested"] and not importing.is_known(file, by=by):
            raise CommandError(
                "It is not known how this file is read: import one like it in the browser first, "
                f"name a recipe, or say --suggested for: {_in_words(recipe)}."
            )
    return replace(recipe, starts_at=options["starts_at"]) if options["starts_at"] else recipe


def _in_words(recipe: Recipe) -> str:
    fields = log_file_fields()
    columns = "; ".join(
        f"“{header}” is {fields[key].label} ({recipe.unit_of(header) or 'as written'})"
        for header, key in recipe.columns.items()
        if key
    )
    return f"{columns}; {recipe.day_order.replace('_', ' ')}, times of {recipe.zone}"
