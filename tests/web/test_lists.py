"""The list of recipes, a first own recipe, the two workshops, and two variants side by side."""

from __future__ import annotations

import pytest

from kettleglass.recipe.recipe import LOOKS, PURPOSES
from kettleglass.web.invented import recipe_texts
from kettleglass.workshop import list_recipes, load_recipe
from tests.web.conftest import client_for, fields_of, recipe_address, words_of


def test_a_first_visitor_meets_the_invented_workshop(pages):
    front = words_of(pages.get("/").text)
    assert "Invented workshop. Nothing you see here is yours." in front
    assert "Start an empty one" in front
    assert all(name in front for name, _ in recipe_texts())


def test_every_invented_recipe_is_marked_and_opens(pages):
    book = pages.app.state.desk.book(invented=True)
    for one in list_recipes(book):
        assert "invented = true" in load_recipe(book, one.id).text
        page = pages.get(f"/recipes/{one.id}")
        assert page.status_code == 200
        assert "left out of everything" not in page.text


def test_an_empty_start_leads_to_a_first_recipe(own):
    front = own.get("/").text
    assert "Your workshop" in front
    assert "Invented workshop." not in front
    assert all(look.capitalize() in front for look in LOOKS)
    answer = own.post(
        "/recipes", data={"purpose": "first clear base", "look": "crystal clear", "from": "start", "name": "Mine"}
    )
    page = own.get(answer.headers["location"]).text
    fields = fields_of(page)
    assert fields["recipe.name"] == "Mine"
    assert fields["recipe.purpose"] == "first clear base"
    assert "Inside" in words_of(page)
    assert "Mine" in own.get("/").text


@pytest.mark.parametrize("purpose", PURPOSES)
@pytest.mark.parametrize("look", LOOKS)
def test_every_start_works_out_without_danger_but_the_chance_of_free_alkali(own, purpose, look):
    address = own.post("/recipes", data={"purpose": purpose, "look": look, "from": "start"}).headers["location"]
    page = own.get(address).text
    dangers = [part.partition("</li>")[0] for part in page.split('<li class="danger">')[1:]]
    assert all("in ten would keep more than" in danger for danger in dangers), dangers


def test_blank_begins_with_nothing_and_says_how_to_go_on(own):
    address = own.post("/recipes", data={"purpose": "bar", "look": "tinted", "from": "blank"}).headers["location"]
    page = words_of(own.get(address).text)
    assert "Nothing is in the pot yet." in page
    assert "Add to fats" in page


def test_an_unknown_purpose_is_refused_with_the_nearest(own):
    answer = own.post("/recipes", data={"purpose": "bars", "look": "tinted", "from": "start"})
    assert answer.status_code == 404
    assert "Did you mean “bar”?" in answer.text


def test_a_recipe_file_is_read_and_a_broken_one_stays_on_the_page(own):
    text = dict(recipe_texts())["Demo clear base"]
    assert own.post("/recipes", data={"from": "text", "text": text}).status_code == 303
    sent = own.post("/recipes", data={"from": "text"}, files={"file": ("a.toml", text.encode(), "text/plain")})
    assert sent.status_code == 303
    broken = text.replace('"200 g"', '"200 q"')
    answer = own.post("/recipes", data={"from": "text", "text": broken})
    assert answer.status_code == 422
    assert "line " in words_of(answer.text)
    assert broken.splitlines()[5].replace('"', "&#34;") in answer.text


def test_the_two_workshops_do_not_mix(home):
    with client_for(home) as client:
        address = recipe_address(client)
        client.post("/workshop", data={"which": "own"})
        assert client.get(address).status_code == 404
        assert "Look at the invented workshop" in client.get("/").text
        client.post("/workshop", data={"which": "invented"})
        assert client.get(address).status_code == 200
        assert "Go to your own" in client.get("/").text
    with client_for(home) as again:
        assert "Invented workshop." not in again.get("/").text


def test_a_long_list_can_be_searched(own):
    for n in range(13):
        own.post("/recipes", data={"purpose": "bar", "look": "tinted", "from": "blank", "name": f"Trial {n} émeraude"})
    assert "Find a recipe" in own.get("/").text
    found = own.get("/", params={"q": "7 EMERAUDE"}).text
    assert ("Trial 7 émeraude" in found, "Trial 8 émeraude" in found) == (True, False)
    assert "Nothing is called like that." in own.get("/", params={"q": "ruby"}).text


def test_two_recipes_side_by_side(pages):
    first, second = recipe_address(pages), recipe_address(pages, "Opaque white base")
    page = words_of(pages.get("/compare", params={"a": first.rsplit("/", 1)[1], "b": second.rsplit("/", 1)[1]}).text)
    assert "Ethanol down: less clear; alcohol brings most of the clarity." in page
    assert "Castor oil 60 –" in page
    assert "left out" in page
    same = words_of(pages.get("/compare", params={"a": first.rsplit("/", 1)[1], "b": first.rsplit("/", 1)[1]}).text)
    assert "Nothing differs." in same


def test_two_versions_side_by_side(pages):
    address = recipe_address(pages)
    recipe_id = address.rsplit("/", 1)[1]
    fields = fields_of(pages.get(address).text)
    pages.post(address, data={**fields, "line.1.amount": "240 g", "do": "save"})
    page = words_of(pages.get("/compare", params={"a": f"{recipe_id}@1", "b": recipe_id}).text)
    assert "Demo clear base, version 1" in page
    assert "Coconut oil 200 240 g +40 g" in page
    assert pages.get("/compare", params={"a": "nothing", "b": recipe_id}).status_code == 404


def test_going_back_to_an_earlier_version(pages):
    address = recipe_address(pages)
    fields = fields_of(pages.get(address).text)
    pages.post(address, data={**fields, "line.1.amount": "240 g", "do": "save"})
    versions = words_of(pages.get(f"{address}/versions").text)
    assert "Version 2 saved" in versions
    pages.post(f"{address}/versions", data={"version": "1"})
    assert fields_of(pages.get(address).text)["line.1.amount"] == "200 g"
    assert "Version 3 brought back" in words_of(pages.get(f"{address}/versions").text)


def test_a_new_recipe_weighs_with_the_scale_of_the_settings(home):
    from starlette.testclient import TestClient

    from kettleglass.settings import Settings
    from kettleglass.web.app import create_app

    app = create_app(Settings(home=home, scale_step_g=0.5, seed=7))
    with TestClient(app, base_url="http://127.0.0.1", follow_redirects=False) as client:
        client.post("/workshop", data={"which": "own"})
        address = client.post("/recipes", data={"from": "start"}).headers["location"]
        fields = fields_of(client.get(address).text)
    assert (fields["scale.step"], fields["scale.lye_step"], fields["certainty.seed"]) == ("0.5 g", "0.1 g", "7")
