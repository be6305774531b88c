"""Whatever is sent to a page, it is answered with a page of ours and never with a fault, and no text is lost."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from html import unescape
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from kettleglass.recipe.recipe import LOOKS, PURPOSES
from tests.web.conftest import client_for, fields_of, recipe_address

texts = st.text(max_size=80) | st.sampled_from(
    [
        "",
        "0",
        "-1",
        "1e999",
        "nan",
        "inf",
        "200 g",
        "35 %",
        "solve",
        "1:1.4",
        "½",
        "1,500",
        "9" * 400,
        "é\u202e<b>&",
        "1 lb 4 oz",
    ]
)
names = st.sampled_from(
    [
        "recipe.name",
        "recipe.look",
        "recipe.purpose",
        "recipe.note",
        "alkali.superfat",
        "alkali.lye_water",
        "alkali.share_by",
        "size.by",
        "size.mass",
        "size.line",
        "scale.step",
        "scale.lye_step",
        "scale.unit",
        "kettle.metal",
        "kettle.height",
        "mould.shape",
        "mould.cavities",
        "mould.volume",
        "losses.alcohol",
        "certainty.limits",
        "certainty.draws",
        "certainty.chance",
        "recipe.measured_free_alkali",
        "recipe.water_hardness",
        "line.1.amount",
        "line.1.material",
        "line.1.stage",
        "line.1.lot",
        "line.4.amount",
        "line.4.share",
        "line.77.amount",
        "order.line",
        "order.method",
        "method.1.text",
        "ui.state",
        "ui.open",
        "ui.typed",
        "ui.width",
        "titration.sample",
        "titration.percent",
        "titration.given_as",
        "version",
        "x",
        "line.1.key",
        "do",
    ]
)
changes = st.dictionaries(names, texts, max_size=6)
orders = st.sampled_from(
    [
        "update",
        "save",
        "undo",
        "redo",
        "drop",
        "copy",
        "sheet",
        "step-add",
        "step-usual",
        "titrate",
        "find:fats",
        "open:x",
        "add:fats:coconut",
        "add:lye:nothing",
        "add:moon:coconut",
        "remove:1",
        "up:3",
        "down:99",
        "set:alkali.superfat:2 %",
        "set::",
        "size:400",
        "size:nan",
        "shelve",
    ]
) | st.text(max_size=20)
USUAL = settings(suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow])


@pytest.fixture(scope="module")
def visitor() -> Iterator[object]:
    with tempfile.TemporaryDirectory() as folder, client_for(Path(folder)) as client:
        yield client


@USUAL
@given(changes)
def test_typing_is_always_answered_and_kept(visitor, changed):
    address = recipe_address(visitor)
    start = fields_of(visitor.get(address).text)
    visitor.post(address, data={"do": "drop"})
    sent = {**start, **changed, "ui.typed": "0"}
    sent.pop("do", None)
    answer = visitor.post(f"{address}/live", data=sent, headers={"hx-request": "true"})
    assert answer.status_code == 200, answer.text[-800:]
    page = visitor.get(address)
    assert page.status_code == 200
    stands = fields_of(page.text)
    for name, text in changed.items():
        said = text.encode("utf-8", "replace").decode("utf-8", "replace").replace("\r\n", "\n")
        if (
            name in ("line.1.amount", "recipe.name", "alkali.superfat", "kettle.height", "titration.sample")
            and said.strip()
        ):
            assert stands[name].replace("\r", "\n").strip() == said.replace("\r", "\n").strip() or said in unescape(
                page.text
            )
    visitor.post(address, data={"do": "drop"})


@USUAL
@given(orders, changes)
def test_every_button_is_answered(visitor, order, changed):
    address = recipe_address(visitor)
    start = fields_of(visitor.get(address).text)
    answer = visitor.post(address, data={**start, **changed, "do": order})
    assert answer.status_code in (303, 404, 409, 422), (order, changed, answer.text[-800:])
    if answer.status_code == 303:
        after = visitor.get(answer.headers["location"].partition("#")[0])
        assert after.status_code in (200, 303), (order, changed)
    visitor.post(recipe_address(visitor), data={"do": "drop"})


@USUAL
@given(st.text(max_size=300) | st.binary(max_size=300).map(lambda b: b.decode("latin-1")))
def test_any_text_as_a_recipe_is_answered_and_stays_on_the_page(visitor, text):
    answer = visitor.post("/recipes", data={"from": "text", "text": text})
    assert answer.status_code in (303, 422)
    if answer.status_code == 422 and text.strip():
        kept = unescape(answer.text[answer.text.index("<textarea") :])
        clean = text.encode("utf-8", "replace").decode("utf-8", "replace").replace("\r\n", "\n")
        assert clean.strip() in kept


@USUAL
@given(
    st.sampled_from(["lot", "like", "fat", "strength", "sheet", "stirred", "paste", "mixture"]),
    st.dictionaries(
        st.sampled_from(
            [
                "base",
                "name",
                "figure.saponification_value",
                "figure.acid_value",
                "figure.unsaponifiable_fraction",
                "figure.purity",
                "figure.density_g_ml",
                "acids",
                "opened",
                "best_before",
                "pale",
                "text",
                "what",
                "substance.0",
                "share.0",
                "substance.1",
                "share.1",
                "material.0",
                "mass.0",
                "material.1",
                "mass.1",
                "kind",
                "alkali",
                "solids",
                "free_alkali",
                "glycerol",
                "part.0",
                "percent.0",
                "build",
                "aliases",
                "note",
                "entry",
                "version",
            ]
        ),
        texts
        | st.sampled_from(
            ["coconut", "water", "ethanol", "sodium", "12:0 48", "80-95 %", "stock lye", "250", "glycerol"]
        ),
        max_size=8,
    ),
)
def test_anything_entered_for_the_shelf_is_answered(visitor, how, fields):
    fields = {name: text for name, text in fields.items() if name != "entry"}
    assert visitor.post(f"/shelf/enter/{how}/check", data=fields).status_code == 200
    kept = visitor.post(f"/shelf/enter/{how}", data={**fields, "do": "keep"})
    assert kept.status_code in (303, 422, 409), (how, fields)
    assert visitor.get(f"/shelf/enter/{how}").status_code == 200
    assert visitor.get("/shelf").status_code == 200


@USUAL
@given(st.text(max_size=60))
def test_any_search_is_answered(visitor, text):
    for address, name in (
        ("/shelf", "q"),
        ("/shelf/found", "q"),
        ("/", "q"),
        ("/api/catalogue", "q"),
        ("/compare", "a"),
    ):
        assert visitor.get(address, params={name: text}).status_code in (200, 404, 422), (address, text)


@USUAL
@given(st.sampled_from(PURPOSES), st.sampled_from(LOOKS), st.booleans())
def test_every_start_opens_and_prints(visitor, purpose, look, blank):
    address = visitor.post(
        "/recipes", data={"purpose": purpose, "look": look, "from": "blank" if blank else "start"}
    ).headers["location"]
    assert visitor.get(address).status_code == 200
    assert visitor.get(f"{address}/sheet").status_code == 200


@USUAL
@given(
    st.binary(max_size=200) | st.text(max_size=200).map(str.encode),
    st.sampled_from(["application/json", "text/plain", "application/toml"]),
)
def test_any_body_sent_to_the_json_interface_is_answered(visitor, body, kind):
    answer = visitor.post("/api/preview", content=body, headers={"content-type": kind})
    assert answer.status_code in (200, 422)
    answer.json()
