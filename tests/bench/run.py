"""One run on the database that the environment names; the figures go to a file."""

import json
import os
import platform
import sys
import time
from importlib.metadata import version
from pathlib import Path

import django


def main(parts, rounds, answer):
    django.setup()
    from django.core.management import call_command
    from django.db import connection

    from tests.bench import data, log_files, measures, packs

    call_command("migrate", verbosity=0)
    started = time.perf_counter()
    world = data.make(parts)
    seconds = time.perf_counter() - started
    with connection.cursor() as cursor:
        cursor.execute("ANALYZE" if connection.vendor == "postgresql" else "PRAGMA optimize")
    figures = {
        "machine": _machine(connection),
        "data": world.sizes | {"seconds": seconds},
        "rounds": rounds,
        **measures.take(world, rounds),
        "packs": packs.take(rounds),
        # Last, because it fills the log.
        "log files": log_files.take(world.reader, parts),
    }
    Path(answer).write_text(json.dumps(figures))


def _machine(connection):
    number = ".".join(map(str, connection.get_database_version()))
    with open("/proc/cpuinfo", encoding="utf-8") as file:
        model = next((line.split(":")[1] for line in file if "model name" in line), "")
    return {
        "processor": model.strip() or platform.processor() or platform.machine(),
        "cores": len(os.sched_getaffinity(0)),
        "system": platform.platform(),
        "python": platform.python_version(),
        "django": version("django"),
        "rest framework": version("djangorestframework"),
        "database": f"{connection.display_name} {number}",
    }


main(int(sys.argv[1]), int(sys.argv[2]), sys.argv[3])
