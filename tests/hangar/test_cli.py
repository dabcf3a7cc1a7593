"""The command is run as a person runs it: in a process of its own, on a data folder of its own."""

import os
import shutil
import socket
import sqlite3
import subprocess
import sys
from contextlib import closing
from functools import partial
from pathlib import Path

import pytest
from django.db import connection

COMMAND = [sys.executable, "-P", "-c", "from hangar.cli import main; main()"]


def run_in(folder, data, *arguments, **variables):
    clean = {name: value for name, value in os.environ.items() if not name.startswith("HANGAR_")}
    return subprocess.run(
        [*COMMAND, *arguments],
        env=clean | {"HANGAR_DATA_DIR": str(data)} | variables,
        cwd=folder,
        capture_output=True,
        text=True,
        check=False,
    )


@pytest.fixture(scope="session")
def pattern(tmp_path_factory):
    """Give a data folder, made by the command, with one user; to be copied, not used."""
    folder = tmp_path_factory.mktemp("pattern")
    user = ("--noinput", "--username=ada", "--email=ada@example.org")
    secret = {"DJANGO_SUPERUSER_PASSWORD": "not-a-word-9"}
    for done in (
        run_in(folder, folder / "data", "migrate", "-v0"),
        run_in(folder, folder / "data", "createsuperuser", *user, **secret),
    ):
        assert done.returncode == 0, done.stderr
    return folder / "data"


@pytest.fixture
def hangar(tmp_path):
    """Give the command, run in a folder of its own."""
    return partial(run_in, tmp_path, tmp_path / "data")


@pytest.fixture
def kept(pattern, tmp_path):
    """Give the data folder of the command, with migrated data and one user."""
    return Path(shutil.copytree(pattern, tmp_path / "data"))


def users_in(file):
    with closing(sqlite3.connect(file)) as database:
        return [name for (name,) in database.execute("SELECT username FROM clubs_user")]


def test_without_a_command_it_explains_itself(hangar):
    done = hangar()
    assert done.returncode == 0
    for word in ("demo", "serve", "token", "backup", "restore", "bench", "HANGAR_DATA_DIR"):
        assert word in done.stdout


def test_commands_of_django_are_reachable(hangar):
    assert hangar("check").returncode == 0
    assert "createsuperuser" in hangar("manage", "help").stdout


def test_unknown_command_fails_with_its_name(hangar):
    done = hangar("flyy")
    assert done.returncode == 1
    assert "flyy" in done.stderr


@pytest.mark.parametrize(
    "arguments", [("serve", "--port", "0"), ("serve", "--port", "x"), ("token",), ("backup",)]
)
def test_wrong_options_end_with_code_2(hangar, arguments):
    assert hangar(*arguments).returncode == 2


def test_token_before_migrate_says_what_to_do(hangar):
    done = hangar("token", "ada")
    assert done.returncode == 1
    assert "hangar migrate" in done.stderr


def test_token_is_the_only_thing_on_standard_output(hangar, kept):
    done = hangar("token", "ada")
    assert done.returncode == 0, done.stderr
    assert len(done.stdout.split()) == 1
    # Its digest is kept, not the token.
    with closing(sqlite3.connect(kept / "hangar.sqlite3")) as database:
        (digest,) = database.execute("SELECT digest FROM knox_authtoken").fetchone()
    assert done.stdout.strip() not in digest


def test_token_of_nobody_is_refused(hangar, kept):
    done = hangar("token", "bob")
    assert (done.returncode, done.stdout) == (1, "")
    assert "no user 'bob'" in done.stderr


def test_backup_and_restore_bring_everything_back(hangar, kept, tmp_path):
    assert hangar("backup", "copy").returncode == 0
    with closing(sqlite3.connect(kept / "hangar.sqlite3")) as database, database:
        database.execute("UPDATE clubs_user SET username = 'changed'")
    done = hangar("restore", "copy")
    assert done.returncode == 0, done.stderr
    assert users_in(kept / "hangar.sqlite3") == ["ada"]
    (before,) = kept.glob("before-restore-*")
    assert users_in(before) == ["changed"]


def test_backup_is_readable_by_its_owner_only(hangar, kept, tmp_path):
    hangar("backup", "copy")
    assert (tmp_path / "copy").stat().st_mode & 0o777 == 0o600


def test_backup_never_overwrites(hangar, kept, tmp_path):
    (tmp_path / "copy").write_text("mine")
    assert hangar("backup", "copy").returncode == 1
    assert (tmp_path / "copy").read_text() == "mine"


def test_backup_of_nothing_makes_nothing(hangar, tmp_path):
    assert hangar("backup", "copy").returncode == 1
    assert not list(tmp_path.glob("copy*"))


def foreign_database(file):
    with closing(sqlite3.connect(file)) as database:
        database.execute("CREATE TABLE django_migrations (app, name)")


def newer_database(file):
    with closing(sqlite3.connect(file)) as database, database:
        database.execute("CREATE TABLE django_migrations (app, name)")
        database.execute("INSERT INTO django_migrations VALUES ('inventory', '9999_later')")


@pytest.mark.parametrize(
    ("make", "reason"),
    [
        (lambda file: file.write_text("hello"), "no backup"),
        (lambda file: file.write_bytes(b"SQLite format 3\0" + b"x" * 5000), "no backup"),
        (lambda file: file.write_bytes(b"PGDMP123"), "made on PostgreSQL"),
        (lambda file: None, "cannot be read"),
        (foreign_database, "another program"),
        (newer_database, "newer version"),
    ],
)
def test_wrong_file_is_refused_with_a_reason(hangar, kept, tmp_path, make, reason):
    make(tmp_path / "wrong")
    done = hangar("restore", "wrong")
    assert done.returncode == 1
    assert reason in done.stderr
    assert users_in(kept / "hangar.sqlite3") == ["ada"]
    assert not list(kept.glob("before-restore-*"))


def test_bench_outside_a_checkout_says_so(hangar, tmp_path):
    if (Path(__file__).parents[1] / "bench/__main__.py").exists():
        pytest.skip("run from a checkout, the benchmark is found")
    done = hangar("bench")
    assert done.returncode == 1
    assert "checkout" in done.stderr


def test_serving_on_a_port_in_use_says_so(hangar, kept):
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        done = hangar("serve", "--port", str(port))
    assert done.returncode == 1
    assert "--port" in done.stderr


def test_data_folder_that_cannot_be_made_is_named(hangar, tmp_path):
    (tmp_path / "file").write_text("")
    done = hangar("token", "ada", HANGAR_DATA_DIR=str(tmp_path / "file/data"))
    assert done.returncode == 1
    assert "HANGAR_DATA_DIR" in done.stderr


@pytest.mark.django_db(transaction=True)
def test_backup_and_restore_on_postgresql(tmp_path, monkeypatch):
    if connection.vendor != "postgresql":
        pytest.skip("a matter of PostgreSQL")
    from django.contrib.auth import get_user_model

    from hangar import backups

    monkeypatch.setenv("HANGAR_DATA_DIR", str(tmp_path))
    users = get_user_model().objects
    users.create_user(username="ada")
    backups.save(tmp_path / "copy")
    users.update(username="changed")
    kept = backups.restore(tmp_path / "copy")
    assert [user.username for user in users.all()] == ["ada"]
    assert kept.stat().st_size > 0
