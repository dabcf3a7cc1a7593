"""The benchmark runs and prints what it promises; how fast it is depends on the machine."""

import json
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent.parent
PARTS = 2000


@pytest.fixture(scope="module")
def bench(tmp_path_factory):
    """What a small run printed, and the file it wrote."""
    file = tmp_path_factory.mktemp("bench") / "figures.json"
    done = subprocess.run(
        [
            *(sys.executable, "-m", "tests.bench"),
            *("--parts", str(PARTS), "--rounds", "3", "--json", str(file)),
        ],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    return done.stdout, json.loads(file.read_text())


def test_it_prints_the_page_by_sql_and_by_api_and_their_ratio(bench):
    text, (run,) = bench
    assert run["list"]["rows"] > 0
    assert run["list"]["ratio"] == pytest.approx(run["list"]["api"] / run["list"]["raw"])
    line = next(line for line in text.splitlines() if line.startswith("ratio"))
    assert line.split() == ["ratio", f"{run['list']['ratio']:.2f}"]


def test_it_says_what_it_ran_on_and_with_how_many_parts(bench):
    text, (run,) = bench
    assert run["data"]["parts"] >= PARTS
    assert f"{run['data']['parts']} parts" in text
    assert f"Python {sys.version.split()[0]}" in text
    assert f"SQLite {run['machine']['database'].split()[1]}" in text


def test_it_times_a_build_of_forty_parts_step_by_step(bench):
    text, (run,) = bench
    for step in ("snapshot", "figures", "judging", "page"):
        assert run["timings"][f"build: {step}"] > 0
        assert f"build: {step}" in text


def test_no_page_asks_the_database_more_than_twelve_times(bench):
    _, (run,) = bench
    over = {name: number for name, number in run["queries"].items() if number > 12}
    assert over == {}


def test_it_counts_the_queries_of_every_page_that_can_be_shown(bench):
    _, (run,) = bench
    assert {"home", "builds:build_detail", "inventory:part_list", "inventory:pack_log"} < set(
        run["queries"]
    )


def test_it_times_the_health_of_a_long_log_and_of_a_shelf_of_packs(bench):
    text, (run,) = bench
    names = (
        "health of 1000 entries: fresh",
        "health of 1000 entries: stored",
        "page of a pack of 1000 entries",
        "shelf of 200 packs: cold",
        "shelf of 200 packs: warm",
    )
    assert tuple(run["packs"]) == names
    assert all(run["packs"][name] > 0 and name in text for name in names)


def test_it_tells_how_fast_log_files_are_read(bench):
    text, (run,) = bench
    assert set(run["log files"]) == {"charges and flights", "samples"}
    assert "rows a second" in text


def test_a_wrong_number_is_refused_in_words():
    done = subprocess.run(
        [sys.executable, "-m", "tests.bench", "--parts", "many"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 2
    assert "write a whole number" in done.stderr
