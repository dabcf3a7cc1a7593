"""What is timed: medians of rounds that take turns, so that a slow moment falls on all alike."""

import json
import time
from base64 import b64encode
from dataclasses import replace
from statistics import median
from urllib.parse import urlencode

from django.core.cache import cache
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from knox.models import AuthToken

from builds.comparisons import CHANGES, compare_variants
from builds.figures import figures_of
from builds.findings import book
from builds.powering import power_report
from builds.records import Value
from builds.reports import report_on
from builds.snapshot import take_snapshot
from builds.variants import compare
from inventory.models import Part
from tests.addresses import Things, page_names
from tests.bench.raw import raw_page

KIND, MASS_MAX_G = "hardware", 0.42
HOST = "localhost"
BACKEND = "django.contrib.auth.backends.ModelBackend"
WARM_UP = 3
MANY = 300
"""Parts of a large build."""


def take(world, rounds):
    """All figures: milliseconds as medians, and queries."""
    _, token = AuthToken.objects.create(world.reader)
    api = Client(SERVER_NAME=HOST, headers={"authorization": f"Bearer {token}"})
    browser = Client(SERVER_NAME=HOST)
    browser.force_login(world.reader, backend=BACKEND)
    return {
        "list": _list(world, api, rounds),
        "timings": _timed(_steps(world, api, browser), rounds),
        "queries": _queries(world, api, browser),
    }


def _list(world, api, rounds):
    """The same page of parts by SQL and json.dumps, and by the API."""
    address = "/api/v1/parts/?" + urlencode(
        {"kind": KIND, "mass_g__lt": MASS_MAX_G, "fitted": "false"}
    )

    def raw():
        return raw_page(connection, world.reader.pk, KIND, MASS_MAX_G)

    def through_api():
        return _answered(api, address).content

    _refuse_differing(raw(), through_api())
    timed = _timed({"raw": raw, "api": through_api}, rounds)
    return timed | {
        "ratio": timed["api"] / timed["raw"],
        "rows": raw().count('"code"'),
        "api queries": _count(lambda: _answered(api, address)),
    }


def _refuse_differing(raw, answer):
    by_sql, by_api = json.loads(raw), json.loads(answer)["results"]
    if by_sql != by_api:
        odd = next((pair for pair in zip(by_sql, by_api, strict=False) if pair[0] != pair[1]), None)
        raise AssertionError(f"SQL and API differ: {len(by_sql)}, {len(by_api)} rows; {odd}")


def _steps(world, api, browser):
    build, reader = world.build, world.reader
    snapshot = take_snapshot(build, viewer=reader)
    figures = figures_of(snapshot)
    dict(figures)
    judged = book.judge(snapshot, figures)
    other = other_servo(snapshot)
    figures_of_other = figures_of(other)
    book.judge(other, figures_of_other)
    many = of_many_parts(snapshot, MANY)
    figures_of_many = figures_of(many)
    book.judge(many, figures_of_many)
    return {
        "build: snapshot": lambda: take_snapshot(build, viewer=reader),
        "build: figures": lambda: dict(figures_of(snapshot)),
        "build: power report": lambda: power_report(snapshot),
        "build: judging": lambda: book.judge(snapshot, figures),
        "build: judging 300 parts": lambda: book.judge(many, figures_of_many),
        "build: another servo, judged anew": lambda: book.judge(other, figures_of_other),
        "build: another servo, judged again": lambda: book.judge_again(
            judged, other, figures_of_other
        ),
        "build: all three": lambda: report_on(build, viewer=reader),
        "build: four side by side": lambda: _four_side_by_side(world),
        "build: four side by side, page": lambda: _answered(browser, _beside(world)),
        "build: page": lambda: _answered(browser, f"/builds/{build.pk}/"),
        "build: power page": lambda: _answered(browser, f"/builds/{build.pk}/power/"),
        "build: placing page": lambda: _answered(browser, f"/builds/{build.pk}/placing/"),
        "build: figures by API": lambda: _answered(api, f"/api/v1/builds/{build.pk}/figures/"),
        "build: findings by API": lambda: _answered(api, f"/api/v1/builds/{build.pk}/findings/"),
        "parts by API: first page": lambda: _answered(api, "/api/v1/parts/"),
        "parts by API: last page": lambda: _answered(api, f"/api/v1/parts/?cursor={_deep(reader)}"),
        "parts by API: two words": lambda: _answered(api, "/api/v1/parts/?q=type+trainer"),
        "parts: first page": lambda: _answered(browser, "/parts/"),
        "parts: two words": lambda: _answered(browser, "/parts/?q=type+trainer"),
        "packs: shelf": lambda: _answered(browser, "/packs/"),
        "pack: log of 200 entries": lambda: _answered(browser, f"/packs/{world.pack.code}/log/"),
        "home": lambda: _answered(browser, "/"),
    }


def other_servo(snapshot):
    """The build with another servo of the same model, a little heavier."""
    place = snapshot.first("servo")
    heavier = {**place.part.values, "mass_g": Value(11.0, "weighed")}
    return snapshot.with_part(place.id, replace(place.part, code="OTHER", values=heavier))


def of_many_parts(snapshot, number):
    """The build with screws and the like added, up to that many parts."""
    small = snapshot.fitted("hardware")
    wanted = number - len(snapshot.fitted())
    more = [
        replace(small[index % len(small)], id=10_000 + index, key=f"more-{index}")
        for index in range(wanted)
    ]
    return replace(snapshot, positions=(*snapshot.positions, *more))


def _four_side_by_side(world):
    variants = list(world.build.variants.prefetch_related(CHANGES))
    return compare(compare_variants(world.build, viewer=world.reader, variants=variants))


def _beside(world):
    """The address of the build beside all its variants."""
    query = urlencode([("variant", pk) for pk in world.build.variants.values_list("pk", flat=True)])
    return f"/builds/{world.build.pk}/variants/compare/?{query}"


_last = {}


def _deep(reader):
    """The cursor of a page near the end of what the reader sees."""
    if not _last:
        seen = Part.objects.visible_to(reader).order_by("-pk").values_list("pk", flat=True)
        _last["cursor"] = b64encode(urlencode({"p": list(seen[:51])[-1]}).encode()).decode()
    return _last["cursor"]


def _timed(calls, rounds):
    times = {name: [] for name in calls}
    for turn in range(-WARM_UP, rounds):
        # The limit of requests a second is for people, who are slower than this.
        cache.clear()
        for name, call in calls.items():
            started = time.perf_counter()
            call()
            if turn >= 0:
                times[name].append(time.perf_counter() - started)
    return {name: median(seconds) * 1000 for name, seconds in times.items()}


def _queries(world, api, browser):
    """Queries of every page, and of the parts and builds of the API."""
    counted = {}
    things = _things(world)
    for name in page_names():
        address = things.address(name)
        if address and browser.get(address).status_code == 200:
            counted[name] = _count(lambda to=address: browser.get(to))
    for template in (
        "parts/",
        "parts/{code}/",
        "builds/{build}/positions/",
        "builds/{build}/figures/",
        "builds/{build}/findings/",
        "packs/{code}/health/",
    ):
        address = f"/api/v1/{template}".format(code=world.pack.code, build=world.build.pk)
        counted[f"API: {template}"] = _count(lambda to=address: _answered(api, to))
    return counted


def _things(world):
    build, pack = world.build, world.pack
    return Things(
        part=pack.code,
        pack=pack.code,
        sheet=pack.sheet_id,
        airframe_sheet=build.fittings.get(position__key="airframe").part.sheet_id,
        place=world.club.place_set.first().pk,
        build=build.pk,
        position=build.positions.get(key="motor").pk,
        variant=build.variants.first().pk,
        club=world.club.slug,
    )


def _count(call):
    cache.clear()
    with CaptureQueriesContext(connection) as captured:
        call()
    return len(captured)


def _answered(client, address):
    answer = client.get(address)
    if answer.status_code != 200:
        raise AssertionError(f"{address} answered {answer.status_code}: {answer.content[:300]!r}")
    return answer
