"""The worked example of DEVELOPERS.md, done in a copy of the tree: nothing else is touched."""

import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent.parent
GUIDE = (ROOT / "DEVELOPERS.md").read_text()
COPIED = ("hangar", "inventory", "builds", "templates", "tests", "pyproject.toml")
BLOCKS = dict(re.findall(r"```python\n# (\S+\.py)\n(.*?)```", GUIDE, re.DOTALL))
KIND_FILE = "inventory/kinds/airspeed_sensor.py"
MIGRATION = "inventory/migrations/airspeed_sensor.py"
REGISTRY = "inventory/kinds/__init__.py"
FACTORIES = "tests/factories.py"
OWN_TEST = "tests/inventory/test_airspeed_sensor.py"


@pytest.fixture(scope="module")
def tree(tmp_path_factory):
    """A copy of the tree in which the example has been followed."""
    folder = tmp_path_factory.mktemp("tree")
    (folder / "data").mkdir()
    for name in COPIED:
        _copy(ROOT / name, folder / name)
    for name in (KIND_FILE, OWN_TEST):
        (folder / name).write_text(BLOCKS[name])
    last = max(path.stem for path in (ROOT / "inventory/migrations").glob("[0-9]*.py"))
    (folder / MIGRATION).write_text(BLOCKS[MIGRATION].replace("0001_initial", last))
    _put_before(folder / REGISTRY, "__all__ = (\n", BLOCKS[REGISTRY], "AirspeedSensor", quote='"')
    _put_before(
        folder / FACTORIES, "SHEET_FACTORIES = {\n", BLOCKS[FACTORIES], "AirspeedSensorFactory",
        into="for made in (\n",
    )  # fmt: skip
    return folder


def _copy(source, target):
    if source.is_dir():
        unwanted = shutil.ignore_patterns("__pycache__", "screenshots")
        shutil.copytree(source, target, ignore=unwanted)
    else:
        shutil.copy(source, target)


def _put_before(file, line, block, name, *, into=None, quote=""):
    """Put a block before a line, and a name into the list that the line, or `into`, begins."""
    into = into or line
    text = file.read_text()
    assert text.count(line) == text.count(into) == 1
    text = text.replace(into, f"{into}    {quote}{name}{quote},\n")
    file.write_text(text.replace(line, f"{block}\n\n{line}"))


def run(tree, *arguments):
    ours = ("HANGAR_", "PYTEST_", "PYTHONPATH", "DJANGO_SETTINGS_MODULE")
    clean = {name: value for name, value in os.environ.items() if not name.startswith(ours)}
    done = subprocess.run(
        [sys.executable, "-m", *arguments],
        # Found before the installed packages, because the folder one stands in comes first.
        cwd=tree,
        env=clean | {"HANGAR_DATA_DIR": str(tree / "data")},
        capture_output=True,
        text=True,
        check=False,
    )
    return done.returncode, done.stdout + done.stderr


def test_the_guide_shows_every_file_of_a_new_kind():
    assert set(BLOCKS) == {KIND_FILE, REGISTRY, MIGRATION, FACTORIES, OWN_TEST}


def test_the_migration_of_the_guide_is_all_that_the_new_kind_needs(tree):
    code, said = run(
        tree, "django", "makemigrations", "--check", "--dry-run", "--settings=hangar.settings"
    )
    assert (code, said.strip()) == (0, "No changes detected")


def test_pages_api_filters_records_and_imports_know_the_new_kind(tree):
    code, said = run(
        tree, "pytest", "--db=sqlite", "-vv", "-p", "no:cacheprovider", "-k", "airspeed_sensor",
        "tests/inventory/test_kinds.py", "tests/inventory/test_kinds_in_use.py", OWN_TEST,
    )  # fmt: skip
    assert code == 0, said
    passed = set(re.findall(r"::(\w+)(?:\[\S+\])? PASSED", said))
    assert passed >= {
        "test_a_form_shows_again_what_was_stored",
        "test_the_database_refuses_a_measure_above_its_bound",
        "test_the_page_has_a_box_for_every_column",
        "test_the_api_takes_and_shows_its_columns",
        "test_parts_are_found_by_its_columns",
        "test_the_record_of_a_part_holds_its_columns",
        "test_a_list_fills_its_columns",
        "test_its_pressure_may_be_typed_in_kilopascals",
    }


def test_the_files_of_the_guide_pass_the_formatter_and_the_linter(tree):
    if shutil.which("ruff", path=str(Path(sys.executable).parent)) is None:
        pytest.skip("ruff is not installed here")
    for check in (("format", "--check"), ("check",)):
        code, said = run(tree, "ruff", *check, KIND_FILE, MIGRATION, OWN_TEST)
        assert code == 0, said
