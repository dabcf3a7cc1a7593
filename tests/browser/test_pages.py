"""Every page of the demo at a phone's and a desk's width: whole, quiet, reachable and light."""

import os
import re
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe

from tests.addresses import ACTIONS, Things, page_names
from tests.browser.site import DESK, PHONE, Watch, overflow

ALL_NAMES = page_names()
WEIGHT_MAX = 150_000
AXE = Axe()
# WCAG 2.2, levels A and AA, as axe-core tags its rules.
TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]
PICTURE = Path(__file__).parent / "screenshots" / "build.png"
# Who is asked for a page; builder for the others.
SEEN_BY = {"inventory:loan_return": "keeper", "inventory:loan_extend": "keeper",
           "clubs:club_detail": "treasurer", "clubs:sign_in": None,
           "clubs:sign_up": None, "clubs:join": "outsider"}  # fmt: skip


@pytest.fixture(scope="module")
def things(site):
    """What stands for the names in addresses, found through the API."""
    parts = site.every("builder", "parts/?owner=me&page_size=200")
    build = build_of(site, "A1")
    positions = site.every("builder", f"builds/{build['id']}/positions/")
    club = site.every("treasurer", "clubs/")[0]["slug"]
    done, open_run = runs_of(site)
    flown = build_of(site, "A2")["id"]
    pack = next(part for part in parts if part["kind"] == "pack")["code"]

    def first(kind):
        return next(part for part in parts if part["kind"] == kind)

    return Things(
        part=next(part for part in parts if part["kind"] == "servo" and not part["fitted"])["code"],
        pack=pack,
        log_file=log_file_of(site, pack),
        flown_build=flown,
        signed_sheet=site.every("builder", f"builds/{flown}/field-sheets/")[0]["id"],
        sheet=first("servo")["sheet"],
        airframe_sheet=first("airframe")["sheet"],
        place=site.every("builder", "places/?owner=me")[0]["id"],
        build=build["id"],
        position=next(one["id"] for one in positions if one["kind"] == "servo"),
        surface=site.every("builder", f"builds/{build['id']}/surfaces/")[0]["id"],
        variant=site.every("builder", f"builds/{build['id']}/variants/")[0]["id"],
        club=club,
        stopped_part=next(part["code"] for part in parts if part["out_of_service"]),
        token=site.every("treasurer", f"clubs/{club}/invitations/")[0]["token"],
        offer=next(
            offer["id"]
            for offer in site.every("builder", "offers/?open=true")
            if offer["by"] == "builder"
        ),
        claim=site.every("builder", "claims/?open=true")[0]["id"],
        loan=site.every("keeper", "loans/?open=true")[0]["id"],
        run=done,
        matching_run=open_run,
    )


def build_of(site, name):
    builds = site.every("builder", "builds/")
    return next(build for build in builds if build["name"].startswith(f"{name} "))


def runs_of(site):
    """A list that is imported, and one whose columns are still to be matched."""
    context = site.context("builder")
    page = context.new_page()
    runs = []
    for name in ("first.csv", "second.csv"):
        page.goto("/imports/")
        text = f"Kind,Maker,Name,Mass (g)\nservo,Ostrelka,{name[:-4]},9.5\n"
        page.locator("input[type=file]").set_input_files(
            {"name": name, "mimeType": "text/csv", "buffer": text.encode()}
        )
        page.get_by_role("button", name="Read the list").click()
        page.get_by_role("heading", name="Which column is what?").wait_for()
        runs.append(int(page.url.split("/imports/")[1].split("/")[0]))
    context.close()
    return runs


def log_file_of(site, pack):
    """A charger's file that is read and not imported yet."""
    context = site.context("builder")
    page = context.new_page()
    page.goto(f"/packs/{pack}/log/import/")
    text = "Start;Kind;Charge (mAh)\n14.05.2026 18:20;charge;1010\n"
    page.locator("input[type=file]").set_input_files(
        {"name": "charger.csv", "mimeType": "text/csv", "buffer": text.encode()}
    )
    page.get_by_role("button", name="Read the file").click()
    page.wait_for_url(re.compile(r"/log/import/\d+/"))
    number = int(page.url.split("/log/import/")[1].split("/")[0])
    context.close()
    return number


@pytest.mark.parametrize("name", ALL_NAMES)
def test_a_page_is_whole_quiet_light_and_clean_at_both_widths(name, site, things, open_page):
    page = open_page(SEEN_BY.get(name, "builder"), **DESK)
    watch = Watch(page)
    address = things.address(name)
    assert address, f"name in `things` what stands in the address of {name}"
    answer = page.goto(address)
    assert answer.status == 200
    assert page.locator("h1").count() == 1
    assert page.title().strip(" ·") not in ("", "hangar")
    for size in (DESK, PHONE):
        page.set_viewport_size(size)
        assert overflow(page) is None, f"wider than {size['width']} px"
        found = AXE.run(page, options={"runOnly": {"type": "tag", "values": TAGS}})
        assert not found.response["violations"], violations(found)
    assert watch.said == []
    assert watch.foreign(site.address) == []
    assert watch.weight() < WEIGHT_MAX


def violations(found):
    return [
        (one["id"], [node["html"][:200] for node in one["nodes"][:3]])
        for one in found.response["violations"]
    ]


def test_what_is_only_sent_to_cannot_be_opened(site, things, open_page):
    page = open_page("builder")
    numbers = {"pk": "1", "position_pk": "1", "slug": things.club}
    addresses = {
        "builds:position_fit": f"/builds/{things.build}/positions/{things.position}/fit/",
        "clubs:change_role": "/clubs/{slug}/members/{pk}/role/".format(**numbers),
        "clubs:sign_out": "/sign-out/",
        "inventory:part_measure": f"/parts/{things.part}/measure/",
        "inventory:sheet_delete": f"/sheets/{things.sheet}/delete/",
    }
    assert set(addresses) <= ACTIONS
    for name, address in addresses.items():
        assert page.request.get(address).status == 405, name


# By keyboard

MAIN_ACTIONS = {
    "/": ["Builds", "Parts", "Packs", "Pool", "Rules", "Add a part"],
    "/parts/": ["Add a part", "Show"],
    "/packs/": ["Add a pack", "Log"],
    "/builds/": ["New build"],
}
FOCUSED = """() => {
  const one = document.activeElement, style = getComputedStyle(one), box = one.getBoundingClientRect();
  return {
    text: (one.innerText || one.value || one.name || '').trim(),
    ring: style.outlineStyle !== 'none' && parseFloat(style.outlineWidth) >= 2,
    seen: box.width > 1 && box.height > 1 && box.bottom > 0 && box.top < innerHeight,
    place: one.tagName + '#' + one.id,
  };
}"""  # noqa: E501


@pytest.mark.parametrize("address", MAIN_ACTIONS)
@pytest.mark.parametrize("size", [PHONE, DESK], ids=["phone", "desk"])
def test_tab_reaches_the_main_actions_and_the_focus_is_seen(address, size, open_page):
    page = open_page("builder", **size)
    page.goto(address)
    wanted = set(MAIN_ACTIONS[address])
    for _ in range(60):
        page.keyboard.press("Tab")
        focused = page.evaluate(FOCUSED)
        if focused["place"].startswith("BODY"):
            break
        assert focused["ring"], f"no ring round {focused}"
        assert focused["seen"], f"out of sight: {focused}"
        wanted -= {action for action in wanted if focused["text"].startswith(action)}
        if not wanted:
            return
    assert wanted == set()


def test_the_first_tab_shows_a_link_past_the_menu(open_page):
    page = open_page("builder")
    page.goto("/parts/")
    page.keyboard.press("Tab")
    skip = page.get_by_role("link", name="Skip to the content")
    assert page.evaluate(FOCUSED)["text"] == "Skip to the content"
    assert skip.bounding_box()["y"] >= 0
    page.keyboard.press("Enter")
    page.keyboard.press("Tab")
    assert page.evaluate("() => document.querySelector('main').contains(document.activeElement)")


def test_the_account_menu_opens_by_keyboard(open_page):
    page = open_page("builder")
    page.goto("/")
    page.locator("details.account summary").focus()
    page.keyboard.press("Enter")
    page.get_by_role("link", name="Settings").wait_for()


# Without script


@pytest.mark.parametrize(
    "address", ["/", "/parts/?kind=servo", "/packs/", "/pool/", "/builds/", "/rules/", "/imports/"]
)
def test_a_page_shows_the_same_without_script(address, open_page):
    texts = []
    for has_script in (True, False):
        page = open_page("builder", java_script_enabled=has_script)
        page.goto(address)
        texts.append(page.locator("main").inner_text())
    assert texts[0] == texts[1]
    assert len(texts[0]) > 100


def test_parts_are_looked_for_without_script(open_page):
    page = open_page("builder", java_script_enabled=False)
    page.goto("/parts/")
    page.get_by_label("Words or label code").fill("SV-01")
    page.get_by_role("button", name="Show").click()
    assert "SV-01" in page.locator("main").inner_text()
    assert "MT-01" not in page.locator("main").inner_text()


def test_a_flight_is_logged_without_script(things, open_page):
    page = open_page("builder", java_script_enabled=False, **PHONE)
    page.goto(f"/packs/{things.pack}/log/")
    page.get_by_label("Charge used").fill("731 mAh")
    page.get_by_role("button", name="Log it").click()
    assert "731 mAh" in page.get_by_role("table").inner_text().replace("\xa0", " ")


# The picture of the front page


def test_the_picture_in_the_readme_shows_the_build_of_the_demo(things, open_page):
    if os.environ.get("HANGAR_WRITE_SCREENSHOTS") == "1":
        page = open_page("builder", height=1240, color_scheme="light")
        page.goto(f"/builds/{things.build}/")
        PICTURE.parent.mkdir(exist_ok=True)
        page.screenshot(path=PICTURE)
    assert PICTURE.stat().st_size > 20_000
    assert PICTURE.read_bytes().startswith(b"\x89PNG")
