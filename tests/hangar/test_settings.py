"""Settings are read in a process of their own, as an installation would."""

import json
import os
import stat
import subprocess
import sys

import pytest
from django.db import connection

from hangar.middleware import policy

PRINT = """
import json
from hangar import settings
print(json.dumps({
    "debug": settings.DEBUG,
    "hosts": settings.ALLOWED_HOSTS,
    "key": settings.SECRET_KEY,
    "database": str(settings.DATABASES["default"]["NAME"]),
    "engine": settings.DATABASES["default"]["ENGINE"],
    "host": settings.DATABASES["default"].get("HOST", ""),
    "secure": settings.SESSION_COOKIE_SECURE,
}))
"""


def run_python(code, folder, **variables):
    clean = {name: value for name, value in os.environ.items() if not name.startswith("HANGAR_")}
    return subprocess.run(
        [sys.executable, "-c", code],
        env=clean | {"HANGAR_DATA_DIR": str(folder)} | variables,
        capture_output=True,
        text=True,
        check=False,
    )


def read_settings(folder, **variables):
    done = run_python(PRINT, folder, **variables)
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout)


def test_reading_the_settings_writes_nothing(tmp_path):
    read_settings(tmp_path / "data")
    assert list(tmp_path.iterdir()) == []


def test_debug_is_off_and_only_this_machine_is_answered_by_default(tmp_path):
    found = read_settings(tmp_path)
    assert found["debug"] is False
    assert found["hosts"] == ["localhost", "127.0.0.1", "[::1]"]


def test_secret_key_is_made_once_for_its_owner_only(tmp_path):
    folder = tmp_path / "data"
    prepare = "from hangar import data_folder; data_folder.prepare()"
    run_python(prepare, folder)
    first = read_settings(folder)["key"]
    run_python(prepare, folder)
    assert read_settings(folder)["key"] == first
    assert stat.S_IMODE((folder / "secret.key").stat().st_mode) == 0o600
    assert stat.S_IMODE(folder.stat().st_mode) == 0o700
    assert [path.name for path in folder.iterdir()] == ["secret.key"]


def test_database_url_chooses_postgresql_by_socket(tmp_path):
    found = read_settings(tmp_path, HANGAR_DATABASE_URL="postgresql://me@%2Ftmp%2Fsocket/mine")
    assert found["engine"] == "django.db.backends.postgresql"
    assert (found["host"], found["database"]) == ("/tmp/socket", "mine")


def test_flag_that_is_neither_yes_nor_no_is_refused(tmp_path):
    done = run_python(PRINT, tmp_path, HANGAR_DEBUG="true")
    assert "write 1 for yes or 0 for no" in done.stderr


def test_deployment_check_finds_nothing_when_served_by_https(tmp_path):
    code = (
        "import os; os.environ['DJANGO_SETTINGS_MODULE'] = 'hangar.settings'\n"
        "from django.core.management import execute_from_command_line as run\n"
        "run(['hangar', 'check', '--deploy', '--fail-level', 'WARNING'])"
    )
    done = run_python(code, tmp_path, HANGAR_HTTPS="1")
    assert done.returncode == 0, done.stderr


@pytest.mark.django_db
def test_sqlite_writes_ahead_and_waits_for_the_lock():
    if connection.vendor != "sqlite":
        pytest.skip("a matter of SQLite")
    with connection.cursor() as cursor:
        modes = [
            cursor.execute(f"PRAGMA {name}").fetchone()[0]
            for name in ("journal_mode", "busy_timeout", "foreign_keys")
        ]
    assert modes == ["wal", 20_000, 1]
    assert connection.transaction_mode == "IMMEDIATE"


def test_every_answer_forbids_inline_script_and_foreign_hosts(client):
    header = client.get("/no-such-page/")["Content-Security-Policy"]
    parts = dict(part.split(" ", 1) for part in header.split("; "))
    # Content Security Policy Level 3, section 6.1: default-src is the fallback of all others.
    assert parts["default-src"] == "'none'"
    assert parts["script-src"] == "'self'"
    assert "unsafe-inline" not in header


def test_policy_changes_one_part_only():
    changed = policy(style_src="'self' 'unsafe-inline'")
    assert changed.replace(" 'unsafe-inline'", "") == policy()


@pytest.mark.django_db
def test_schema_and_its_page_need_no_account(client):
    description = client.get("/api/v1/schema/")
    assert json.loads(description.content)["openapi"].startswith("3.")
    assert client.get("/api/v1/docs/").status_code == 200


def test_page_of_the_schema_has_no_inline_script(client):
    page = client.get("/api/v1/docs/").content.decode()
    assert page.count("<script") == page.count("<script src=")


def test_problem_answers_are_described_for_every_operation(client):
    paths = json.loads(client.get("/api/v1/schema/").content)["paths"]
    operations = [operation for path in paths.values() for operation in path.values()]
    assert operations
    assert all("4XX" in operation["responses"] for operation in operations)


@pytest.mark.django_db
def test_wrong_token_is_challenged_by_bearer(client):
    # RFC 6750, section 3: the challenge names the scheme Bearer.
    response = client.get("/api/v1/schema/", headers={"Authorization": "Bearer wrong"})
    assert response.status_code == 401
    assert response["WWW-Authenticate"] == "Bearer"
