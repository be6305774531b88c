"""The JSON interface: the same figures as the page and the command, with full precision."""

from __future__ import annotations

import json
import tomllib

import pytest
from click.testing import CliRunner

from kettleglass.cli.main import main
from kettleglass.web.invented import recipe_texts

RECIPES = dict(recipe_texts())


@pytest.mark.parametrize("name", RECIPES)
def test_toml_and_json_say_the_same_as_the_command_line(pages, tmp_path, name):
    text = RECIPES[name]
    file = tmp_path / "recipe.toml"
    file.write_text(text, encoding="utf-8")
    from_toml = pages.post("/api/preview", content=text, headers={"content-type": "application/toml"})
    from_json = pages.post("/api/preview", json=tomllib.loads(text))
    assert from_toml.status_code == from_json.status_code == 200
    assert from_toml.json() == from_json.json()
    said = CliRunner().invoke(main, ["recipe", "weigh", str(file), "--json"])
    for mine, theirs in zip(from_toml.json()["lines"], json.loads(said.stdout)["lines"], strict=True):
        assert mine == theirs


def test_a_recipe_that_cannot_be_used_is_answered_with_findings(pages):
    answer = pages.post("/api/preview", content='[recipe]\nname = "x"\n[[line]]\nkey = "a"\n')
    assert answer.status_code == 422
    assert {finding["level"] for finding in answer.json()["findings"]} >= {"danger"}
    assert "recipe: Field required" in pages.post("/api/preview", json={}).json()["error"]["why"]
    broken = pages.post("/api/preview", content=b"{", headers={"content-type": "application/json"})
    assert broken.status_code == 422
    assert pages.get("/api/preview").status_code == 405
    assert pages.get("/api/nothing").json()["error"]["what"] == "There is no page at this address."


def test_what_cannot_be_solved_is_an_error_with_what_to_do(pages):
    tables = tomllib.loads(RECIPES["Demo clear base"])
    tables["size"] = {"by": "mould"}
    error = pages.post("/api/preview", json=tables).json()["error"]
    assert error["remedy"].startswith("Give the mould's inner measures")


def test_the_catalogue_is_searched(pages):
    found = pages.get("/api/catalogue", params={"q": "cocunut", "limit": 1}).json()["materials"]
    assert found[0]["id"] == "coconut"
    assert len(pages.get("/api/catalogue", params={"limit": "9999"}).json()["materials"]) > 100
    one = pages.get("/api/catalogue/coconut").json()
    assert sum(one["composition"].values()) == pytest.approx(1.0)
    assert one["figures"]["saponification_value"]["known"] == "read"
    missing = pages.get("/api/catalogue/coconat")
    assert missing.status_code == 404
    assert "coconut" in missing.json()["error"]["remedy"]


def test_a_fault_of_ours_is_told_as_json(pages, monkeypatch):
    monkeypatch.setattr("kettleglass.web.api.preview_dict", lambda shown: 1 / 0)
    answer = pages.post("/api/preview", content=RECIPES["Demo clear base"])
    assert answer.status_code == 500
    assert answer.json()["error"]["report"].startswith("report-")


@pytest.mark.parametrize("odd", [{"recipe": {"name": "x"}, "y": [1]}, {"recipe": {"name": "x"}, "alkali": [1]}])
def test_lists_where_tables_belong_are_refused_not_fallen_over(pages, odd):
    answer = pages.post("/api/preview", json=odd)
    assert answer.status_code in (200, 422)
