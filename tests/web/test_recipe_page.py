"""The recipe page without a script: everything a button does, what is kept while one types, and what is never lost."""

from __future__ import annotations

import re

import pytest

from kettleglass.recipe.exchange import read_recipe
from kettleglass.workshop import list_recipes, load_recipe, save_recipe, take_draft
from tests.web.conftest import client_for, fields_of, recipe_address, words_of


def book_of(client, *, invented: bool = True):
    return client.app.state.desk.book(invented=invented)


def page_of(client, address: str) -> str:
    answer = client.get(address)
    assert answer.status_code == 200
    return answer.text


def pressed(client, address: str, do: str, **changes: str) -> str:
    """The page that follows when that button is pressed with these fields changed (dots written as two underscores)."""
    fields = fields_of(page_of(client, address)) | {name.replace("__", "."): text for name, text in changes.items()}
    answer = client.post(address, data={**fields, "do": do})
    assert answer.status_code == 303, answer.text[:300]
    return page_of(client, answer.headers["location"].partition("#")[0])


def live(client, address: str, **changes: str) -> str:
    """The refreshed parts after these fields were changed."""
    fields = fields_of(page_of(client, address)) | {name.replace("__", "."): text for name, text in changes.items()}
    answer = client.post(f"{address}/live", data=fields, headers={"hx-request": "true"})
    assert answer.status_code == 200
    return answer.text


def weight(html: str, row: int) -> str:
    """What the page says to weigh out of a line."""
    cell = re.search(rf'(?:id="weigh-{row}">|data-piece="weigh-{row}">)(.*?)</button>', html, re.DOTALL)
    assert cell
    return words_of(cell[1])


def test_fields_come_back_as_they_stand_in_the_book(pages):
    address = recipe_address(pages)
    before = load_recipe(book_of(pages), address.rsplit("/", 1)[1])
    page = pressed(pages, address, "save")
    assert "Nothing had changed" in page
    assert load_recipe(book_of(pages), before.id) == before


def test_a_changed_amount_changes_the_weights_at_once(pages):
    address = recipe_address(pages)
    assert weight(page_of(pages, address), 4) == "66.4 g"
    refreshed = live(pages, address, line__1__amount="400 g")
    assert weight(refreshed, 1) == "400 g"
    assert weight(refreshed, 4) == "103.7 g"
    assert "Not saved yet, but kept" in refreshed


def test_amounts_are_read_as_people_say_them(pages):
    address = recipe_address(pages)
    for said, grams in (("200", "200 g"), ("1 lb 4 oz", "567 g"), ("1,5 kg", "1500 g"), ("½ kg", "500 g")):
        assert weight(live(pages, address, line__1__amount=said), 1) == grams
    assert weight(live(pages, address, line__6__amount="150 mL"), 6) == "122 g"
    assert weight(live(pages, address, line__1__amount="200 g", line__3__amount="15 %"), 3) == "60 g"


def test_lye_water_says_what_it_means_in_the_other_ways(pages):
    address = recipe_address(pages)
    assert "also a lye of 41.7 %, 22.7 % of fats, 91 g of water in all" in words_of(page_of(pages, address))
    assert "also 1:1.4" in words_of(live(pages, address, alkali__lye_water="41.67 %"))
    asked = words_of(live(pages, address, alkali__lye_water="30"))
    assert "“30” can mean more than one thing." in asked
    assert "Meanwhile “1:1.4” counts." in asked or "Meanwhile “41.67 %” counts." in asked


def test_a_field_that_cannot_be_read_says_so_and_the_rest_goes_on(pages):
    address = recipe_address(pages)
    live(pages, address, line__1__amount="300 g")
    refreshed = live(pages, address, line__1__amount="30x", line__2__amount="100 g")
    assert 'data-for="line.1.amount"' in refreshed
    assert "Meanwhile “300 g” counts." in words_of(refreshed)
    assert (weight(refreshed, 1), weight(refreshed, 2)) == ("300 g", "100 g")
    page = page_of(pages, address)
    assert fields_of(page)["line.1.amount"] == "30x"
    assert 'aria-invalid="true"' in page


def test_what_is_impossible_gives_way_to_what_was_possible(pages):
    address = recipe_address(pages)
    refreshed = live(pages, address, alkali__superfat="99 %", kettle__height="5 mm", scale__step="0 g")
    for wrong, said in (("alkali.superfat", "99"), ("kettle.height", "5"), ("scale.step", "0")):
        fault = refreshed[refreshed.index(f'data-for="{wrong}"') :].partition("</li>")[0]
        assert said in fault
        assert "Meanwhile" in fault
    assert weight(refreshed, 4) == "66.4 g"


def test_what_cannot_be_solved_is_said_in_place_of_the_results(pages):
    address = recipe_address(pages)
    refreshed = words_of(live(pages, address, line__6__amount="60 % of whole", line__7__amount="50 % of whole"))
    assert "The amounts in % of the whole add up to 110 %." in refreshed
    assert "Lower them, or give some of them by mass." in refreshed


def test_saving_makes_a_version_and_undo_takes_it_back(pages):
    address = recipe_address(pages)
    page = pressed(pages, address, "save", line__1__amount="250 g")
    assert "Saved as a new version." in page
    assert "Version 2, saved" in page
    assert "200 g" in fields_of(pressed(pages, address, "undo"))["line.1.amount"]
    assert "250 g" in fields_of(pressed(pages, address, "redo"))["line.1.amount"]
    assert "There is nothing to do again." in pressed(pages, address, "redo")


def test_undo_first_puts_aside_what_is_not_saved_and_it_can_be_brought_back(pages):
    address = recipe_address(pages)
    live(pages, address, line__1__amount="250 g")
    assert fields_of(pressed(pages, address, "undo", line__1__amount="250 g"))["line.1.amount"] == "200 g"
    versions = page_of(pages, f"{address}/versions")
    assert "coconut 250 g" in versions
    number = re.search(r'name="draft" value="(\d+)"', versions)[1]
    answer = pages.post(f"{address}/versions", data={"draft": number})
    assert answer.status_code == 303
    assert fields_of(page_of(pages, address))["line.1.amount"] == "250 g"


def test_there_is_nothing_before_the_first_version(pages):
    assert "There is nothing further back." in pressed(pages, recipe_address(pages), "undo")


def test_a_line_is_added_moved_and_removed(pages):
    address = recipe_address(pages)
    page = pressed(pages, address, "add:fats:palm", line__1__amount="210 g")
    assert fields_of(page)["line.1.amount"] == "210 g"
    assert fields_of(page)["line.9.material"] == "palm"
    assert "How much of it?" in page
    page = pressed(pages, address, "up:9", line__9__amount="50 g")
    assert fields_of(page)["order.line"].split()[2] == "9"
    assert page.index("Palm oil") < page.index("Castor oil")
    page = pressed(pages, address, "remove:1")
    assert "line.1.amount" not in fields_of(page)
    assert "Coconut oil" not in page[: page.index("What to mind")]
    assert weight(page, 9) == "50 g"


def test_a_line_comes_under_a_key_of_its_own(pages):
    address = recipe_address(pages)
    page = pressed(pages, address, "add:fats:coconut")
    fields = fields_of(page)
    assert fields["line.9.key"] not in {fields[f"line.{n}.key"] for n in range(1, 9)}


def test_a_strength_as_people_say_it_can_be_added(pages):
    address = recipe_address(pages)
    offers = pages.get(f"{address}/offers", params={"group": "clear", "ui.find.clear": "91 % isopropanol"}).text
    assert 'value="add:clear:91 % isopropanol"' in offers
    page = pressed(pages, address, "add:clear:91 % isopropanol")
    assert "91 % isopropanol" in page
    asked = pages.get(f"{address}/offers", params={"group": "clear", "ui.find.clear": "190 proof"}).text
    assert "190 US proof" in asked


def test_the_search_works_without_a_script(pages):
    address = recipe_address(pages)
    page = pressed(pages, address, "find:fats", ui__find__fats="cocao butter")
    assert 'value="add:fats:cocoa_butter"' in page
    assert '<details class="add" id="add-fats" open>' in page


def test_a_number_opens_its_working_without_a_script(pages):
    address = recipe_address(pages)
    assert "The fats take up" not in page_of(pages, address)
    page = pressed(pages, address, "open:why-line-4-weigh-lye")
    assert "The fats take up 91.370 g as KOH, which is 65.14 g NaOH." in page
    assert 'aria-expanded="true" aria-controls="why-line-4-weigh-lye"' in page


def test_the_cure_can_be_taken(pages):
    page = pressed(pages, recipe_address(pages), "set:alkali.superfat:1.5 %")
    assert fields_of(page)["alkali.superfat"] == "1.5 %"


def test_steps_of_ones_own(pages):
    address = recipe_address(pages)
    page = pressed(pages, address, "step-usual")
    fields = fields_of(page)
    texts = [text for name, text in fields.items() if re.fullmatch(r"method\.\d+\.text", name)]
    assert len(texts) == 8
    assert "Melt the fats" in texts[0]
    page = pressed(pages, address, "step-down:1", method__1__text="Warm the kettle.", method__1__time="5 min")
    assert fields_of(page)["order.method"].startswith("2 1")
    page = pressed(pages, address, "save")
    saved = load_recipe(book_of(pages), address.rsplit("/", 1)[1])
    assert read_recipe(saved.text).recipe.method[1].text == "Warm the kettle."
    assert "method.2.text" not in fields_of(pressed(pages, address, "step-remove:2"))


def test_a_titration_is_worked_out(pages):
    page = pressed(
        pages, recipe_address(pages), "titrate", titration__sample="10 g", titration__volume="1.5 mL",
        titration__blank="0.1 mL", titration__normality="0.1",
    )  # fmt: skip
    assert fields_of(page)["recipe.measured_free_alkali"] == "0.056 %"
    assert "You measured 0.06 % of free alkali" in words_of(page)
    page = pressed(pages, recipe_address(pages, "Opaque white base"), "titrate")
    assert fields_of(page)["recipe.measured_free_alkali"] == ""
    page = pressed(pages, recipe_address(pages), "titrate", titration__volume="much")
    assert "“much”" in page


def test_a_batch_size_at_which_the_alkali_falls_on_a_step_can_be_taken(pages):
    address = recipe_address(pages)
    offer = re.search(r'value="(size:[\d.]+)"', page_of(pages, address))
    assert offer
    fields = fields_of(pressed(pages, address, offer[1]))
    assert (fields["size.by"], fields["size.mass"]) == ("fats", f"{offer[1].removeprefix('size:')} g")


def test_a_copy_stands_beside_and_a_removed_recipe_comes_back(pages):
    address = recipe_address(pages)
    assert "This is a copy of its own now." in pressed(pages, address, "copy")
    assert "Demo clear base (copy)" in pages.get("/").text
    answer = pages.post(address, data={"do": "remove-recipe"})
    assert answer.headers["location"].startswith("/?said=removed")
    assert f'href="{address}"' not in pages.get("/").text
    removed = pages.get("/?removed=1").text
    assert "Demo clear base" in removed
    pages.post(f"{address}/versions", data={})
    assert recipe_address(pages) == address


def test_an_invented_recipe_is_taken_into_ones_own_workshop(pages):
    address = recipe_address(pages)
    answer = pages.post(address, data={"do": "take"})
    assert "workshop=own" in answer.headers["set-cookie"]
    page = page_of(pages, answer.headers["location"])
    assert "Invented workshop" not in page
    kept = list_recipes(book_of(pages, invented=False))
    assert [one.name for one in kept] == ["Demo clear base"]
    assert not read_recipe(load_recipe(book_of(pages, invented=False), kept[0].id).text).recipe.invented


def test_the_file_says_what_is_typed(pages):
    address = recipe_address(pages)
    live(pages, address, line__1__amount="222 g")
    answer = pages.get(f"{address}/file")
    assert answer.headers["content-disposition"] == 'attachment; filename="demo-clear-base.toml"'
    assert read_recipe(answer.text).recipe.lines[0].amount.value == 222.0


def test_a_draft_survives_a_restart(home):
    with client_for(home) as before:
        address = recipe_address(before)
        live(before, address, line__1__amount="3 pounds of it", recipe__note="é ½ “quoted” <b>\nsecond line")
    with client_for(home) as after:
        fields = fields_of(page_of(after, address))
        assert fields["line.1.amount"] == "3 pounds of it"
        assert fields["recipe.note"] == "é ½ “quoted” <b>\nsecond line"
        assert "with changes that are not saved yet" in after.get("/").text


def test_a_request_that_was_overtaken_does_not_write_over_what_came_later(pages):
    address = recipe_address(pages)
    live(pages, address, line__1__amount="250 g", ui__typed="2000")
    live(pages, address, line__1__amount="25 g", ui__typed="1000")
    assert fields_of(page_of(pages, address))["line.1.amount"] == "250 g"


def test_a_save_over_somebody_elses_shows_both_texts_and_loses_neither(pages):
    address = recipe_address(pages)
    recipe_id = address.rsplit("/", 1)[1]
    live(pages, address, line__1__amount="321 g")
    saved = load_recipe(book_of(pages), recipe_id)
    save_recipe(book_of(pages), recipe_id, saved.text.replace('"200 g"', '"199 g"'), "Theirs", saved.version)
    answer = pages.post(address, data={**fields_of(page_of(pages, address)), "do": "save"})
    assert answer.status_code == 409
    assert "This recipe was changed meanwhile" in answer.text
    assert "321 g" in answer.text
    assert "199 g" in answer.text
    assert "321 g" in take_draft(book_of(pages), recipe_id).form
    mine = words_of(answer.text[answer.text.index("<textarea") :].partition("</textarea>")[0].partition(">")[2])
    assert "321 g" in mine
    text = re.search(r'<textarea name="text"[^>]*>(.*?)</textarea>', answer.text, re.DOTALL)[1]
    from html import unescape

    kept = pages.post(f"{address}/text", data={"text": unescape(text), "version": "2", "name": "x"})
    assert kept.status_code == 303
    assert "321 g" in load_recipe(book_of(pages), recipe_id).text
    assert "199 g" in load_recipe(book_of(pages), recipe_id, 2).text


def test_a_page_that_was_open_while_somebody_saved_does_not_write_over_it(pages):
    address = recipe_address(pages)
    recipe_id = address.rsplit("/", 1)[1]
    fields = fields_of(page_of(pages, address))
    saved = load_recipe(book_of(pages), recipe_id)
    save_recipe(book_of(pages), recipe_id, saved.text.replace('"200 g"', '"199 g"'), "Theirs", saved.version)
    for order in ("update", "save"):
        answer = pages.post(address, data={**fields, "line.2.amount": "141 g", "do": order})
    assert answer.status_code == 409
    assert load_recipe(book_of(pages), recipe_id).version == 2


def test_what_makes_no_difference_to_the_recipe_is_kept_too(pages):
    address = recipe_address(pages)
    live(pages, address, titration__sample="5 g", line__1__amount="200")
    fields = fields_of(page_of(pages, address))
    assert (fields["titration.sample"], fields["line.1.amount"]) == ("5 g", "200")


def test_looking_and_asking_makes_no_draft(pages):
    address = recipe_address(pages)
    live(pages, address, ui__state="added", ui__open="why-line-4-weigh-lye")
    pressed(pages, address, "open:why-line-4-weigh-lye")
    assert take_draft(book_of(pages), address.rsplit("/", 1)[1]) is None


def test_a_text_that_cannot_be_read_is_kept_and_can_be_put_right(pages):
    address = recipe_address(pages)
    answer = pages.post(f"{address}/text", data={"text": "schema = 1\n[recipe\nname =", "version": "1", "name": "Demo"})
    assert answer.status_code == 303
    shown = pages.get(address)
    assert shown.headers["location"] == f"{address}/text"
    page = page_of(pages, f"{address}/text")
    assert "[recipe\nname =" in page
    assert 'class="danger"' in page
    assert pages.get(f"{address}/sheet").headers["location"] == f"{address}/text"
    assert pages.post(f"{address}/live", data={"line.1.amount": "1 g"}).status_code == 400


def test_an_unreadable_field_is_not_saved_as_a_version_but_kept(pages):
    address = recipe_address(pages)
    page = pressed(pages, address, "save", line__1__amount="nonsense")
    assert "Not saved as a version yet" in page
    assert fields_of(page)["line.1.amount"] == "nonsense"
    assert load_recipe(book_of(pages), address.rsplit("/", 1)[1]).version == 1


def test_what_a_recipe_file_brings_beyond_the_form_is_not_lost(pages):
    text = '[recipe]\nname = "With more"\nmood = "sunny"\n\n[shop]\nshelf = 3\n'
    address = pages.post("/recipes", data={"from": "text", "text": "schema = 1\n" + text}).headers["location"]
    pressed(pages, address, "save", alkali__superfat="2 %")
    saved = load_recipe(book_of(pages), address.rsplit("/", 1)[1])
    assert (saved.version, "sunny" in saved.text, "shelf = 3" in saved.text) == (2, True, True)


def test_an_opaque_base_hears_nothing_of_clarity(pages):
    page = page_of(pages, recipe_address(pages, "Opaque white base"))
    assert "Will it be clear" not in page
    assert "published windows" not in page
    assert "Will it be clear" in page_of(pages, recipe_address(pages))


def test_an_unknown_button_is_refused_and_what_was_typed_is_kept(pages):
    address = recipe_address(pages)
    fields = fields_of(page_of(pages, address)) | {"line.1.amount": "77 g"}
    answer = pages.post(address, data={**fields, "do": "explode:now"})
    assert answer.status_code == 422
    assert "line.1.amount: 77 g" in answer.text
    assert fields_of(page_of(pages, address))["line.1.amount"] == "77 g"


@pytest.mark.parametrize("unit", ["g", "lb oz"])
def test_pounds_and_ounces_where_the_maker_weighs_in_them(pages, unit):
    address = recipe_address(pages)
    refreshed = live(pages, address, scale__unit=unit)
    assert weight(refreshed, 1) == ("200 g" if unit == "g" else "7.05 oz")


def test_a_blank_recipe_takes_its_first_fat(pages):
    choice = {"purpose": "base for re-melting", "look": "crystal clear", "from": "blank"}
    begun = pages.post("/recipes", data=choice)
    address = begun.headers["location"].partition("?")[0]
    pages.post(address, data={**fields_of(pages.get(address).text), "do": "add:fats:coconut"})
    fields = fields_of(pages.get(address).text)
    name = next(one for one in fields if one.startswith("line.") and one.endswith(".amount"))
    answered = pages.post(f"{address}/live", data={**fields, name: "300 g", "ui.typed": "1"})
    assert answered.status_code == 200
    assert pages.get(address).status_code == 200


def test_what_i_have_of_one_waits_for_the_line_to_be_chosen(pages):
    address = recipe_address(pages)
    refreshed = live(pages, address, size__by="line", size__line="")
    assert "No line is chosen to scale to." in refreshed
    assert pages.get(address).status_code == 200
    assert pages.get(f"{address}/sheet").status_code in (200, 422)
