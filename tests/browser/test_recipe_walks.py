"""Walks through the pages in a real browser, as a maker would take them."""

from __future__ import annotations

import re
import time

import pytest

from tests.browser.chromium import DESKTOP, PHONE

AMOUNT = '[id="line.1.amount"]'


def settled(page, selector: str, text: str) -> None:
    """Wait until an element says the text."""
    page.locator(selector).filter(has_text=text).first.wait_for()


def open_demo(open_page, **kwargs):
    page = open_page("/", **kwargs)
    page.click("text=Demo clear base")
    page.locator("#face .verdict").first.wait_for()
    return page


def test_three_clicks_from_the_front_page_to_a_printable_weigh_sheet(open_page):
    page = open_page("/")
    page.click("text=Demo clear base")
    page.click("text=Weigh sheet")
    page.evaluate("window.print = () => { window.printed = true }")
    page.get_by_role("button", name="Print").click()
    assert page.evaluate("window.printed")
    assert page.locator(".weight").first.inner_text() == "200 g"


def test_an_own_base_from_an_empty_start(open_page):
    start = time.monotonic()
    page = open_page("/")
    page.click("text=Start an empty one")
    page.check("text=First clear base")
    page.fill("input[name=name]", "My first base")
    page.click("text=Begin with these lines")
    page.fill(AMOUNT, "40 %")
    settled(page, "#weigh-1", "%")
    page.click("#add-fats summary")
    page.fill('[name="ui.find.fats"]', "tallov")
    page.click("#offers-fats button:has-text('allow')")
    page.wait_for_url(re.compile("focus=line"))
    assert page.evaluate("document.activeElement.id").endswith(".amount")
    page.keyboard.type("5 %")
    settled(page, "#saved", "Not saved yet, but kept")
    page.click("text=Weigh sheet")
    assert "My first base" in page.locator("h1").inner_text()
    assert "Beef tallow" in page.locator("table").inner_text() or "allow" in page.locator("table").inner_text()
    assert time.monotonic() - start < 60


def test_the_fields_never_cover_the_method_under_them(open_page):
    page = open_demo(open_page, viewport={"width": 1360, "height": 900})
    page.locator("#method-shown li").last.scroll_into_view_if_needed()
    bench, under = page.locator(".bench").bounding_box(), page.locator(".under").bounding_box()
    assert bench["y"] + bench["height"] <= under["y"]
    page.click("text=Write your own steps")
    assert page.get_by_role("button", name="Add a step").is_visible()


def test_typing_updates_everything_and_keeps_the_focus(open_page):
    page = open_demo(open_page)
    page.click(AMOUNT)
    page.keyboard.press("ControlOrMeta+A")
    page.keyboard.type("250 g", delay=30)
    settled(page, "#weigh-1", "250")
    settled(page, ".keys", "75.7")
    assert page.evaluate("document.activeElement.id") == "line.1.amount"
    assert page.locator(AMOUNT).evaluate("field => field.selectionStart") == 5
    settled(page, "#beside", "Coconut oil")
    settled(page, "#total-fats", "450 g")
    settled(page, "#glass .wide", "1")


def test_a_field_that_cannot_be_read_says_so_beneath_it_and_recovers(open_page):
    page = open_demo(open_page)
    page.fill(AMOUNT, "20x")
    settled(page, '[data-fault="line.1.amount"]', "Meanwhile “200 g” counts.")
    assert page.get_attribute(AMOUNT, "aria-invalid") == "true"
    assert page.locator("#weigh-1").inner_text().startswith("200")
    page.fill(AMOUNT, "201 g")
    settled(page, "#weigh-1", "201")
    page.wait_for_function("document.querySelector('[data-fault=\"line.1.amount\"]').childElementCount === 0")
    assert page.get_attribute(AMOUNT, "aria-invalid") is None


def test_a_reload_keeps_what_was_typed_and_saving_makes_a_version(open_page):
    page = open_demo(open_page)
    page.fill(AMOUNT, "215 g")
    settled(page, "#saved", "Not saved yet, but kept")
    page.reload()
    assert page.input_value(AMOUNT) == "215 g"
    page.get_by_role("button", name="Save", exact=True).click()
    settled(page, "[role=status]", "Saved as a new version.")
    settled(page, "#saved", "Version 2")
    page.get_by_role("button", name="Undo").click()
    assert page.input_value(AMOUNT) == "200 g"


def test_a_number_opens_its_working_and_it_stays_open(open_page):
    page = open_demo(open_page)
    asked = page.locator("#weigh-4 .n")
    asked.click()
    settled(page, "#work-4", "The fats take up 91.370 g as KOH")
    assert asked.get_attribute("aria-expanded") == "true"
    page.fill(AMOUNT, "210 g")
    settled(page, "#work-4", "The fats take up 93.935 g as KOH")
    asked.focus()
    page.keyboard.press("Escape")
    assert page.locator("#work-4 .work").is_hidden()
    assert page.evaluate("document.activeElement.getAttribute('aria-controls')") == "why-line-4-weigh-lye"


def test_the_state_is_chosen_with_the_keyboard(open_page):
    page = open_demo(open_page)
    page.focus("#state-cooked")
    page.keyboard.press("ArrowRight")
    page.wait_for_function("document.querySelector('#state-finished')?.checked === true")
    page.wait_for_function("document.activeElement.id === 'state-finished'")


def test_the_page_works_by_keyboard_alone(open_page):
    page = open_page("/")
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.textContent").startswith("Skip to")
    page.keyboard.press("Enter")
    for _ in range(12):
        page.keyboard.press("Tab")
        if "Demo clear base" in page.evaluate("document.activeElement.textContent"):
            break
    page.keyboard.press("Enter")
    page.locator("#face .verdict").first.wait_for()
    page.focus(AMOUNT)
    page.keyboard.press("ControlOrMeta+A")
    page.keyboard.type("205 g")
    settled(page, "#weigh-1", "205")
    page.keyboard.press("Enter")
    page.wait_for_load_state()
    assert page.input_value(AMOUNT) == "205 g"


def test_one_polite_sentence_is_said_once_the_fingers_rest(open_page):
    page = open_demo(open_page)
    page.fill(AMOUNT, "220 g")
    settled(page, "#aloud", "in the pot")
    assert page.locator("[aria-live=polite]").count() == 1


@pytest.mark.parametrize("viewport", [DESKTOP, PHONE], ids=["desktop", "phone"])
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_nothing_is_hard_to_use(open_page, accessibility_faults, viewport, scheme):
    page = open_demo(open_page, viewport=viewport, color_scheme=scheme)
    assert accessibility_faults(page) == []
    address = page.url.rsplit("/", 1)[1]
    others = (
        "/recipes/new",
        f"/recipes/{address}/sheet",
        f"/recipes/{address}/versions",
        f"/recipes/{address}/text",
        "/shelf?q=coco",
        "/shelf/coconut",
        "/shelf/enter/lot?of=coconut",
        "/shelf/enter/sheet",
        f"/compare?a={address}&b={address}",
        "/sources",
    )
    for path in others:
        page.goto(path)
        assert accessibility_faults(page) == [], path
        assert page.evaluate("document.documentElement.scrollWidth") <= viewport["width"], path


def test_what_is_opened_is_easy_to_use_too(open_page, accessibility_faults):
    page = open_demo(open_page)
    page.fill(AMOUNT, "20x")
    settled(page, '[data-fault="line.1.amount"]', "Meanwhile")
    page.click("#weigh-4 .n")
    settled(page, "#work-4", "The fats take up")
    page.click("#add-clear summary")
    page.click("#more-1 summary")
    for details in ("#more-vessels", "#more-measured", "#more-certainty", "#more-steps"):
        page.click(f"{details} > summary")
    assert accessibility_faults(page) == []


@pytest.mark.parametrize("width", [360, 390, 700, 820, 1024, 1360])
def test_no_page_scrolls_sideways(open_page, width):
    page = open_demo(open_page, viewport={"width": width, "height": 844})
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    page.fill(AMOUNT, "230 g")
    settled(page, "#weigh-1", "230")
    assert page.evaluate("document.documentElement.scrollWidth") <= width


def test_on_a_phone_the_dock_stays_and_sections_fold_under_their_verdict(open_page):
    page = open_demo(open_page, viewport=PHONE)
    assert page.locator("#dock .n").count() == 4
    assert page.locator("#dock").is_visible()
    assert page.locator("#fold-sure .sec-body").is_hidden()
    page.locator("#fold-sure > summary").click()
    assert page.locator("#fold-sure .sec-body").is_visible()
    page.fill(AMOUNT, "230 g")
    settled(page, "#dock", "72.0")
    assert page.locator("#fold-sure .sec-body").is_visible()
    page.locator("#dock .n").first.click()
    settled(page, ".keys-work", "The fats take up")
    page.locator("#dock .dock-worst").click()
    page.wait_for_function("document.getElementById('minds').getBoundingClientRect().top < innerHeight")


def test_light_and_dark_are_remembered(open_page):
    page = open_page("/", color_scheme="light")
    page.get_by_role("button", name="Light or dark").click()
    assert page.evaluate("document.documentElement.dataset.theme") == "dark"
    page.reload()
    assert page.evaluate("document.documentElement.dataset.theme") == "dark"
    page.goto("/shelf")
    page.get_by_role("button", name="Light or dark").click()
    page.goto("/")
    assert page.evaluate("document.documentElement.dataset.theme") == "light"


def test_without_a_script_everything_still_works(open_page):
    page = open_page("/", java_script_enabled=False)
    page.click("text=Demo clear base")
    page.fill(AMOUNT, "240 g")
    page.click("#weigh-4 .n")
    assert page.input_value(AMOUNT) == "240 g"
    assert "The fats take up" in page.locator("#work-4").inner_text()
    assert page.locator("#weigh-1").inner_text().startswith("240")
    page.get_by_role("button", name="Save", exact=True).click()
    assert "Saved as a new version." in page.locator("[role=status]").first.inner_text()
    page.click("text=Weigh sheet")
    assert "240 g" in page.locator(".weight").first.inner_text()


def test_the_shelf_is_searched_and_judged_while_typing(open_page):
    page = open_page("/shelf")
    page.fill("input[name=q]", "cocunut")
    settled(page, "#found", "Coconut oil")
    page.goto("/shelf/enter/sheet")
    page.fill('[name="name"]', "Blue bottle")
    page.fill('[name="substance.0"]', "methanol")
    page.fill('[name="share.0"]', "10 %")
    settled(page, "#verdict", "Do not cook with it.")
    page.reload()
    assert page.input_value('[name="substance.0"]') == "methanol"


def test_the_recipe_prints_without_anything_to_press(open_page):
    page = open_demo(open_page)
    page.emulate_media(media="print")
    for hidden in (".rooms", "#dock", ".presses", ".demo", "#add-fats"):
        assert page.locator(hidden).first.is_hidden(), hidden
    assert page.locator(".steps").first.is_visible()
    assert page.pdf(format="A4")[:5] == b"%PDF-"


def test_a_program_that_has_gone_is_noticed_and_what_is_typed_stays(browser, live_server):
    page = browser.new_page(base_url=live_server)
    page.goto("/")
    page.click("text=Demo clear base")
    page.locator("#face .verdict").first.wait_for()
    page.route("**/live", lambda route: route.abort())
    page.fill(AMOUNT, "210 g")
    settled(page, "#saved", "does not answer")
    page.unroute("**/live")
    page.fill(AMOUNT, "211 g")
    settled(page, "#saved", "Not saved yet, but kept")
    assert page.input_value(AMOUNT) == "211 g"
    page.close()


def test_what_is_said_once_is_not_said_again(open_page):
    page = open_demo(open_page)
    page.fill(AMOUNT, "215 g")
    page.get_by_role("button", name="Save", exact=True).click()
    settled(page, "[role=status]", "Saved as a new version.")
    page.wait_for_url(lambda address: "said=" not in address)
    page.reload()
    assert "Saved as a new version." not in page.content()


def test_a_fault_of_ours_shows_what_was_typed(browser, live_server, monkeypatch):
    page = browser.new_page(base_url=live_server)
    page.goto("/")
    page.click("text=Demo clear base")
    page.locator("#face .verdict").first.wait_for()

    def fail(*_args: object, **_kwargs: object) -> None:
        raise ZeroDivisionError

    monkeypatch.setattr("kettleglass.web.at_work.preview", fail)
    with page.expect_response("**/live") as answered:
        page.fill(AMOUNT, "333 g")
    assert answered.value.status == 500
    settled(page, "#face", "Kettleglass failed here.")
    settled(page, "#face .kept", "333 g")
    assert page.input_value(AMOUNT) == "333 g"
    page.close()


@pytest.mark.parametrize("height", [768, 900, 1080])
def test_save_is_in_sight_on_a_desk(open_page, height):
    page = open_demo(open_page, viewport={"width": 1360, "height": height})
    place = page.get_by_role("button", name="Save", exact=True).bounding_box()
    assert place is not None and place["y"] + place["height"] <= height


def test_enter_in_a_field_works_it_out_where_it_stands(open_page):
    page = open_demo(open_page)
    page.evaluate("document.body.dataset.same = 'page'")
    page.fill(AMOUNT, "230 g")
    page.press(AMOUNT, "Enter")
    settled(page, "#weigh-1", "230")
    assert page.evaluate("document.body.dataset.same") == "page"
    assert page.evaluate("document.activeElement.name.endsWith('.amount')")
