"""``kettleglass drying``: where drying pieces settle, when they are ready, and whether a wrapped weight holds."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import click

from kettleglass.batch.answers import drying_dict
from kettleglass.batch.drying import drying_forecast
from kettleglass.batch.expected import ExpectedLoss, expected_loss
from kettleglass.batch.forecast import DryingForecast
from kettleglass.batch.table import ReadWeights, read_weights
from kettleglass.cli.recipe import AS_JSON, FILE, load
from kettleglass.cli.show import as_json, fail, say, table
from kettleglass.errors import Finding, most_serious_first
from kettleglass.science.heat.warming import Band
from kettleglass.settings import load_settings


@click.group()
def drying() -> None:
    """Weights of drying pieces: the forecast, and whether they are ready."""


@drying.command()
@click.argument("file", type=FILE)
@click.option(
    "--step",
    "step_g",
    type=float,
    default=None,
    help="Step of your scale in g; else that of the settings, or of the readings if they are finer.",
)
@click.option("--pieces", type=int, default=1, show_default=True, help="How many pieces lie on the scale together.")
@click.option("--recipe", "recipe_file", type=FILE, default=None, help="Recipe file: how much should leave.")
@click.option("--wrapped", is_flag=True, help="The pieces are wrapped: does their weight hold?")
@click.option("--whole", is_flag=True, help="Nothing broke off: do not look for a lost piece.")
@AS_JSON
def fit(
    file: Path, step_g: float | None, pieces: int, recipe_file: Path | None, *,
    wrapped: bool, whole: bool, wants_json: bool,
) -> None:  # fmt: skip
    """Where the weight settles and when the pieces are ready, from a CSV file with day,weight_g or date,weight_g."""
    read = _read(file)
    settings = load_settings()
    log = read.log(settings.scale_step_g, pieces)
    log = replace(log, step_g=min(log.step_g, log.finest_step_g) if step_g is None else step_g)
    expected = None if recipe_file is None else _expected(recipe_file)
    said = drying_forecast(replace(log, wrapped=wrapped, whole=whole), expected, seed=settings.seed)
    if wants_json:
        findings = [*read.findings, *said.findings]
        as_json(drying_dict(replace(said, findings=most_serious_first(findings))))
        return
    click.echo(said.message)
    table(("", "likely", "from, to"), _rows(said))
    say(most_serious_first((*read.findings, *_unsaid(said))))


def _read(file: Path) -> ReadWeights:
    try:
        read = read_weights(file.read_bytes())
    except OSError as error:
        fail(f"{file} cannot be read: {error.strerror}.", "Give a CSV file, as in: kettleglass drying fit weights.csv")
    if not read.weighings:
        fail(f"No weighing in {file} can be read.", *(f"{one.text} {one.advice}" for one in read.findings))
    return read


def _expected(recipe_file: Path) -> ExpectedLoss | None:
    return expected_loss(load(recipe_file).worked)


def _unsaid(said: DryingForecast) -> tuple[Finding, ...]:
    """The remarks that the message does not hold already."""
    return tuple(finding for finding in said.findings if finding.text not in said.message)


def _rows(said: DryingForecast) -> list[tuple[str, str, str]]:
    percent = 100.0 / said.now_g
    bands: list[tuple[str, Band | None, float, str, int]] = [
        ("settles at", said.plateau_g, 1.0, "g", 1),
        ("per piece", said.plateau_g if said.log.pieces > 1 else None, 1.0 / said.log.pieces, "g", 1),
        ("still to lose", said.left_g, percent, "%", 2),
        ("in the next 14 days", said.next_14_days_g, percent, "%", 2),
        ("ready to wrap from day", said.ready_from_day, 1.0, "", 0),
        ("settled from day", said.settled_from_day, 1.0, "", 0),
    ]
    return [
        (label, f"{found.likely * by:.{digits}f} {unit}", f"{found.low * by:.{digits}f}, {found.high * by:.{digits}f}")
        for label, found, by, unit, digits in bands if found is not None
    ]  # fmt: skip
