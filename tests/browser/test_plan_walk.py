"""Walks through the plan of a cook in a real browser: read, weigh, keep, unfold, on a desk and on a phone."""

from __future__ import annotations

import re

import pytest

from tests.browser.chromium import DESKTOP, PHONE

WIDE = {"width": 1360, "height": 900}


def open_plan(open_page, **kwargs):
    page = open_page("/", **kwargs)
    page.click("text=Demo clear base")
    page.locator("#face .verdict").first.wait_for()
    page.goto(f"{page.url.partition('?')[0]}/plan")
    page.locator("#steps").wait_for()
    return page


def field(page, name: str):
    return page.locator(f'[id="{name}"]')


@pytest.mark.parametrize("viewport", [WIDE, DESKTOP, PHONE], ids=["wide", "desktop", "phone"])
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_the_plan_is_accessible_and_fits_the_width(open_page, accessibility_faults, viewport, scheme):
    page = open_plan(open_page, viewport=viewport, color_scheme=scheme)
    for name in ("sizes", "ways"):
        page.click(f"#{name} > summary")
        page.locator(f"#{name}-shown table").wait_for()
    assert accessibility_faults(page) == []
    assert page.evaluate("document.documentElement.scrollWidth") <= viewport["width"]


@pytest.mark.parametrize(
    ("width", "shown"), [(1360, "wide"), (820, "middle"), (390, "narrow")], ids=["desk", "tablet", "phone"]
)
def test_one_timeline_is_shown_and_its_text_keeps_its_size(open_page, width, shown):
    page = open_plan(open_page, viewport={"width": width, "height": 900})
    for name in ("wide", "middle", "narrow"):
        assert page.locator(f".cook-line > .{name}").is_visible() == (name == shown)
    drawn = page.locator(f".cook-line > .{shown} svg")
    scale = drawn.evaluate("svg => svg.getBoundingClientRect().width / svg.viewBox.baseVal.width")
    assert 0.85 < scale < 1.3


def test_weights_are_answered_while_one_types_and_kept_by_a_press(open_page):
    page = open_plan(open_page)
    field(page, "back.before").fill("2184 g")
    field(page, "back.now").press_sequentially("2131 g")
    page.locator("#back-answer").filter(has_text="have left by the scale").wait_for()
    assert re.search(r"Add \d+.g of ethanol", page.locator("#back-answer .verdict").inner_text())
    assert page.evaluate("document.activeElement.id") == "back.now"
    page.reload()
    assert field(page, "back.before").input_value() == "2184 g"
    page.get_by_role("button", name="Keep this weighing").click()
    page.locator("#back [role=status]").filter(has_text="The weighing is kept").wait_for()
    assert page.locator("#kettle .list > li").count() == 1
    page.locator("#kettle").get_by_role("button", name="Remove").click()
    page.locator("#kettle").filter(has_text="Nothing is kept yet.").wait_for()


def test_what_cannot_be_read_is_said_beside_its_field_and_goes_again(open_page):
    page = open_plan(open_page)
    now = field(page, "back.now")
    now.fill("light")
    fault = field(page, "fault-back.now")
    fault.filter(has_text="cannot be read as a mass").wait_for()
    assert now.input_value() == "light"
    now.fill("2 kg 131 g")
    fault.locator(".fault").wait_for(state="detached")
    assert now.input_value() == "2 kg 131 g"


def test_another_step_says_what_counts_for_it(open_page):
    page = open_plan(open_page)
    page.click("text=It was longer, hotter or open")
    field(page, "back.step").select_option("7")
    page.locator("#as-step").filter(has_text="Step 7: 10").wait_for()


def test_the_syrup_is_checked_while_one_types(open_page):
    page = open_plan(open_page)
    field(page, "syrup.brix").fill("68")
    page.locator("#syrup-answer").filter(has_text="Use 162").wait_for()  # 110 g of sugar / 0.68 = 161.8 g


def test_other_sizes_follow_the_fields(open_page):
    page = open_plan(open_page)
    page.click("#sizes > summary")
    page.locator("#sizes-shown").filter(has_text="10 kg").wait_for()
    field(page, "b").fill("2 kg")
    page.locator("#sizes-shown thead").filter(has_text="2 kg").wait_for()
    field(page, "a").fill("lots")
    page.locator("#fault-a").filter(has_text="cannot be read as a mass").wait_for()


def test_tests_and_cautions_unfold_by_keyboard(open_page):
    page = open_plan(open_page)
    test = page.locator("#test-step-5-cooled-sample")
    test.locator("summary").focus()
    page.keyboard.press("Enter")
    assert test.locator("text=clear and firm").is_visible()
    again = page.locator("#step-2 .again")
    again.locator("summary").focus()
    page.keyboard.press("Enter")
    assert again.locator("text=Lye causes severe burns").is_visible()


def test_everything_works_without_a_script(open_page):
    page = open_plan_without_script(open_page)
    field(page, "back.before").fill("2184 g")
    field(page, "back.now").fill("2131 g")
    page.get_by_role("button", name="Work it out").click()
    assert "have left by the scale" in page.locator("#back-answer").inner_text()
    page.click("#sizes > summary")
    page.get_by_role("button", name="Show both").click()
    assert "10 kg" in page.locator("table.beside thead").inner_text()
    page.click("text=Back to the plan")
    page.click("#ways > summary")
    page.click("text=Work them out")
    assert "ethanol 70 % vol" in page.locator("table.ways-table").inner_text()


def open_plan_without_script(open_page):
    page = open_page("/", java_script_enabled=False)
    page.click("text=Demo clear base")
    page.goto(f"{page.url.partition('?')[0]}/plan")
    return page


def test_paper_shows_the_steps_and_leaves_out_what_is_pressed(open_page):
    page = open_plan(open_page)
    page.emulate_media(media="print")
    assert page.locator("#step-5 .does").is_visible()
    assert page.locator("#test-step-5-cooled-sample .results").is_visible()
    assert not page.locator("#back form").first.is_visible()
    assert not page.locator("#step-2 .again > p").first.is_visible()
    assert page.locator("#step-2 .again > summary").is_visible()
    assert not page.locator("#sizes").is_visible()


def test_paper_shows_other_sizes_when_they_are_open(open_page):
    page = open_plan(open_page)
    page.click("#sizes > summary")
    page.locator("#sizes-shown table").wait_for()
    page.emulate_media(media="print")
    assert page.locator("#sizes-shown table").is_visible() and not page.locator("#ways").is_visible()


@pytest.mark.parametrize("width", [360, 390, 1280])
def test_fields_side_by_side_stand_on_one_line(open_page, width):
    page = open_plan(open_page, viewport={"width": width, "height": 800})
    page.click("text=It was longer, hotter or open")
    for left, right in (("back.before", "back.now"), ("back.minutes", "back.temperature"), ("syrup.tare", "syrup.now")):
        assert field(page, left).bounding_box()["y"] == pytest.approx(field(page, right).bounding_box()["y"], abs=0.5)
    field(page, "back.now").fill("light")
    field(page, "fault-back.now").locator(".fault").wait_for()
    assert field(page, "back.before").bounding_box()["y"] == field(page, "back.now").bounding_box()["y"]
