"""The same tests once more, in a process of their own, on PostgreSQL."""

import json
import os
import signal
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest


def counts_text(counts: dict[str, int]) -> str:
    """Say how many tests ended how, without the outcomes that did not occur."""
    return ", ".join(f"{number} {outcome}" for outcome, number in counts.items() if number)


class SecondRun:
    """A pytest with the same arguments and `--db postgres`; its outcome is merged into ours."""

    def __init__(self, config: pytest.Config, folder: Path) -> None:
        self.config = config
        self.report = folder / "second-run.json"
        self.output = folder / "second-run.txt"
        self.cache = folder / "second-run-cache"
        self.process: subprocess.Popen[bytes] | None = None
        self.is_failed = False
        self.why_not = "the run was stopped before"

    def start(self, database_tests: int) -> None:
        """Start it, unless there is nothing to repeat."""
        if not database_tests:
            self.why_not = "no test of this run uses a database"
            return
        params = self.config.invocation_params
        command = [sys.executable, "-P", "-m", "pytest", *map(str, params.args)]
        options = ["--db", "postgres", "--db-report", str(self.report)]
        with self.output.open("wb") as output:
            self.process = subprocess.Popen(
                [*command, *options, "-o", f"cache_dir={self.cache}"],
                cwd=params.dir,
                stdin=subprocess.DEVNULL,
                stdout=output,
                stderr=subprocess.STDOUT,
            )

    def finish(self, *, interrupted: bool) -> None:
        """Wait for its end and take its outcome."""
        if self.process is None:
            return
        if interrupted:
            self.process.send_signal(signal.SIGINT)
        code = self.process.wait()
        if code == 0:
            return
        if code == pytest.ExitCode.USAGE_ERROR and not self.report.exists():
            self._excuse_absence()
            return
        self.is_failed = True

    def _excuse_absence(self) -> None:
        # Elsewhere a machine without PostgreSQL may say so; where the suite is the judge it fails.
        self.why_not = self.output.read_text(errors="replace").strip()
        self.is_failed = bool(os.environ.get("CI")) or "No PostgreSQL" not in self.why_not
        self.process = None

    def closing_lines(self) -> list[str]:
        """Say what became of it, with its whole output where it failed."""
        if self.process is None:
            return [f"PostgreSQL: NOT RUN: {self.why_not}"]
        outcome = self._outcome()
        line = f"{outcome['about']}: {counts_text(outcome['counts']) or 'nothing finished'}"
        note = " (the tests that use a database, browser tests apart)"
        if not self.is_failed:
            return [line + note]
        return [
            "",
            "===== output of the run on PostgreSQL =====",
            self.output.read_text(errors="replace").rstrip(),
            "===== end of the output of the run on PostgreSQL =====",
            f"{line}{note}: FAILED",
        ]

    def _outcome(self) -> dict[str, Any]:
        if not self.report.exists():
            return {"about": "PostgreSQL", "counts": {}}
        return dict(json.loads(self.report.read_text()))
