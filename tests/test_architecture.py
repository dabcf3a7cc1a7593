"""The shape of the repository and the direction of its imports."""

import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
TOP_LEVEL = {
    "README.md", "DEVELOPERS.md", "pyproject.toml",
    "hangar", "inventory", "builds", "templates", "tests",
}  # fmt: skip
VAGUE_NAMES = {"utils", "helpers", "common", "services"}


def code_files():
    return [
        path
        for package in ("hangar", "inventory", "builds")
        for path in (ROOT / package).rglob("*.py")
    ]


def test_imports_keep_their_direction():
    done = subprocess.run(
        [
            sys.executable,
            "-P",
            "-c",
            "from importlinter.cli import lint_imports_command as run; run()",
        ],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stdout + done.stderr


def test_top_level_holds_only_its_known_entries():
    # Made by builds of the package and by interpreters, never part of the repository.
    made = {"dist", "build", "__pycache__"}
    found = {path.name for path in ROOT.iterdir() if not path.name.startswith(".")}
    assert found - made == TOP_LEVEL


def test_no_module_has_a_name_that_says_nothing():
    named = {path.stem for path in code_files()} | {path.parent.name for path in code_files()}
    assert not named & VAGUE_NAMES


@pytest.mark.parametrize("module", ["builds.engineering", "builds.rules", "inventory.health"])
def test_calculations_load_without_the_framework(module):
    code = f"import sys, {module}; print('django' in sys.modules or 'pint' in sys.modules)"
    done = subprocess.run(
        [sys.executable, "-P", "-c", code], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert done.stdout.strip() == "False", done.stderr
