"""Recipe files: what people write, the round trip, and the sentences for what cannot be understood."""

import json
import tomllib
from dataclasses import fields
from pathlib import Path

import jsonschema
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from kettleglass.errors import Ambiguous, BadInput
from kettleglass.materials.catalogue import load_catalogue
from kettleglass.recipe.exchange import (
    SECTIONS,
    FieldRule,
    amount_text,
    json_schema,
    parse_amount,
    read_recipe,
    write_recipe,
)
from kettleglass.recipe.exchange.quantities import READERS
from kettleglass.recipe.exchange.schema import ATTRIBUTE_OF, RECIPE, example_of
from kettleglass.recipe.recipe import Amount, LyeWater, Recipe
from kettleglass.recipe.sheet import charge_sheet
from kettleglass.recipe.solve import solve
from tests.recipe.recipes import amounts, recipes

ROOT = Path(__file__).parents[2]
EXAMPLES = sorted((ROOT / "examples").glob("*.toml"))
SMALL = """schema = 1
[recipe]
name = "Small"
[alkali]
superfat = "1 %"
lye_water = "1:1.4"
[[line]]
key = "coconut"
material = "coconut"
amount = "200 g"
stage = "fats"
[[line]]
key = "lye"
material = "sodium_hydroxide_flakes"
amount = "solve"
stage = "lye"
"""


def read(text: str) -> Recipe:
    result = read_recipe(text)
    assert result.recipe is not None, result.findings
    return result.recipe


# What people write


@pytest.mark.parametrize(("text", "amount"), [
    ("200 g", Amount(200.0)), ("200g", Amount(200.0)), ("1,5 kg", Amount(1500.0)),
    ("35 % of fats", Amount(35.0, "% of fats")),
    ("35% of the fats", Amount(35.0, "% of fats")), ("35 % of oils", Amount(35.0, "% of fats")),
    ("12,5 % of whole", Amount(12.5, "% of whole")), ("12 % of the whole batch", Amount(12.0, "% of whole")),
    ("40 % of soap", Amount(40.0, "% of soap")), ("40 % of anhydrous soap", Amount(40.0, "% of soap")),
    ("150 mL", Amount(150.0, "mL")), ("0.15 L", Amount(150.0, "mL")), ("solve", Amount(0.0, "solve")),
    ("Solve", Amount(0.0, "solve")), ("1 lb 4 oz", Amount(566.99046250)),
])  # fmt: skip
def test_amounts_as_people_write_them(text: str, amount: Amount) -> None:
    """1 lb is 453.59237 g and 1 oz 28.349523125 g exactly (international yard and pound agreement, 1959)."""
    read_amount = parse_amount(text)
    assert read_amount.by == amount.by
    assert read_amount.value == pytest.approx(amount.value, rel=1e-12)


@pytest.mark.parametrize(("text", "choice"), [("35 %", "35 % of fats"), ("35", "35 g")])
def test_amounts_that_are_asked_back(text: str, choice: str) -> None:
    with pytest.raises(Ambiguous) as caught:
        parse_amount(text)
    assert choice in caught.value.choices
    for offered in caught.value.choices:
        parse_amount(offered)


@pytest.mark.parametrize(
    "text", ["", "slove", "much", "35 % of fatz", "200 gg", "-5 g", "1e99 kg", "5 % of moon", "g 200", "nan g"]
)
def test_amounts_that_cannot_be_read(text: str) -> None:
    with pytest.raises(BadInput) as caught:
        parse_amount(text)
    assert caught.value.remedy


@given(amounts)
def test_an_amount_reads_back_exactly(amount: Amount) -> None:
    assert parse_amount(amount_text(amount)) == amount
    assert parse_amount(amount_text(amount, "lb oz")) == amount


def test_pounds_stay_pounds_for_those_who_weigh_in_them() -> None:
    pounds = parse_amount("1 lb 4.5 oz")
    assert amount_text(pounds, "lb oz") == "1 lb 4.5 oz"
    assert amount_text(Amount(453.59237), "lb oz") == "1 lb"
    assert amount_text(Amount(100.0), "lb oz") == "100 g"


def test_a_small_file() -> None:
    recipe = read(SMALL)
    assert [line.key for line in recipe.lines] == ["coconut", "lye"]
    assert recipe.alkali.superfat_percent == 1.0
    assert recipe.alkali.water == LyeWater(1.4)
    assert recipe.line("coconut").amount == Amount(200.0)
    assert read_recipe(SMALL).findings == ()


def test_every_kind_of_field() -> None:
    recipe = read(
        SMALL
        + """
[size]
by = "fats"
mass = "1,5 kg"
[scale]
step = "1 g"
lye_step = "0.1 g"
unit = "lb oz"
[kettle]
name = "Topf Ω"
metal = "enamel"
inner_diameter = "22 cm"
height = "7 in"
head_room = "35 %"
[mould]
shape = "cavities"
cavities = 12
volume = "90 mL"
[losses]
alcohol = "20 %"
water = "3,5 %"
[certainty]
chance = "2.5 %"
draws = 5000
[[method]]
text = "Melt."
stage = "fats"
temperature = "158 °F"
time = "1 h 30 min"
covered = false
"""
    )
    assert (recipe.size.by, recipe.size.value_g) == ("fats", 1500.0)
    assert (recipe.scale.lye_g, recipe.scale.unit) == (0.1, "lb oz")
    assert (recipe.kettle.inner_diameter_mm, recipe.kettle.height_mm) == (220.0, pytest.approx(177.8))
    assert recipe.kettle.head_room == 0.35
    assert recipe.mould is not None
    assert recipe.mould.total_ml == pytest.approx(1080.0)
    assert (recipe.losses.alcohol, recipe.losses.water) == (0.2, 0.035)
    assert (recipe.certainty.target_chance, recipe.certainty.draws) == (0.025, 5000)
    assert recipe.method[0].temperature_c == pytest.approx(70.0)
    assert recipe.method[0].minutes == pytest.approx(90.0)
    assert recipe.method[0].covered is False


def test_a_strong_lye_is_kept_and_left_to_the_checks() -> None:
    assert read(SMALL.replace("1:1.4", "1:0.5")).alkali.water == LyeWater(0.5)


# The round trip


@settings(max_examples=150, suppress_health_check=[HealthCheck.too_slow])
@given(recipes())
def test_a_recipe_survives_its_own_text(recipe: Recipe) -> None:
    result = read_recipe(write_recipe(recipe))
    assert result.recipe == recipe, result.findings


@settings(max_examples=50, suppress_health_check=[HealthCheck.too_slow])
@given(recipes())
def test_written_text_stands_still(recipe: Recipe) -> None:
    text = write_recipe(recipe)
    assert write_recipe(read(text)) == text


def test_unknown_fields_are_kept_and_remarked_on() -> None:
    text = SMALL.replace("[recipe]", 'someday = [1, {a = 2}]\n[shop]\nshelf = "B"\n[recipe]\nrating = 5').replace(
        'key = "lye"', 'key = "lye"\nbrand = "none"'
    )
    result = read_recipe(text)
    assert result.recipe is not None
    assert result.recipe.extras == {
        "someday": [1, {"a": 2}], "shop": {"shelf": "B"}, "recipe": {"rating": 5}, "line": {"lye": {"brand": "none"}},
    }  # fmt: skip
    assert {finding.code for finding in result.findings} == {"unknown-field", "unknown-table"}
    assert {finding.level for finding in result.findings} == {"note"}
    assert read(write_recipe(result.recipe)) == result.recipe


@pytest.mark.parametrize(
    "note", ["a\nb", 'say """', 'end"', "back\\slash", "tab\tand\r\nreturn", "\n", "Öl, 油, 🫧\x00\x7f", '"""\n"""']
)
def test_notes_of_every_kind(note: str) -> None:
    assert read(write_recipe(Recipe("n", note=note))).note == note


def test_a_lone_surrogate_cannot_be_text_and_is_replaced() -> None:
    assert read(write_recipe(Recipe("a\ud800b"))).name == "a\ufffdb"


def test_what_cannot_be_written_is_refused() -> None:
    with pytest.raises(BadInput, match="NoneType"):
        write_recipe(Recipe("n", extras={"x": None}))
    with pytest.raises(BadInput, match="schema 2"):
        write_recipe(Recipe("n", schema=2))
    nested: object = 1
    for _ in range(40):
        nested = [nested]
    with pytest.raises(BadInput, match="deep"):
        write_recipe(Recipe("n", extras={"x": nested}))


# What cannot be understood


@pytest.mark.parametrize(("old", "new", "where", "advice"), [
    ('amount = "200 g"', 'amonut = "200 g"', "line 10, amonut of coconut", "Did you mean “amount”?"),
    ('stage = "fats"', 'stage = "fat"', "line 11, stage of coconut", "Did you mean “fats”?"),
    ('"200 g"', '"200 kgg"', "line 10, amount of coconut", "Did you mean “kg”"),
    ('"200 g"', '"35 % of fatz"', "line 10, amount of coconut", "Did you mean “35 % of fats”?"),
    ('"200 g"', "200", "line 10, amount of coconut", 'amount = "200 g"'),
    ('"200 g"', "200 g", "line 10", 'amount = "200 g"'),
    ('"200 g"', '"200 g', "line 10", "quote"),
    ('key = "coconut"', 'key = "lye"', "line 2, [recipe]", "a key of its own"),
    ('key = "coconut"', 'key = " "', "line 7, ingredient 1", "short name"),
    ("[alkali]", "[alkalie]", "line 4", "Did you mean [alkali]?"),
    ("superfat", "super_fat", "line 5, [alkali] super_fat", "Did you mean “superfat”?"),
    ('"1 %"', '"1"', "line 5, [alkali] superfat", "“1 %”"),
    ('"1 %"', '"90 %"', "line 4, [alkali]", "-20 to 60"),
    ('"1:1.4"', '"1.4"', "line 6, [alkali] lye_water", "“1:1.4”"),
    ("[[line]]", "[line]", "line 12", "same name stands twice"),
    ('name = "Small"', "name = 5", "line 3, [recipe] name", "in quotes"),
    ('name = "Small"', 'title = "Small"', "line 2, [recipe]", "Write name"),
    ('name = "Small"', 'name = "S"\npurpose = "bars"', "line 4, [recipe] purpose", "Did you mean “bar”?"),
    ('name = "Small"', 'name = "S"\ninvented = "yes"', "line 4, [recipe] invented", "invented = true"),
    ('name = "Small"', 'name = "S"\nwater_hardness = "17"', "line 4, [recipe] water_hardness", "“17 °dH”"),
    ("[recipe]", "[[recipe]]", "line 2, [recipe]", "[recipe]"),
    ("[recipe]", "[size]\nby = 3\n[recipe]", "line 3, [size] by", "as written"),
    ("[recipe]", "[certainty]\ndraws = 1.5\n[recipe]", "line 3, [certainty] draws", "draws = 10000"),
    ("[recipe]", "[kettle]\nheight = \"20 parsec\"\n[recipe]", "line 3, [kettle] height", "220 mm"),
    ("[recipe]", "[mould]\nlength = \"20 cm\"\n[recipe]", "line 2, [mould]", "Write shape"),
    ("[recipe]", "[method]\ntext = 'x'\n[recipe]", "line 2, [[method]]", "[[method]] in double brackets"),
    ("[[line]]", "[[method]]\ntext = 'x'\nstage = 'fats'\ntime = '3 hors'\n[[line]]", "line 10, time of step 1",
     "Did you mean “hours”?"),
    ("[[line]]", "[[method]]\ntext = 'x'\nstage = 'fats'\ntime = '90'\n[[line]]", "line 10, time of step 1",
     "“90 min”"),
    ('"200 g"', '"1,500 g"', "line 10, amount of coconut", "“1500 g”"),
    ('"200 g"', '"12 oz"', "line 10, amount of coconut", "“12 oz weight” or “12 US fl oz”"),
    ("schema = 1", "schema = 2", "schema", "version that wrote it"),
    ("schema = 1", "schema = 0", "schema", "schema = 1"),
    ("schema = 1", 'schema = "1"', "schema", "schema = 1"),
    ("schema = 1", "schema = true", "schema", "schema = 1"),
])  # fmt: skip
def test_faults_point_at_the_line_and_say_what_to_do(old: str, new: str, where: str, advice: str) -> None:
    text = SMALL.replace(old, new, 1)
    assert text != SMALL
    result = read_recipe(text)
    assert result.text == text
    assert any(finding.where == where for finding in result.findings), result.findings
    assert any(advice in finding.advice for finding in result.findings), result.findings
    assert result.findings[0].level == "danger"


def test_a_missing_schema_number_is_only_noted() -> None:
    result = read_recipe(SMALL.removeprefix("schema = 1\n"))
    assert result.recipe is not None
    assert [finding.code for finding in result.findings] == ["schema"]


def test_a_newer_layout_is_refused_with_its_number_and_the_text_kept() -> None:
    text = SMALL.replace("schema = 1", "schema = 7").replace("superfat", "something_new")
    result = read_recipe(text)
    assert result.recipe is None
    assert result.text == text
    assert len(result.findings) == 1
    assert "schema 7" in result.findings[0].text


def test_all_faults_are_told_at_once() -> None:
    result = read_recipe(
        SMALL.replace("200 g", "200").replace('"lye"\nmaterial', '"lye"\nmateriel').replace("1 %", "one")
    )
    assert result.recipe is None
    assert len([finding for finding in result.findings if finding.level == "danger"]) >= 3


def test_bytes_with_a_byte_order_mark_and_windows_lines() -> None:
    assert read_recipe(b"\xef\xbb\xbf" + SMALL.replace("\n", "\r\n").encode()).recipe == read(SMALL)


def test_other_encodings_and_sizes_are_refused() -> None:
    assert "UTF-8" in read_recipe(SMALL.encode("utf-16")).findings[0].advice
    assert read_recipe("#" * 1_000_001).findings[0].code == "too-large"
    assert read_recipe("a\ud800").findings[0].code == "not-utf-8"
    assert read_recipe(SMALL + "# ok " + "x" * 900_000).recipe is not None


# The layout


def test_the_fields_of_the_file_are_those_of_the_objects() -> None:
    for section in SECTIONS:
        own = {field.name for field in fields(section.makes)}
        if section is RECIPE:
            own -= set(ATTRIBUTE_OF.values()) | {"extras", "schema"}
        assert {rule.attribute for rule in section.rules} == own, section.name
        assert len({rule.name for rule in section.rules}) == len(section.rules)


def test_the_shipped_json_schema_is_that_of_the_layout() -> None:
    shipped = json.loads((ROOT / "src/kettleglass/recipe/recipe.schema.json").read_text("utf-8"))
    assert shipped == json_schema()
    jsonschema.Draft202012Validator.check_schema(shipped)


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_examples_are_valid_and_read_without_a_remark(path: Path) -> None:
    text = path.read_text("utf-8")
    jsonschema.validate(tomllib.loads(text), json_schema(), jsonschema.Draft202012Validator)
    result = read_recipe(text)
    assert result.findings == ()
    assert result.recipe is not None
    assert result.recipe.invented
    assert read(write_recipe(result.recipe)) == result.recipe


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_examples_weigh_out_from_the_catalogue(path: Path) -> None:
    recipe = read(path.read_text("utf-8"))
    catalogue = load_catalogue()
    solved = solve(recipe, charge_sheet(recipe, lambda line: catalogue.get(line.material_id)))
    assert solved.findings == ()
    assert (solved.masses_g > 0.0).all()


def test_the_examples_are_those() -> None:
    names = ["demo-clear-base", "four-kilo-pot", "opaque-white-base", "sodium-potassium-tea-base"]
    assert [path.stem for path in EXAMPLES] == names


@settings(max_examples=50, suppress_health_check=[HealthCheck.too_slow])
@given(recipes())
def test_written_files_are_valid_by_the_json_schema(recipe: Recipe) -> None:
    tables = tomllib.loads(write_recipe(recipe))
    validator = jsonschema.Draft202012Validator(json_schema())
    assert [error.message for error in validator.iter_errors(tables)] == []


@pytest.mark.parametrize(("section", "name", "value"), [
    ("recipe", "purpose", "bars"), ("alkali", "superfat", "five"), ("alkali", "superfat", 5), ("size", "by", "weight"),
    ("recipe", "invented", "true"), ("certainty", "draws", "many"), ("scale", "step", "1"),
])  # fmt: skip
def test_the_json_schema_refuses_what_the_reader_refuses(section: str, name: str, value: object) -> None:
    tables = tomllib.loads(SMALL)
    tables.setdefault(section, {})[name] = value
    assert not jsonschema.Draft202012Validator(json_schema()).is_valid(tables)


def test_the_page_on_recipe_files_names_every_field() -> None:
    page = (ROOT / "docs/recipe-file.md").read_text("utf-8")
    for section in SECTIONS:
        assert section.header in page
        for rule in section.rules:
            row = f"| `{rule.name}` | {rule.says} |"
            assert row in page, row
            for choice in rule.choices:
                assert f"“{choice}”" in page, choice


def test_files_in_the_page_can_be_read() -> None:
    page = (ROOT / "docs/recipe-file.md").read_text("utf-8")
    blocks = [part.split("```")[0] for part in page.split("```toml\n")[1:]]
    assert blocks
    for block in blocks:
        assert read_recipe(block).findings == ()


@given(st.sampled_from([rule for section in SECTIONS for rule in section.rules]))
def test_every_example_value_can_be_read(rule: FieldRule) -> None:
    value = READERS[rule.kind](rule, example_of(rule))
    assert value != ""
