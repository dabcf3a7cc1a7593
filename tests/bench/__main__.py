"""Prints the benchmark: makes its own data in a temporary folder, and takes them away again."""

import argparse
import json
import os
import subprocess
import sys
import tempfile
from pathlib import Path

from hangar.testing import postgres
from tests.bench.report import text_of

ROOT = Path(__file__).parent.parent.parent


def main():
    options = _parser().parse_args()
    databases = ("sqlite", "postgres") if options.db == "both" else (options.db,)
    runs = [_run(database, options) for database in databases]
    if options.json:
        options.json.write_text(json.dumps(runs, indent=1) + "\n")
    sys.stdout.write(text_of(runs))


def _parser():
    parser = argparse.ArgumentParser(prog="hangar bench", description=__doc__)
    parser.add_argument("--db", choices=("sqlite", "postgres", "both"), default="sqlite")
    parser.add_argument("--parts", type=_count, default=100_000, help="default: 100000")
    parser.add_argument("--rounds", type=_count, default=60, help="of each figure (default: 60)")
    parser.add_argument("--json", type=Path, metavar="FILE", help="write the figures to FILE")
    return parser


def _count(text):
    if not (text.isascii() and text.isdigit()) or not 1 <= int(text[:8]) <= 5_000_000:
        raise argparse.ArgumentTypeError("write a whole number from 1 to 5000000")
    return int(text)


def _run(database, options):
    if database == "sqlite":
        return _measured({}, options)
    try:
        cluster = postgres.start()
    except postgres.NoPostgres as error:
        sys.exit(f"No PostgreSQL for the benchmark: {error}.")
    try:
        return _measured({"HANGAR_DATABASE_URL": cluster.url}, options)
    finally:
        cluster.stop()


def _measured(variables, options):
    # A process of its own, because Django's settings are read once.
    clean = {name: value for name, value in os.environ.items() if not name.startswith("HANGAR_")}
    with tempfile.TemporaryDirectory(prefix="hangar-bench-") as folder:
        answer = Path(folder) / "answer.json"
        subprocess.run(
            [
                sys.executable,
                "-m",
                "tests.bench.run",
                str(options.parts),
                str(options.rounds),
                str(answer),
            ],
            cwd=ROOT,
            env=clean
            | {"HANGAR_DATA_DIR": folder, "DJANGO_SETTINGS_MODULE": "hangar.settings"}
            | variables,
            check=True,
        )
        return json.loads(answer.read_text())


main()
