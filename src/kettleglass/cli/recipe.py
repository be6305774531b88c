"""``kettleglass recipe``: weigh, check, balance and compare recipe files."""

from __future__ import annotations

from pathlib import Path

import click

from kettleglass.cli.shelf import learnt, shelf
from kettleglass.cli.show import DANGER, as_json, fail, table
from kettleglass.cook.preview import Preview, balance_dict, findings_list, preview, weights_dict
from kettleglass.errors import Finding
from kettleglass.recipe.compare import compare as compare_worked
from kettleglass.recipe.exchange import read_recipe
from kettleglass.recipe.readings import chance_text, number_text, unit_key
from kettleglass.recipe.recipe import STAGES, Recipe
from kettleglass.settings import load_settings
from kettleglass.units import UnitSystem, format_mass

FILE = click.Path(exists=True, dir_okay=False, path_type=Path)
AS_JSON = click.option("--json", "wants_json", is_flag=True, help="Full precision, with the units in the keys.")


@click.group()
def recipe() -> None:
    """Weigh out, check, balance and compare recipes."""


def load(path: Path) -> Preview:
    """Work a recipe file out, or end with the sentences that say what is wrong with it."""
    recipe, remarks = _read(path)
    return preview(recipe, shelf(recipe), remarks=remarks, altitude_m=load_settings().altitude_m, learnt=learnt(recipe))


def read_file(path: Path) -> Recipe:
    """The recipe of a file, or the end with the sentences that say what is wrong with it."""
    return _read(path)[0]


def _read(path: Path) -> tuple[Recipe, tuple[Finding, ...]]:
    try:
        read = read_recipe(path.read_bytes())
    except OSError as error:
        fail(
            f"{path} cannot be read: {error.strerror}.", "Give a recipe file, as in: kettleglass recipe weigh FILE.toml"
        )
    if read.recipe is None:
        fail(f"{path} is not a recipe that can be used.", *(_sentence(finding) for finding in read.findings))
    return read.recipe, read.findings


def _sentence(finding: Finding) -> str:
    where = f"{finding.where}: " if finding.where else ""
    return f"{where}{finding.text} {finding.advice}".strip()


@recipe.command()
@click.argument("file", type=FILE)
@AS_JSON
def weigh(file: Path, wants_json: bool) -> None:
    """What to weigh out, to the step of the scale."""
    shown = load(file)
    if wants_json:
        as_json(weights_dict(shown))
        return
    click.echo(shown.recipe.name)
    table(("", "weigh out", "exactly"), _weigh_rows(shown))
    _summary(shown)


def _weigh_rows(shown: Preview) -> list[tuple[str, ...]]:
    worked = shown.worked
    unit: UnitSystem = "lb_oz" if shown.recipe.scale.unit == "lb oz" else "g"
    rows: list[tuple[str, ...]] = []
    for stage in STAGES:
        for row, line in enumerate(worked.sheet.lines):
            if line.stage == stage:
                mass = format_mass(float(worked.weights.weighed_g[row]), float(worked.weights.steps_g[row]), unit)
                rows.append((worked.sheet.materials[row].name, mass, f"{worked.weights.exact_g[row]:.2f} g"))
    return rows


def _summary(shown: Preview) -> None:
    """The few figures that every answer ends with, and how many remarks there are."""
    lines = [
        f"In the pot {shown.worked.total_g:.0f} g, superfat as weighed {shown.worked.weights.superfat_percent:.2f} %."
    ]
    measured, sure = shown.recipe.measured_free_alkali_percent, shown.worked.sure
    if measured is not None:
        lines.append(f"Free alkali as you measured it: {number_text(measured, 2)} %.")
    elif sure is not None:
        lines.append(
            f"Chance of more than {sure.limit_percent:g} % free alkali: {chance_text(sure.chance_free_alkali)} %."
        )
    if shown.worked.offer is not None:
        offer = shown.worked.offer
        lines.append(
            f"With {offer.fats_g:g} g of fats the alkali falls on a step of your scale: {offer.alkali_g:.4g} g."
        )
    serious = [finding for finding in shown.findings if finding.level != "note"]
    if serious:
        lines.append(f"{len(serious)} to mind, first: {serious[0].text} See: kettleglass recipe check FILE")
    lines.append(
        "Lye and hot alcohol can hurt: read the cautions of each step. Local codes and licensed practice come first."
    )
    click.echo("\n" + "\n".join(lines))


@recipe.command()
@click.argument("file", type=FILE)
@AS_JSON
def check(file: Path, wants_json: bool) -> None:
    """What to mind, most serious first; exit code 1 when something is dangerous."""
    shown = load(file)
    if wants_json:
        as_json({"findings": findings_list(shown)})
    else:
        for finding in shown.findings:
            click.echo(f"{finding.level}: {finding.text}")
            if finding.advice:
                click.echo(f"    {finding.advice}")
        if not shown.findings:
            click.echo("Nothing to mind.")
    if any(finding.level == "danger" for finding in shown.findings):
        raise SystemExit(DANGER)


@recipe.command()
@click.argument("file", type=FILE)
@AS_JSON
def balance(file: Path, wants_json: bool) -> None:
    """What the pot becomes: as added, after reaction, as finished base."""
    shown = load(file)
    if wants_json:
        as_json(balance_dict(shown))
        return
    click.echo(shown.recipe.name)
    table(("", "as added g", "after reaction g", "% of pot", "finished g"), _balance_rows(shown))
    _summary(shown)


def _balance_rows(shown: Preview) -> list[tuple[str, ...]]:
    names = dict.fromkeys(
        key.split(".")[1] for key in shown.readings if key.split(".")[0] in ("added", "cooked", "finished")
    )
    rows = []
    for name in names:
        cells = [shown.readings.get(key) for key in
                 (f"added.{name}", f"cooked.{name}", f"cooked.{name}.percent", f"finished.{name}")]  # fmt: skip
        label = next(reading.label for reading in cells if reading)
        rows.append((label, *(reading.text if reading else number_text(0.0, 1) for reading in cells)))
    return rows


@recipe.command()
@click.argument("first", type=FILE)
@click.argument("second", type=FILE)
@AS_JSON
def compare(first: Path, second: Path, wants_json: bool) -> None:
    """Two recipes side by side: what changed, and what it does."""
    before, after = load(first), load(second)
    both = compare_worked((before.worked, before.readings), (after.worked, after.readings))
    changes = (*both.lines, *both.readings)
    if wants_json:
        as_json(
            {
                "changes": [
                    {"name": c.name, f"before_{unit_key(c.unit)}": c.before, f"after_{unit_key(c.unit)}": c.after}
                    for c in changes
                ],
                "sentences": list(both.sentences),
            }
        )
        return
    click.echo(f"{before.recipe.name}  →  {after.recipe.name}")
    table(
        ("", "before", "after", ""),
        [(c.name, number_text(c.before, c.decimals), number_text(c.after, c.decimals), c.unit) for c in changes],
    )
    click.echo("\n".join(("", *both.sentences)) if changes else "Nothing differs.")
