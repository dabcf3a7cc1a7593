"""How fast the health of packs is told: judged fresh, as stored, and a whole shelf of it."""

import time
from datetime import timedelta
from statistics import median

from django.core.cache import cache
from django.test import Client
from django.utils import timezone

from inventory.models import LogEntry, PackHealth, Part
from inventory.pack_health import judge_pack
from inventory.stored_health import health_of
from tests.bench.measures import BACKEND, HOST
from tests.factories import UserFactory, part_of

ENTRIES, SHELF, ENTRIES_EACH = 1000, 200, 50
A_CYCLE = 5
"""Entries of one cycle: rested full, flown, rested, resistance read, charged."""
MOST_ROUNDS = 3


def take(rounds):
    """Milliseconds as medians, of one long log and of a shelf of packs."""
    owner = UserFactory()
    packs = [_pack(owner, ENTRIES_EACH) for _ in range(SHELF)]
    long = Part.objects.with_sheets().get(pk=_pack(UserFactory(), ENTRIES).pk)
    rounds = min(rounds, MOST_ROUNDS)
    address = f"/packs/{long.code}/"
    return {
        f"health of {ENTRIES} entries: fresh": _median(lambda: judge_pack(long), rounds),
        f"health of {ENTRIES} entries: stored": _median(lambda: health_of(long), rounds),
        f"page of a pack of {ENTRIES} entries": _median(_page(long.person, address), rounds),
        f"shelf of {len(packs)} packs: cold": _median(_page(owner, "/packs/"), rounds, _forget),
        f"shelf of {len(packs)} packs: warm": _median(_page(owner, "/packs/"), rounds),
    }


def _page(person, address):
    browser = Client(SERVER_NAME=HOST)
    browser.force_login(person, backend=BACKEND)

    def asked():
        answer = browser.get(address)
        if answer.status_code != 200:
            raise AssertionError(f"{address} answered {answer.status_code}")

    return asked


def _forget():
    PackHealth.objects.all().delete()


def _median(call, rounds, before=cache.clear):
    call()
    seconds = []
    for _ in range(rounds):
        before()
        started = time.perf_counter()
        call()
        seconds.append(time.perf_counter() - started)
    return median(seconds) * 1000


def _pack(owner, entries):
    """A pack with a log of whole cycles, one every day and a half, fading slowly."""
    pack = part_of("pack", owner)
    sheet = pack.sheet.typed
    cycles = entries // A_CYCLE
    start = timezone.now() - timedelta(days=1.5 * cycles + 1)
    LogEntry.objects.bulk_create(
        LogEntry(pack=pack, by=owner, temperature_c=21, **row)
        for number in range(cycles)
        for row in _cycle(number, start + timedelta(days=1.5 * number), sheet)
    )
    return pack


def _cycle(number, at, sheet):
    used = sheet.capacity_mah * (1 - 0.0006 * number) * (0.68 + 0.01 * (number % 5))
    cells = sheet.cell_count

    def after(minutes):
        return at + timedelta(minutes=minutes)

    return (
        {"kind": "rest", "rest_v": [4.19] * cells, "rested_h": 2, "started_at": at},
        {"kind": "use", "charge_mah": used, "duration_s": 400, "started_at": after(10)},
        {"kind": "rest", "rest_v": [3.74] * cells, "rested_h": 1.2, "started_at": after(90)},
        {
            "kind": "resistance", "resistance_mohm": [3 + number / 100] * cells,
            "started_at": after(95),
        },
        {"kind": "charge", "charge_mah": 1.02 * used, "is_full": True, "started_at": after(120)},
    )  # fmt: skip
