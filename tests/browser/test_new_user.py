"""A newcomer's first evening: from an account and a list of parts to a judged aircraft."""

import re

import pytest

from tests.browser.site import DESK, PHONE

NAME, PASSWORD = "tinkerer", "larch-and-linen-7"
# As kept in a spreadsheet: semicolons, decimal commas, most figures not known.
PARTS = """\
Kind;Maker;Name;Weight (g);cells_max;cell_count;capacity_mah
airframe;Tarrowden;Sparrow;158,0;;;
motor;Ostrelka;2207;33,6;4;;
motor;Ostrelka;2207 spare;34,1;4;;
propeller;Saltgarth;6x4.5;4,4;;;
propeller;Saltgarth;6x4.5 spare;4,3;;;
speed controller;Ostrelka;Small;18,5;3;;
speed controller;Ostrelka;Strong;19,1;4;;
servo;Fennarick;first;9,6;;;
servo;Fennarick;second;9,5;;;
servo;Fennarick;third;9,4;;;
servo;Fennarick;fourth;12,4;;;
receiver;Ivesdale;K2;3,1;;;
flight controller;Pellowick;W3;24,0;;;
camera;Corrimuir;A19;8,2;;;
video unit;Corrimuir;A25;15,8;;;
antenna;Corrimuir;Round;3,6;;;
GPS;Ivesdale;G10;6,6;;;
pack;Dunmarrow;blue;158,0;;4;1300
pack;Dunmarrow;red;161,5;;4;1300
lead;Tarrowden;harness;24,0;;;
"""
# Short name, name, kind, x and y in mm, and which part goes there.
POSITIONS = (
    ("motor", "Motor", "motor", 258, 0, "Ostrelka 2207"),
    ("propeller", "Propeller", "propeller", 276, 0, "Saltgarth 6x4.5"),
    ("controller", "Speed controller", "speed_controller", 190, 0, "Ostrelka Small"),
    ("servo-left", "Left servo", "servo", 196, -120, "Fennarick first"),
    ("servo-right", "Right servo", "servo", 196, 120, "Fennarick second"),
    ("receiver", "Receiver", "receiver", 150, 0, "Ivesdale K2"),
    ("board", "Flight controller", "flight_controller", 128, 0, "Pellowick W3"),
    ("camera", "Camera", "camera", 16, 0, "Corrimuir A19"),
)
AIRFRAME_X_MM, PACK_X_MM = 172, 66


def masses():
    rows = [line.split(";") for line in PARTS.splitlines()[1:]]
    return {f"{row[1]} {row[2]}": float(row[3].replace(",", ".")) for row in rows}


def expected(controller):
    """All-up mass and centre of gravity by hand: sums of masses and of masses times places."""
    known = masses()
    fitted = [(known["Tarrowden Sparrow"], AIRFRAME_X_MM), (known["Dunmarrow blue"], PACK_X_MM)]
    for key, _, _, x_mm, _, part in POSITIONS:
        fitted.append((known[controller if key == "controller" else part], x_mm))
    mass_g = sum(mass for mass, _ in fitted)
    return mass_g, sum(mass * x_mm for mass, x_mm in fitted) / mass_g


@pytest.mark.parametrize("size", [PHONE, DESK], ids=["phone", "desk"])
def test_a_newcomer_goes_from_a_list_of_parts_to_a_judged_build(size, site, open_page):
    name = f"{NAME}{size['width']}"
    page = open_page(**size)
    sign_up(page, name)
    import_list(page)
    add_positions(page)
    build = make_build(page)
    for _, place, _, _, _, part in POSITIONS:
        fit(page, build, place, part)
    choose_pack(page, build)

    mass_g, cg_x_mm = expected("Ostrelka Small")
    assert_weight(page, build, mass_g, cg_x_mm)
    due = page.locator(".finding.warning").filter(has_text="checks are due")
    found = page.locator(".finding.warning").filter(has_text="Speed controller (").inner_text()
    assert due.count() == 1
    assert "at most 3 cells; this pack has 4" in found

    fit(page, build, "Speed controller", "Ostrelka Strong")
    mass_g, cg_x_mm = expected("Ostrelka Strong")
    assert_weight(page, build, mass_g, cg_x_mm)
    assert page.locator(".finding.warning").count() == due.count() == 1

    log_a_flight(page)
    assert spares_of(page, build, "Left servo") == ["Fennarick third", "Fennarick fourth"]
    assert_api_says_the_same(site, name, build, mass_g, cg_x_mm)


def sign_up(page, name):
    page.goto("/sign-in/")
    page.locator("main").get_by_role("link", name=re.compile("account|sign up", re.I)).click()
    page.locator("[name=username]").fill(name)
    page.locator("[name=password1]").fill(PASSWORD)
    page.locator("[name=password2]").fill(PASSWORD)
    page.locator("main").get_by_role("button").click()
    page.get_by_role("heading", name="My hangar").wait_for()


def import_list(page):
    page.goto("/imports/")
    page.locator("input[type=file]").set_input_files(
        {"name": "parts.csv", "mimeType": "text/csv", "buffer": PARTS.encode()}
    )
    page.get_by_role("button", name="Read the list").click()
    page.get_by_role("heading", name="Which column is what?").wait_for()
    page.get_by_role("button", name="Show what becomes of it").click()
    page.get_by_role("button", name="Import 20 parts").click()
    page.get_by_text("Imported: 20 parts added.").wait_for()


def add_positions(page):
    """The airframe's sheet gets its positions, two with every save."""
    page.goto("/sheets/?kind=airframe")
    page.get_by_role("link", name="Tarrowden Sparrow").click()
    page.get_by_role("link", name="Change the positions").click()
    rows = [("airframe", "Airframe", "airframe", AIRFRAME_X_MM, 0), *(r[:5] for r in POSITIONS)]
    for number, row in enumerate(rows):
        fill_position(page, number, row)
        if number % 2 or number == len(rows) - 1:
            page.get_by_role("button", name="Save").click()
            page.locator(".messages").wait_for()
            page.get_by_role("link", name="Change the positions").click()


def fill_position(page, number, row):
    for column, value in zip(("key", "name", "kind", "x_mm", "y_mm"), row, strict=True):
        box = page.locator(f"#id_position-{number}-{column}")
        if column == "kind":
            box.select_option(value)
        else:
            box.fill(str(value))


def make_build(page):
    page.goto("/builds/add/")
    page.get_by_label(re.compile("^Name")).fill("First wing")
    choose(page.get_by_label("Airframe"), "Tarrowden Sparrow")
    page.get_by_role("button", name="Make it").click()
    page.get_by_role("heading", name="First wing").wait_for()
    return int(re.search(r"/builds/(\d+)/", page.url)[1])


def choose(box, words):
    label = box.locator("option").filter(has_text=words).first.inner_text()
    box.select_option(label=label)


def open_position(page, build, place):
    page.goto(f"/builds/{build}/")
    page.locator("table.positions").get_by_role("link", name=place, exact=True).click()
    page.get_by_role("heading", level=1, name=re.compile(place)).wait_for()


def fit(page, build, place, part):
    """Fit the part that the page itself proposes."""
    open_position(page, build, place)
    row = page.locator("li.spare").filter(has=page.get_by_role("link", name=part, exact=True))
    row.get_by_role("button", name=re.compile("^(Fit it|Put it in instead)")).click()
    page.locator(".messages").wait_for()


def choose_pack(page, build):
    page.goto(f"/builds/{build}/change/")
    choose(page.get_by_label("Usual pack"), "Dunmarrow blue")
    page.get_by_label("The pack's place").fill(f"{PACK_X_MM} mm")
    page.locator("main").get_by_role("button", name=re.compile("Save", re.I)).click()
    page.get_by_role("heading", name="First wing").wait_for()


def assert_weight(page, build, mass_g, cg_x_mm):
    page.goto(f"/builds/{build}/")
    text = " ".join(page.locator("dl.lead").inner_text().split())
    assert f"{mass_g:.1f} g".replace(".0 g", " g") in text
    shown = float(re.search(r"Centre of gravity ([\d.]+) mm", text)[1])
    assert shown == pytest.approx(cg_x_mm, abs=0.051)


def log_a_flight(page):
    page.goto("/packs/")
    page.get_by_role("link", name="Log of Dunmarrow blue").click()
    page.get_by_label("Charge used").fill("910")
    page.get_by_label(re.compile("^Time")).fill("6.5")
    page.get_by_role("button", name="Log it").click()
    entries = page.get_by_role("table").inner_text().replace("\xa0", " ")
    assert "910 mAh" in entries


def spares_of(page, build, place):
    open_position(page, build, place)
    return page.locator("li.spare strong").all_inner_texts()


def assert_api_says_the_same(site, name, build, mass_g, cg_x_mm):
    figures = site.api(name, f"builds/{build}/figures/")
    assert figures["auw_g"]["value"] == pytest.approx(mass_g, abs=1e-6)
    assert figures["cg_x_mm"]["value"] == pytest.approx(cg_x_mm, abs=1e-6)
    findings = site.api(name, f"builds/{build}/findings/")["findings"]
    warnings = [one["rule"] for one in findings if one["level"] == "warning"]
    assert warnings == ["checks.checks_due"]
    pack = site.every(name, "parts/?kind=pack&q=blue")[0]
    assert pack["mass_g"] == 158.0
    entry = site.every(name, f"packs/{pack['code']}/log/")[0]
    assert (entry["charge_mah"], entry["duration_s"]) == (910, 390)
    positions = site.every(name, f"builds/{build}/positions/")
    servo = next(one for one in positions if one["key"] == "servo-left")
    spares = site.api(name, f"builds/{build}/spares/?position={servo['id']}")["candidates"]
    assert [one["name"] for one in spares] == ["Fennarick third", "Fennarick fourth"]
