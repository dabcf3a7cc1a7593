"""Three stories of the demo, clicked through as its builder.

The figures are those of the demo's own table: invented with it, and checked by hand there.
"""

import re

import pytest

from tests.browser.site import DESK, PHONE


@pytest.fixture(params=[PHONE, DESK], ids=["phone", "desk"])
def wing(request, open_page):
    """The page of A1, opened from the list of builds."""
    page = open_page("builder", **request.param)
    open_build(page)
    return page


def open_build(page):
    page.goto("/")
    page.get_by_role("link", name="Builds", exact=True).click()
    page.get_by_role("link", name="A1 Tarrow 640").click()
    page.get_by_role("heading", level=1, name=re.compile("A1 Tarrow 640")).wait_for()


def words(locator):
    """Its text with single spaces, whatever spaces were set between numbers and units."""
    return " ".join(locator.inner_text().split())


def open_details(page, summary):
    page.locator("summary").filter(has_text=re.compile(summary)).first.click()


def found(page, text):
    finding = page.locator(".finding").filter(has_text=text).first
    finding.wait_for()
    return words(finding)


def test_the_wing_is_weighed_balanced_and_says_what_it_cannot_tell(wing):
    lead = words(wing.locator("dl.lead"))
    assert "All-up weight 509.1 g" in lead
    assert re.search(r"507\.\d g to 511\.\d g", lead)
    assert "Centre of gravity 134 mm" in lead
    assert "129.4 mm to 138.6 mm" in lead
    assert wing.locator(".finding.warning").count() == 0
    open_details(wing, "not judged")
    gaps = wing.locator("details[open] li")
    assert gaps.count() >= 1
    # Each names the rule that it could not judge, and says what to measure or enter.
    for text in gaps.all_inner_texts():
        assert "?" in text
        assert re.search(r"(find out|measure|weigh|set|enter|give)", text, re.I), text


def test_the_high_voltage_pack_is_too_much_for_the_video_unit_and_too_light(wing):
    box = wing.get_by_label("Look at it with")
    label = box.locator("option").filter(has_text="PK-08").first.inner_text()
    box.select_option(label=label)
    wing.get_by_role("button", name="Show").click()
    wing.wait_for_url(re.compile("pack="))
    voltage = found(wing, "Video unit")
    assert "WARNING" in voltage
    assert "17.0 V" in voltage
    assert "17.4 V" in voltage
    assert words(wing.locator("dl.lead")).count("469.1 g") == 1
    assert wing.locator(".finding").filter(has_text=re.compile("tray", re.I)).count() >= 1


def test_the_motor_moved_beside_a_servo_is_told_which_outputs_are_free(wing):
    set_output(wing, "3")
    try:
        clash = found(wing, "timer")
        assert "Motor on 3, Left servo on 4, Right servo on 5" in clash
        assert "Free of servos: 1, 2, 6" in clash
        opened = wing.locator(".finding").filter(has_text="timer").first
        opened.locator("summary").click()
        opened.get_by_text("Source:").wait_for()
    finally:
        set_output(wing, "1")
    assert wing.locator(".finding").filter(has_text="timer").count() == 0


def set_output(page, output):
    open_build(page)
    page.locator("table.positions").get_by_role("link", name="Motor", exact=True).click()
    page.get_by_role("link", name="Change the position").click()
    open_details(page, "Room, holes and power")
    page.get_by_label("Output").fill(output)
    page.locator("main").get_by_role("button", name="Save").click()
    page.get_by_role("heading", level=1).wait_for()
    open_build(page)


def test_the_narrow_camera_fits_its_slot_with_a_shim(wing):
    open_details(wing, r"\d accepted$")
    shim = found(wing, "21.6 mm")
    assert "20.0 mm" in shim
    assert "0.8 mm" in shim
