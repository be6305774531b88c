"""``kettleglass pot``: will the pot boil, how much leaves it, is the air safe, what to add back, and the plan."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import Any

import click

from kettleglass.cli.pot_beside import sizes, ways
from kettleglass.cli.recipe import AS_JSON, FILE, load
from kettleglass.cli.show import DANGER, as_json, end_if_left_out, say, table
from kettleglass.cook.answers import air_dict, back_dict, boil_dict, loss_dict
from kettleglass.cook.back import AddBack, add_back
from kettleglass.cook.check import margin_text
from kettleglass.cook.plan import Plan, plan, plan_dict
from kettleglass.cook.prepare import WeighLine
from kettleglass.cook.preview import Preview
from kettleglass.science.heat.warming import Band
from kettleglass.units import format_mass, parse_mass

CAUTION = "Hot alcohol can hurt: read the cautions of each step. Local codes and licensed practice come first."


@click.group()
def pot() -> None:
    """Boiling, losses, air and the plan of a cook."""


def _figures(shown: Preview, keys: Sequence[str]) -> list[tuple[str, ...]]:
    found = [shown.readings[key] for key in keys if key in shown.readings]
    return [(one.label, f"{one.text} {one.unit}", one.band_text) for one in found]


def _answer(
    file: Path, wants_json: bool, data: Callable[[Preview], dict[str, Any]], keys: Sequence[str], *, nothing: str = ""
) -> None:
    """The document as JSON, or its readings as a table with what to mind; exit code 1 when something is dangerous.

    `nothing` is what is said when there is no reading.
    """
    shown = load(file)
    found = data(shown)
    say(shown.worked.left_out, err=wants_json)
    if wants_json:
        as_json(found)
    else:
        click.echo(shown.recipe.name)
        rows = _figures(shown, keys)
        table(("", "likely", "from, to"), rows)
        if not rows:
            click.echo(nothing or "Nothing can be said of this pot yet.")
        for finding in found["findings"]:
            click.echo(f"{finding['level']}: {finding['text']}\n    {finding['advice']}".rstrip())
        click.echo(CAUTION)
    end_if_left_out(shown.worked.left_out)
    if any(finding["level"] == "danger" for finding in found["findings"]):
        raise SystemExit(DANGER)


@pot.command()
@click.argument("file", type=FILE)
@AS_JSON
def boil(file: Path, wants_json: bool) -> None:
    """Where the pot and the premix boil, and their flash points; exit code 1 when something boils."""
    keys = ("pot.boil", "pot.margin", "premix.boil", "pot.flash", "premix.flash", "lye.reached", "lye.boils")
    _answer(file, wants_json, boil_dict, keys)


@pot.command()
@click.argument("file", type=FILE)
@AS_JSON
def loss(file: Path, wants_json: bool) -> None:
    """Alcohol and water that leave, with the lids of the steps, always covered and always open."""
    keys = [
        f"loss.{kind}.{way}{unit}" for kind in ("alcohol", "water") for way in ("method", "covered", "open")
        for unit in ("", ".percent")
    ]  # fmt: skip
    _answer(file, wants_json, loss_dict, keys)


@pot.command()
@click.argument("file", type=FILE)
@AS_JSON
def air(file: Path, wants_json: bool) -> None:
    """Vapour into the room, and the fresh air that it takes."""
    keys = ("air.release", "air.lel_25", "air.lel_10", "air.exposure", "air.room")
    nothing = "No alcohol vapour leaves this pot, so its air needs no more than that of any kitchen."
    _answer(file, wants_json, air_dict, keys, nothing=nothing)


@pot.command(name="plan")
@click.argument("file", type=FILE)
@AS_JSON
def plan_command(file: Path, wants_json: bool) -> None:
    """The cook step by step: what to weigh, how hot, how long, what to look for, what can hurt."""
    shown = load(file)
    made = plan(shown.worked, shown.hot.course, shown.hot.boiling, shown.hot.around)
    say(shown.worked.left_out, err=wants_json)
    if wants_json:
        as_json(plan_dict(made))
    else:
        for line in plan_lines(made):
            click.echo(line)
    end_if_left_out(shown.worked.left_out)


def plan_lines(made: Plan) -> Iterator[str]:
    """The plan as lines of plain text."""
    yield made.name
    yield made.defers
    for one in made.preparations:
        yield f"\nMake ready ({one.start_min:.0f} to {one.end_min:.0f} min, for step {one.for_step}): {one.does}"
        yield from _weigh_lines(one.weigh)
        yield from (f"   look for: {look}" for look in one.look_for)
        yield from (f"   ! {caution.text}" for caution in one.cautions)
    for step in made.steps:
        lid = "covered" if step.covered else "open"
        allowed = f"{step.temperature.low_c:.0f} to {step.temperature.high_c:.0f}"
        held = f"{round(step.temperature.aim_c, 1):g} °C ({allowed})"
        yield f"\n{step.number}. {step.text}"
        yield f"   {step.start_min:.0f} to {step.end_min:.0f} min, {held}, {lid}"
        yield from _weigh_lines(step.weigh)
        if step.margin_k is not None:
            yield f"   {_margin_line(step.margin_k)}"
        yield from (f"   look for: {look}" for look in step.look_for)
        for test in step.tests:
            yield f"   test: {test.name}. {test.how}"
            yield from (f"      {result.seen}: {result.means}. {result.do}" for result in test.results)
        yield from (f"   ! {caution.text}" for caution in step.cautions)
    for finding in made.findings:
        yield f"\n{finding.level}: {finding.text}\n    {finding.advice}"
    timing = made.timing
    yield f"\nTotal {timing.total_min:.0f} min; {timing.saved_min:.0f} min of it overlap."


def _margin_line(margin_k: Band) -> str:
    if margin_k.likely <= 0.0:
        return "It boils while it is held."
    doubt = "; it may boil" if margin_k.low <= 0.0 else f" ({margin_k.low:.0f} to {margin_k.high:.0f})"
    return f"{margin_text(margin_k.likely)}{doubt}"


def _weigh_lines(lines: tuple[WeighLine, ...]) -> Iterator[str]:
    for line in lines:
        yield f"   weigh {format_mass(line.grams, line.step_g)} {line.name}"


@pot.command()
@click.argument("file", type=FILE)
@click.option("--before", required=True, help="What the kettle weighed at the start of the step, as in “2184 g”.")
@click.option("--now", required=True, help="What it weighs now, with the same lid and spoon.")
@click.option("--step", type=int, default=None, help="Which step, from 1; left out: the longest with alcohol.")
@AS_JSON
def back(file: Path, before: str, now: str, step: int | None, wants_json: bool) -> None:
    """What to add back after the kettle lost weight: grams of your own spirit and of water."""
    shown = load(file)
    hot = shown.hot
    found = add_back(shown.worked, hot.course, hot.around, parse_mass(before), parse_mass(now), step=step)
    say(shown.worked.left_out, err=wants_json)
    if wants_json:
        as_json(back_dict(found))
    else:
        _say_back(found)
    end_if_left_out(shown.worked.left_out)


def _say_back(found: AddBack) -> None:
    scale = f"Lost by the scale: {found.lost_g:.0f} g." if found.lost_g >= 0.0 else "The scale shows more than before."
    click.echo(f"{found.step}\n{scale}")
    if found.alcohol_g.likely > 0.0:
        click.echo(
            f"Likely {found.alcohol_g.likely:.0f} g of alcohol ({found.alcohol_g.low:.0f} to"
            f" {found.alcohol_g.high:.0f}) and {found.water_g.likely:.0f} g of water; the recipe counts with"
            f" {found.planned_alcohol_g:.0f} g and {found.planned_water_g:.0f} g."
        )
    if found.spirit_g > 0.0:
        click.echo(f"Add {found.spirit_g:g} g of {found.spirit}.")
    if found.plain_water_g > 0.0:
        click.echo(f"Add {found.plain_water_g:g} g of water.")
    say(found.findings)
    click.echo(CAUTION)


pot.add_command(sizes)
pot.add_command(ways)
