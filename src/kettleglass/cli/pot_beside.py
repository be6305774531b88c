"""``kettleglass pot sizes`` and ``pot ways``: one recipe at other sizes, by another route, with another spirit."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

import click

from kettleglass.cli.recipe import AS_JSON, FILE, read_file
from kettleglass.cli.shelf import learnt, shelf
from kettleglass.cli.show import as_json, end_if_left_out, say, table
from kettleglass.cook.beside import sizes_list, ways_list
from kettleglass.cook.scale_up import SIZES_G, Scaled, scale_up
from kettleglass.cook.variants import Variant, variants
from kettleglass.recipe.work import work_out
from kettleglass.science.heat.warming import Band
from kettleglass.settings import load_settings
from kettleglass.units import format_mass, parse_mass


@click.command()
@click.argument("file", type=FILE)
@click.option("--size", "sizes", multiple=True, help="A whole mass, as in “10 kg”; may be given often.")
@AS_JSON
def sizes(file: Path, sizes: tuple[str, ...], wants_json: bool) -> None:
    """The recipe at other sizes: heat, times, losses, and what to charge so that the base finishes alike."""
    recipe = read_file(file)
    grams = tuple(parse_mass(one) for one in sizes) or SIZES_G
    find = shelf(recipe)
    left_out = work_out(recipe, find, random_pots=False).left_out
    found = scale_up(recipe, find, grams, altitude_m=load_settings().altitude_m, learnt=learnt(recipe))
    say(left_out, err=wants_json)
    if wants_json:
        as_json({"name": recipe.name, "sizes": sizes_list(found)})
    else:
        click.echo(recipe.name)
        table(("", *(format_mass(one.size_g, 1.0) for one in found)), list(_size_rows(found)))
        say(finding for one in found for finding in one.findings)
    end_if_left_out(left_out)


def _size_rows(found: tuple[Scaled, ...]) -> Iterable[tuple[str, ...]]:
    yield ("kettle, inner diameter", *(f"{one.kettle.diameter_mm:.0f} mm" for one in found))
    yield ("its own heat reaches", *(_heat(one.exotherm.reached_c) if one.exotherm else "–" for one in found))
    for label, name in (("warming takes", "warm"), ("cooling to the pour takes", "cool")):
        changes = [getattr(one.pace, name) for one in found]
        yield (label, *(_span(change.minutes, "min") if change and change.minutes else "–" for change in changes))
    shares = [one.alcohol.share if one.alcohol else None for one in found]
    yield ("alcohol lost", *(_span(Band(*(100.0 * end for end in share)), "%") if share else "–" for share in shares))
    first = found[0].charge if found else None
    for place, line in enumerate((*first.spirits, *first.waters) if first else ()):
        cells = [(*one.charge.spirits, *one.charge.waters)[place : place + 1] for one in found]
        yield (f"charge of {line.name}", *(f"{cell[0].grams:.0f} g" if cell else "–" for cell in cells))


def _heat(band: Band) -> str:
    """The temperature reached; where all of the band stands at the end of the model, only that it is more."""
    return f"over {band.likely:.0f} °C" if band.low == band.high else _span(band, "°C")


def _span(band: Band, unit: str) -> str:
    return f"{band.likely:.0f} {unit} ({band.low:.0f} to {band.high:.0f})"


@click.command()
@click.argument("file", type=FILE)
@AS_JSON
def ways(file: Path, wants_json: bool) -> None:
    """The recipe by the other route, and with another or weaker spirit at equal grams of alcohol."""
    recipe = read_file(file)
    find = shelf(recipe)
    left_out = work_out(recipe, find, random_pots=False).left_out
    found = variants(recipe, find, altitude_m=load_settings().altitude_m, learnt=learnt(recipe))
    say(left_out, err=wants_json)
    if wants_json:
        as_json({"name": recipe.name, "ways": ways_list(found)})
    else:
        click.echo(recipe.name)
        _say_ways(found)
    end_if_left_out(left_out)


def _say_ways(found: tuple[Variant, ...]) -> None:
    if not found:
        click.echo("There is no alcohol in this recipe, so there is no other way to show.")
    said: set[str] = set()
    for one in found:
        for line in _way_lines(one):
            if line not in said:
                click.echo(line)
            if line.startswith(_REMARKS):
                said.add(line)


_REMARKS = ("   !", "   suits", "   danger", "   caution", "   note")
"""Lines that are said once, at the first way that they hold for."""


def _way_lines(one: Variant) -> Iterable[str]:
    yield f"\n{one.name}"
    for line in one.spirits:
        yield f"   {line.grams:.0f} g of {line.name}, {line.alcohol_g:.0f} g of it alcohol"
    if one.boils is not None and one.margin_k is not None:
        yield f"   boils at {one.boils.likely_c:.0f} °C, {one.margin_k.likely:.0f} °C above the hottest step"
    if one.flash_c is not None:
        yield f"   flash point {one.flash_c:.0f} °C"
    yield f"   alcohol lost {_span(one.loss.method_g, 'g')}; always open {one.loss.open_g.likely:.0f} g"
    yield from (f"   {moved.what}: {moved.window.label} ({moved.window.source_name})" for moved in one.moved)
    yield f"   suits: {one.suits}"
    yield from (f"   ! {caution.text}" for caution in one.cautions)
    yield from (f"   {finding.level}: {finding.text} {finding.advice}" for finding in one.findings)
