"""Keeping all data in one file, and bringing it back."""

import os
import shutil
import sqlite3
import subprocess
from contextlib import closing
from pathlib import Path

from django.core.management import call_command
from django.db import connection
from django.db.migrations.loader import MigrationLoader
from django.utils import timezone

from hangar import data_folder
from hangar.failures import CommandFailed

_SQLITE_HEAD = b"SQLite format 3\0"
_POSTGRES_HEAD = b"PGDMP"


def save(file: Path) -> None:
    """Copy all data into a new file, readable by its owner only.

    Raises CommandFailed when there is nothing to copy or the file cannot be made.
    """
    if file.exists():
        raise CommandFailed(f"{file} exists already; a backup never overwrites.")
    if not file.absolute().parent.is_dir():
        raise CommandFailed(f"there is no folder {file.absolute().parent}.")
    draft = file.with_name(f"{file.name}.part")
    try:
        os.close(os.open(draft, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600))
        _dump_postgres(draft) if _is_postgres() else _copy_sqlite(_live_file(), draft)
        draft.rename(file)
    except (OSError, sqlite3.Error) as error:
        raise CommandFailed(f"{file} cannot be written: {error}") from error
    finally:
        draft.unlink(missing_ok=True)


def restore(file: Path) -> Path | None:
    """Replace all data by those of a file that `save` made.

    Gives the file that keeps what was there before, or None where there was nothing.
    Raises CommandFailed, and changes nothing, when the file is not such a copy.
    """
    _check_readable(file)
    if _is_postgres():
        return _restore_postgres(file)
    return _restore_sqlite(file)


def _is_postgres() -> bool:
    return connection.vendor == "postgresql"


def _live_file() -> Path:
    file = Path(connection.settings_dict["NAME"])
    if not file.exists():
        raise CommandFailed(f"there are no data yet in {file.parent}.")
    return file


def _check_readable(file: Path) -> None:
    try:
        with file.open("rb") as opened:
            head = opened.read(len(_SQLITE_HEAD))
    except OSError as error:
        raise CommandFailed(f"{file} cannot be read: {error.strerror}.") from error
    kind = "PostgreSQL" if head.startswith(_POSTGRES_HEAD) else None
    kind = "SQLite" if head == _SQLITE_HEAD else kind
    wanted = "PostgreSQL" if _is_postgres() else "SQLite"
    if kind is None:
        raise CommandFailed(f"{file} is no backup; nothing was changed.")
    if kind != wanted:
        raise CommandFailed(
            f"{file} was made on {kind}, but this is {wanted}; nothing was changed."
        )


def _copy_sqlite(source: Path, target: Path) -> None:
    with (
        closing(sqlite3.connect(source, timeout=20)) as old,
        closing(sqlite3.connect(target)) as new,
    ):
        old.backup(new)


def _restore_sqlite(file: Path) -> Path | None:
    _check_sqlite(file)
    live = Path(connection.settings_dict["NAME"])
    connection.close()
    kept = _keep_present() if live.exists() else None
    try:
        # Through the database itself, not by renaming: a server that runs sees whole data.
        _copy_sqlite(file, live)
    except sqlite3.Error as error:
        raise CommandFailed(f"the data could not be replaced: {error}") from error
    call_command("migrate", verbosity=0, interactive=False)
    return kept


def _check_sqlite(file: Path) -> None:
    try:
        # Read as a fixed file, so that looking at a backup leaves nothing beside it.
        uri = f"{file.absolute().as_uri()}?mode=ro&immutable=1"
        with closing(sqlite3.connect(uri, uri=True)) as opened:
            faults = opened.execute("PRAGMA quick_check(1)").fetchone()[0]
            applied = opened.execute("SELECT app, name FROM django_migrations").fetchall()
    except sqlite3.Error as error:
        raise CommandFailed(f"{file} is no backup ({error}); nothing was changed.") from error
    if faults != "ok":
        raise CommandFailed(f"{file} is damaged ({faults}); nothing was changed.")
    known = MigrationLoader(None).disk_migrations
    if not any(app == "inventory" for app, _ in applied):
        raise CommandFailed(f"{file} holds the data of another program; nothing was changed.")
    if unknown := [f"{app} {name}" for app, name in applied if (app, name) not in known]:
        raise CommandFailed(
            f"{file} was made by a newer version ({unknown[0]}); nothing was changed."
        )


def _keep_present() -> Path:
    stamp = timezone.now().strftime("%Y%m%d-%H%M%S-%f")
    suffix = "pgdump" if _is_postgres() else "sqlite3"
    kept = data_folder.path() / f"before-restore-{stamp}.{suffix}"
    save(kept)
    return kept


def _restore_postgres(file: Path) -> Path:
    listing = _run_postgres("pg_restore", "--list", str(file))
    if "inventory_part" not in listing:
        raise CommandFailed(f"{file} holds the data of another program; nothing was changed.")
    kept = _keep_present()
    connection.close()
    _run_postgres(
        "pg_restore",
        "--clean",
        "--if-exists",
        "--no-owner",
        "--single-transaction",
        f"--dbname={connection.settings_dict['NAME']}",
        str(file),
    )
    call_command("migrate", verbosity=0, interactive=False)
    return kept


def _dump_postgres(target: Path) -> None:
    name = connection.settings_dict["NAME"]
    _run_postgres("pg_dump", "--format=custom", "--no-owner", f"--file={target}", str(name))


def _run_postgres(program: str, *arguments: str) -> str:
    found = shutil.which(program)
    if found is None:
        raise CommandFailed(f"the program {program} is needed; it comes with PostgreSQL's clients.")
    settings = connection.settings_dict
    # By the environment: other users of the machine can read a command line.
    access = {
        "PGHOST": settings["HOST"],
        "PGPORT": str(settings["PORT"]),
        "PGUSER": settings["USER"],
        "PGPASSWORD": settings["PASSWORD"],
    }
    done = subprocess.run(
        [found, *arguments],
        env=os.environ | {name: value for name, value in access.items() if value},
        capture_output=True,
        text=True,
        check=False,
    )
    if done.returncode != 0:
        raise CommandFailed(f"{program} failed: {done.stderr.strip()}")
    return done.stdout
