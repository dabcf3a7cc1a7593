"""What README.md shows is run as it stands there, on a demo that is served; names are held too."""

import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from hangar.demo.loading import ACCOUNTS
from hangar.quantities import QuantityError, read_quantity
from hangar.units import UNITS
from tests.server import environment_of, make_demo, run_command, serving

ROOT = Path(__file__).parent.parent
README = (ROOT / "README.md").read_text()
GUIDE = (ROOT / "DEVELOPERS.md").read_text()
MARK = "# with the demo running"
ADDRESS = "http://127.0.0.1:8000"
BLOCKS = re.findall(rf"```(bash|python)\n({MARK}.*?)```", README, re.DOTALL)
TYPED = re.findall(r"^\| `([^`]+)` \| (.+) \|$", README, re.MULTILINE)
KEYS = {unit.label: key for key, unit in UNITS.items() if unit.is_suffix and unit.label}
needs_shell = pytest.mark.skipif(
    not (shutil.which("bash") and shutil.which("curl")), reason="no bash or curl on this machine"
)


@pytest.fixture(scope="module")
def run_block(tmp_path_factory):
    """Run the text of a block in a folder beside the demo's environment, in order as shown."""
    data = tmp_path_factory.mktemp("data")
    place = tmp_path_factory.mktemp("reader")
    _make_environment(place / ".venv" / "bin")
    make_demo(data)
    token = run_command(data, "token", "builder")
    with serving(data) as address:

        def run(language, text):
            program = {"bash": ["bash", "-eu", "-c"], "python": [sys.executable, "-c"]}[language]
            return subprocess.run(
                [*program, text.replace(ADDRESS, address)],
                env=environment_of(data) | {"TOKEN": token},
                cwd=place,
                capture_output=True,
                text=True,
                check=False,
            )

        yield run


def _make_environment(folder):
    folder.mkdir(parents=True)
    program = folder / "hangar"
    own = "from hangar.cli import main; main()"
    program.write_text(f'#!/bin/sh\nexec "{sys.executable}" -P -c "{own}" "$@"\n')
    program.chmod(0o755)


@needs_shell
def test_every_example_runs_as_it_stands(run_block):
    done = [run_block(language, text) for language, text in BLOCKS]
    assert [one.stderr for one in done if one.returncode != 0] == []
    imported, logged, asked, read = (one.stdout for one in done)
    # Two servos and a controller are parts of their own; eight propellers are one bag.
    assert imported.count("parts: 4") == 2
    assert "rows with errors: 0" in imported
    assert "entries added: 2" in logged
    assert '"code"' in asked
    assert '"rows_imported_before":3' in asked.replace(" ", "")
    assert "A1 Tarrow 640" in read


def test_no_example_is_left_out():
    fenced = re.findall(r"```(bash|python)\n", README)
    assert fenced == [language for language, _ in BLOCKS] == ["bash", "bash", "bash", "python"]


@pytest.mark.parametrize(("typed", "kept"), [pair for pair in TYPED if re.match(r"[0-9]", pair[0])])
def test_what_may_be_typed_is_kept_as_the_table_says(typed, kept):
    # The table's figures: NIST SP 811 (2008), appendix B.8: 1 oz = 28.349 523 125 g,
    # 1 lb = 453.592 37 g, 1 in = 25.4 mm, t/°C = (t/°F - 32)/1.8.
    if kept.startswith("refused"):
        with pytest.raises(QuantityError):
            read_quantity(typed, "mm")
        return
    number, unit = kept.split()
    assert read_quantity(typed, KEYS[unit]) == pytest.approx(float(number), rel=1e-5)


def test_the_accounts_are_those_of_the_demo():
    named = [name for name, _ in TYPED if re.fullmatch(r"[a-z]+", name)]
    assert named == [account.username for account in ACCOUNTS]
    assert {account.password for account in ACCOUNTS} == set(
        re.findall(r"password `([^`]+)`", README)
    )


def test_every_variable_that_is_named_is_read_somewhere():
    read = "".join(
        (ROOT / "hangar" / name).read_text() for name in ("settings.py", "data_folder.py")
    )
    read += (ROOT / "hangar/testing/plugin.py").read_text()
    named = set(re.findall(r"HANGAR_[A-Z_]+", README + GUIDE))
    assert [name for name in sorted(named) if name not in read] == []


def test_every_file_that_the_guide_names_is_there():
    named = set(re.findall(r"`((?:\.ci|hangar|inventory|builds|tests)/[a-z_/.]+)`", GUIDE))
    assert len(named) > 20
    assert [name for name in sorted(named) if not (ROOT / name).exists()] == []


def test_the_picture_is_there():
    (picture,) = re.findall(r"!\[[^]]+\]\(([^)]+)\)", README)
    assert (ROOT / picture).read_bytes().startswith(b"\x89PNG\r\n\x1a\n")
