"""The command line as a maker runs it: answers, JSON, exit codes, and sentences instead of tracebacks."""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

from kettleglass.cli.main import main
from kettleglass.cook.preview import cooked_out
from kettleglass.cook.weighed import weighing_of
from kettleglass.materials.catalogue import load_catalogue
from kettleglass.materials.lots import Lot, Measured
from kettleglass.recipe.exchange import read_recipe
from kettleglass.recipe.work import finder
from kettleglass.workshop import Notebook, utc_now
from kettleglass.workshop.kettles import keep_kettle_weighing
from kettleglass.workshop.shelf import keep_lot

EXAMPLES = Path(__file__).parents[2] / "examples"
DEMO, OPAQUE = EXAMPLES / "demo-clear-base.toml", EXAMPLES / "opaque-white-base.toml"


def run(*arguments: object) -> Result:
    return CliRunner().invoke(main, [str(argument) for argument in arguments])


def run_json(*arguments: object) -> Mapping[str, Any]:
    result = run(*arguments, "--json")
    assert result.stderr == ""
    found: Mapping[str, Any] = json.loads(result.stdout)
    return found


def test_weigh_shows_what_to_weigh_out() -> None:
    result = run("recipe", "weigh", DEMO)
    assert result.exit_code == 0
    flakes = next(text for text in result.stdout.splitlines() if "flakes" in text)
    assert "66.4 g" in flakes and "66.47 g" in flakes
    assert "Local codes and licensed practice come first." in result.stdout


def test_weigh_as_json_keeps_full_precision_and_units() -> None:
    lines = {line["key"]: line for line in run_json("recipe", "weigh", DEMO)["lines"]}
    assert lines["lye"]["exact_g"] == pytest.approx(66.4658527, abs=1e-6)
    assert lines["lye"]["weigh_g"] == pytest.approx(66.4)
    assert lines["coconut"]["step_g"] == 1.0


def test_check_ends_with_1_when_something_is_dangerous() -> None:
    result = run("recipe", "check", DEMO)
    assert result.exit_code == 1
    assert "pots in ten would keep more than 0.05 % of free alkali" in result.stdout
    levels = [finding["level"] for finding in run_json("recipe", "check", DEMO)["findings"]]
    assert levels == sorted(levels, key=["danger", "caution", "note"].index)


def test_balance_closes_in_every_state() -> None:
    found = run_json("recipe", "balance", DEMO)
    added, cooked = (sum(found["species"][state].values()) for state in ("as_added_g", "after_reaction_g"))
    assert added == pytest.approx(cooked, rel=1e-12)
    assert found["readings"]["pot.total"]["value_g"] == pytest.approx(cooked)
    assert "soap" in run("recipe", "balance", DEMO).stdout


def test_compare_says_what_changed_and_what_it_does() -> None:
    result = run("recipe", "compare", DEMO, OPAQUE)
    assert result.exit_code == 0
    assert "Ethanol down: less clear" in result.stdout
    same = run("recipe", "compare", DEMO, DEMO)
    assert same.stdout.endswith("Nothing differs.\n")
    assert run_json("recipe", "compare", DEMO, DEMO)["changes"] == []


def test_a_file_that_is_no_recipe_is_answered_with_what_to_do(tmp_path: Path) -> None:
    slip = tmp_path / "slip.toml"
    slip.write_text('schema = 1\n[recipe]\nname = "x"\n[[line]]\nkey = "a"\nmaterial = "coconut"\namount = "two"\n')
    result = run("recipe", "weigh", slip)
    assert result.exit_code == 2
    assert "amount" in result.stderr
    assert run("recipe", "weigh", tmp_path / "none.toml").exit_code == 2
    (tmp_path / "bytes.toml").write_bytes(b"\xff\xfe\x00")
    assert run("recipe", "weigh", tmp_path / "bytes.toml").exit_code == 2


def test_an_unknown_material_is_left_out_and_said(tmp_path: Path) -> None:
    text = DEMO.read_text(encoding="utf-8").replace('material = "castor"', 'material = "castro"')
    (tmp_path / "slip.toml").write_text(text, encoding="utf-8")
    result = run("recipe", "check", tmp_path / "slip.toml")
    assert result.exit_code == 1
    assert "castro" in result.stdout and "“castor”" in result.stdout


def test_a_lot_of_the_makers_own_comes_from_the_book(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("KETTLEGLASS_HOME", str(tmp_path))
    with Notebook.open(tmp_path / "workshop.db", clock=utc_now, who="Ada") as book:
        lot = keep_lot(book, Lot("", "coconut", "3", figures={"saponification_value": Measured(262.0, 1.0)}), None, 0)
    text = DEMO.read_text(encoding="utf-8")
    text = text.replace('material = "coconut"\n', f'material = "coconut"\nlot = "{lot.id}"\n')
    (tmp_path / "lot.toml").write_text(text, encoding="utf-8")
    lines = {line["key"]: line for line in run_json("recipe", "weigh", tmp_path / "lot.toml")["lines"]}
    assert lines["lye"]["exact_g"] == pytest.approx((91.370 + 0.2 * 5.5) * 39.9968 / 56.1053 / 0.98, abs=1e-3)


def test_the_catalogue_forgives_a_slip() -> None:
    assert "castor" in run("catalogue", "find", "castro oil").stdout
    assert run_json("catalogue", "find", "rubbing alcohol")["found"][0]["kind"] == "spirit"
    nothing = run("catalogue", "find", "xyzzyxyzzy")
    assert nothing.exit_code == 2 and "Try a shorter word" in nothing.stderr


def test_the_catalogue_shows_a_material_with_its_sources() -> None:
    result = run("catalogue", "show", "coconut")
    assert result.exit_code == 0
    assert "256.5" in result.stdout and "Codex" in result.stdout
    shown = run_json("catalogue", "show", "coconut")
    assert sum(shown["composition_g_per_g"].values()) == pytest.approx(1.0)
    unknown = run("catalogue", "show", "coconuts")
    assert unknown.exit_code == 2 and "“coconut”" in unknown.stderr


def test_an_unknown_command_is_answered_with_the_nearest() -> None:
    result = run("recipee")
    assert result.exit_code == 2 and "“recipe”" in result.stderr


def test_a_substitution_is_told_by_material(tmp_path: Path) -> None:
    text = DEMO.read_text(encoding="utf-8").replace('material = "coconut"', 'material = "palm_kernel"')
    (tmp_path / "other.toml").write_text(text, encoding="utf-8")
    changes = {c["name"]: c for c in run_json("recipe", "compare", DEMO, tmp_path / "other.toml")["changes"]}
    assert (changes["coconut oil"]["before_g"], changes["coconut oil"]["after_g"]) == (200.0, None)
    assert changes["palm kernel oil"]["after_g"] == 200.0


def test_a_fault_of_ours_is_said_with_a_report(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("KETTLEGLASS_HOME", str(tmp_path))
    monkeypatch.setattr("kettleglass.cli.recipe.preview", lambda *_, **__: 1 / 0)
    result = run("recipe", "weigh", DEMO)
    assert result.exit_code == 3
    assert "The fault is ours" in result.stderr and len(list((tmp_path / "reports").iterdir())) == 1


FOUR_KILO = EXAMPLES / "four-kilo-pot.toml"


def test_pot_boil_says_where_it_boils_and_flashes() -> None:
    result = run("pot", "boil", FOUR_KILO)
    assert result.exit_code == 0
    assert "86.0 °C" in result.stdout and "premix boils at" in result.stdout and "26 °C" in result.stdout
    found = run_json("pot", "boil", FOUR_KILO)
    assert found["pot"]["boils_c"] == pytest.approx(86.05, abs=0.1)
    assert found["pressure_pa"] == pytest.approx(101_325.0)


def test_pot_boil_ends_with_1_when_it_boils(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    text = FOUR_KILO.read_text("utf-8").replace('altitude = "0 m"', 'altitude = "2500 m"')
    high = tmp_path / "high.toml"
    high.write_text(text, "utf-8")
    assert run("pot", "boil", high).exit_code == 1
    low = tmp_path / "low.toml"
    low.write_text(text.replace('altitude = "2500 m"\n', ""), "utf-8")
    assert run("pot", "boil", low).exit_code == 0
    monkeypatch.setenv("KETTLEGLASS_ALTITUDE_M", "2500")
    assert run("pot", "boil", low).exit_code == 1


def test_pot_loss_and_air_agree_with_the_page() -> None:
    loss = run_json("pot", "loss", FOUR_KILO)["losses"]
    assert loss["open"]["alcohol"]["likely_fraction"] == pytest.approx(0.34, abs=0.01)
    assert loss["covered"]["alcohol"]["likely_g"] < 10.0
    assert "always covered" in run("pot", "loss", FOUR_KILO).stdout
    air = run_json("pot", "air", FOUR_KILO)["air"]
    assert air["vapour_g_per_min"]["likely"] == pytest.approx(7.57, abs=0.05)
    assert "exposure limit" in run("pot", "air", FOUR_KILO).stdout


def test_pot_plan_has_every_step_with_its_cautions() -> None:
    shown = run("pot", "plan", DEMO).stdout
    assert "1. Melt the fats" in shown and "8. Pour it" in shown
    for said in ("never a water jet", "Lye causes severe burns", "within a metre", "weigh 150 g", "a film forms"):
        assert said in shown
    plan = run_json("pot", "plan", DEMO)
    assert len(plan["steps"]) == 8 and all("cautions" in step for step in plan["steps"])


def test_pot_back_says_what_to_add() -> None:
    shown = run("pot", "back", FOUR_KILO, "--before", "6184 g", "--now", "6.131 kg").stdout
    assert "Lost by the scale: 53 g" in shown and "Add " in shown
    found = run_json("pot", "back", FOUR_KILO, "--before", "6184 g", "--now", "6131 g")
    assert found["lost_g"] == pytest.approx(53.0) and found["spirit_g"] > 20.0
    assert run("pot", "back", FOUR_KILO, "--before", "heavy", "--now", "6131 g").exit_code == 2
    assert "gained" in run("pot", "back", FOUR_KILO, "--before", "6131 g", "--now", "6184 g").stdout


def test_weighed_kettles_of_the_own_book_count(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("KETTLEGLASS_HOME", str(tmp_path))
    usual = run_json("pot", "loss", FOUR_KILO)["losses"]["open"]["alcohol"]
    read = read_recipe(FOUR_KILO.read_bytes()).recipe
    assert read is not None
    worked, hot = cooked_out(read, finder(load_catalogue().get, {}), random_pots=False)
    with Notebook.open(tmp_path / "workshop.db", clock=utc_now, who="") as book:
        for lost in (400.0, 410.0, 405.0):
            said = weighing_of(worked, hot.course, hot.around, (6184.0, 6184.0 - lost), covered=False)
            keep_kettle_weighing(book, said)
    taught = run_json("pot", "loss", FOUR_KILO)["losses"]["open"]["alcohol"]
    assert taught["likely_g"] > usual["likely_g"]
    assert taught["high_g"] - taught["low_g"] < 0.8 * (usual["high_g"] - usual["low_g"])


def test_pot_sizes_shows_five_hundred_grams_beside_ten_kilos() -> None:
    small, large = run_json("pot", "sizes", DEMO)["sizes"]
    assert (small["size_g"], large["size_g"]) == (500.0, 10_000.0)
    assert large["alcohol_lost"]["fraction"]["likely"] < small["alcohol_lost"]["fraction"]["likely"]
    assert large["cool_minutes"]["likely"] > small["cool_minutes"]["likely"]
    spirit = large["charge"][0]
    assert spirit["charge_g"] < spirit["by_scaling_g"]
    shown = run("pot", "sizes", DEMO, "--size", "2 kg")
    assert shown.exit_code == 0 and "2 kg" in shown.stdout and "charge of ethanol" in shown.stdout
    assert run("pot", "sizes", DEMO, "--size", "0 g").exit_code == 2


def test_pot_ways_shows_other_spirits_at_equal_alcohol() -> None:
    ways = run_json("pot", "ways", DEMO)["ways"]
    alcohol = {round(sum(line["alcohol_g"] for line in way["spirits"]), 3) for way in ways}
    assert len(alcohol) == 1 and ways[0]["as_written"]
    shown = run("pot", "ways", DEMO).stdout
    assert "alcohol with the lye" in shown and "Never methylated" in shown
    plain = run("pot", "ways", OPAQUE)
    assert plain.exit_code == 0


@pytest.mark.parametrize("verb", ["boil", "loss", "air", "plan", "sizes", "ways", "back"])
def test_pot_says_first_which_line_is_left_out(verb: str, tmp_path: Path) -> None:
    file = tmp_path / "typing-slip.toml"
    file.write_text(DEMO.read_text("utf-8").replace("ethanol_95_vol", "ethanol_59_vol"), "utf-8")
    weights = ("--before", "2184 g", "--now", "2180 g") if verb == "back" else ()
    shown = run("pot", verb, file, *weights)
    assert shown.stdout.startswith("danger: There is no material called “ethanol_59_vol”") and shown.exit_code == 1
    as_json = run("pot", verb, file, *weights, "--json")
    assert "ethanol_59_vol" in as_json.stderr and json.loads(as_json.stdout) and as_json.exit_code == 1


def test_pot_air_without_alcohol_does_not_say_that_nothing_leaves() -> None:
    assert "No alcohol vapour leaves this pot" in run("pot", "air", OPAQUE).stdout


def test_pot_plan_shows_temperatures_as_a_thermometer_does() -> None:
    shown = run("pot", "plan", EXAMPLES / "sodium-potassium-tea-base.toml").stdout  # its steps are held at 170 °F
    assert "43 to 118 min, 76.7 °C (71 to 100), covered" in shown
