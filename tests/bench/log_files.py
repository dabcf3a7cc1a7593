"""How fast log files are imported: rows a second of a charger's list and of a logger's samples.

Run by itself it imports a recording of 100 MB and tells its rows a second and the most memory held:
HANGAR_DATA_DIR=$(mktemp -d) python -m tests.bench.log_files
"""

import math
import os
import resource
import sys
import tempfile
import time
from dataclasses import replace
from datetime import UTC, datetime, timedelta

FIRST = datetime(2001, 1, 1, tzinfo=UTC)
MEGABYTE = 1024 * 1024


def take(person, rows):
    """Rows a second of files of so many rows, received and imported into new packs."""
    return {
        "charges and flights": _rows_a_second(person, rows, _summary_lines(rows), {}),
        "samples": _rows_a_second(
            person, rows, _sample_lines(rows), {"starts_at": "2026-05-01 10:00"}
        ),
    }


def _rows_a_second(person, rows, lines, changes):
    with tempfile.TemporaryFile() as stream:
        stream.writelines(line.encode() for line in lines)
        started = time.perf_counter()
        file = _import(person, stream, changes)
        seconds = time.perf_counter() - started
    if file.counts["rows"] != rows or file.counts["rows_refused"]:
        raise AssertionError(f"{rows} rows became {file.counts}; {file.problems[:3]}")
    return rows / seconds


def _import(person, stream, changes):
    from inventory.log_files import importing, receiving
    from tests.factories import part_of

    pack = part_of("pack", person)
    file = receiving.receive_file(pack, by=person, file_name="bench.csv", stream=stream)
    recipe = replace(importing.recipe_of(file, by=person), **changes)
    return importing.import_all(
        importing.choose_recipe(file, recipe, by=person, name="bench"), by=person
    )


def _summary_lines(rows):
    yield "when,what,mAh,minutes\n"
    for number in range(rows):
        at = FIRST + timedelta(minutes=45 * number)
        kind = "flight" if number % 2 else "charge"
        yield f"{at:%Y-%m-%d %H:%M},{kind},{900 + number % 7},{5 + number % 4}\n"


def _sample_lines(rows):
    """Half an hour of samples, four a second, of flights apart by rests of three minutes."""
    yield "time_s,current_a,voltage_v,temp_c\n"
    for number in range(rows):
        current_a = 12 + 3 * math.sin(number / 9) if number % 2400 < 1600 else 0.0
        volts = 16.2 - 0.02 * current_a - number % 2400 * 1e-4
        yield f"{number / 4:.2f},{current_a:.2f},{volts:.3f},31.5\n"


def _main(megabytes):
    import django

    django.setup()
    from django.core.management import call_command

    from tests.factories import UserFactory

    call_command("migrate", verbosity=0)
    rows = megabytes * MEGABYTE // 27
    speed = _rows_a_second(
        UserFactory(), rows, _sample_lines(rows), {"starts_at": "2026-05-01 10:00"}
    )
    most = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    sys.stdout.write(f"{rows} samples, about {megabytes} MB: {speed:.0f} rows a second\n")
    sys.stdout.write(f"most memory held by the process: {most:.0f} MB\n")


if __name__ == "__main__":
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "hangar.settings")
    _main(int(sys.argv[1]) if len(sys.argv) > 1 else 100)
