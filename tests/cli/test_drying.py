"""``kettleglass drying fit`` as a maker runs it: the answer, its JSON, exit codes, and sentences for slips."""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

from kettleglass.cli.main import main

EXAMPLES = Path(__file__).parents[2] / "examples"
BAR, DEMO = EXAMPLES / "drying-bar.csv", EXAMPLES / "demo-clear-base.toml"


def run(*arguments: object) -> Result:
    return CliRunner().invoke(main, ["drying", "fit", *(str(argument) for argument in arguments)])


def run_json(*arguments: object) -> Mapping[str, Any]:
    result = run(*arguments, "--json")
    assert result.exit_code == 0 and result.stderr == ""
    found: Mapping[str, Any] = json.loads(result.stdout)
    return found


def written(tmp_path: Path, *rows: str) -> Path:
    path = tmp_path / "weights.csv"
    path.write_text("\n".join(("day,weight_g", *rows, "")), encoding="utf-8")
    return path


def test_the_answer_in_words_and_figures() -> None:
    result = run(BAR, "--step", "0.1")
    assert result.exit_code == 0
    assert result.stdout.startswith("Not ready yet, 13.6 g (12.1 %) lost so far")
    assert "Weigh again on 4 April 2026" in result.stdout
    for label in ("settles at", "still to lose", "in the next 14 days", "ready to wrap from day"):
        assert label in result.stdout


def test_the_json_holds_bands_verdict_and_message() -> None:
    found = run_json(BAR, "--step", "0.1")
    plateau, ready_from = found["plateau_g"], found["ready_from_day"]
    assert 96.0 < plateau["low"] <= plateau["likely"] <= plateau["high"] < 98.8
    assert 20.0 < ready_from["low"] <= ready_from["likely"] <= ready_from["high"]
    assert found["ready"] is False and found["message"].startswith("Not ready yet")
    assert found["ready_from_date"]["likely"].startswith("2026-0") and found["weighings"] == 9
    assert found["prior"]["from"] == "assumed" and found["step_g"] == 0.1
    assert run_json(BAR, "--step", "0.1") == found


def test_a_bar_that_has_dried_is_ready(tmp_path: Path) -> None:
    found = run_json(written(tmp_path, *(f"{3 * n},{88 + 12 * 0.5**n:.1f}" for n in range(16))), "--step", "0.1")
    assert found["ready"] and found["settled"] and found["plateau_g"]["likely"] == pytest.approx(88.0, abs=0.1)


def test_too_few_weighings_say_when_to_weigh_again(tmp_path: Path) -> None:
    found = run_json(written(tmp_path, "0,100", "3,96.4"), "--step", "0.1")
    assert found["plateau_g"] is None and found["ready_from_day"] is None and found["ready"] is False
    assert found["more_weighings"] == 2 and found["weigh_next_days"] == [5.0, 7.0]


def test_without_a_step_that_of_the_settings_counts_or_a_finer_one_that_shows(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    whole = written(tmp_path, "0,100", "3,96", "5,94")
    assert (run_json(whole)["step_g"], run_json(BAR)["step_g"]) == (1.0, 0.1)
    monkeypatch.setenv("KETTLEGLASS_SCALE_STEP_G", "0.5")
    assert (run_json(whole)["step_g"], run_json(BAR)["step_g"]) == (0.5, 0.1)
    assert "finer-than-the-step" in [one["code"] for one in run_json(BAR, "--step", "1")["findings"]]


def test_pieces_and_recipe_count(tmp_path: Path) -> None:
    plain, known = run_json(BAR, "--step", "0.1"), run_json(BAR, "--step", "0.1", "--recipe", DEMO)
    assert known["prior"]["from"] == "recipe" and known["prior"]["loss_fraction"] == pytest.approx(0.207, abs=0.001)
    assert known["plateau_g"] != plain["plateau_g"]
    ten = run_json(BAR, "--step", "0.1", "--pieces", "10")
    assert ten["plateau_per_piece_g"]["likely"] == pytest.approx(ten["plateau_g"]["likely"] / 10.0)
    assert "per piece" in run(BAR, "--step", "0.1", "--pieces", "10").stdout


def test_wrapped_and_whole_pieces(tmp_path: Path) -> None:
    log = written(tmp_path, "0,500.0", "5,499.9", "10,500.0", "15,499.9")
    assert run_json(log, "--step", "0.1", "--wrapped")["ready"]
    chipped = written(tmp_path, *(f"{3 * n},{88 + 12 * 0.5**n - (3 if n > 5 else 0):.1f}" for n in range(12)))
    assert run_json(chipped, "--step", "0.1")["lost_piece"]["before_day"] == 18.0
    assert run_json(chipped, "--step", "0.1", "--whole")["lost_piece"] is None
    assert "Did the piece lose a part" in run(chipped, "--step", "0.1").stdout


def test_rows_that_cannot_be_read_are_named(tmp_path: Path) -> None:
    log = written(tmp_path, "0,100", "3,96,4", "5,heavy", "7,93.2")
    shown = run(log, "--step", "0.1")
    assert shown.exit_code == 0 and "Line 3 was not read" in shown.stdout and "Line 4 was not read" in shown.stdout
    assert [one["where"] for one in run_json(log)["findings"]][:2] == ["line 3", "line 4"]


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "no weighings"),
        (b"day,weight_g\n0,heavy\n", "Line 2 was not read"),
        (b"a,b\nc,d\n", "name no day and weight"),
    ],
)
def test_a_file_without_weighings_ends_with_2(tmp_path: Path, content: bytes, said: str) -> None:
    (tmp_path / "no.csv").write_bytes(content)
    result = run(tmp_path / "no.csv")
    assert result.exit_code == 2 and said in result.stderr and result.stdout == ""


@pytest.mark.parametrize("options", [("--step", "0"), ("--step", "nan"), ("--pieces", "0"), ("--recipe", "none.toml")])
def test_impossible_options_end_with_2(options: tuple[str, ...]) -> None:
    assert run(BAR, *options).exit_code == 2


def test_a_recipe_that_cannot_be_read_ends_with_2() -> None:
    assert run(BAR, "--recipe", BAR).exit_code == 2
