"""Other sizes and other ways of a recipe as the rows of a table, beside each other."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from kettleglass.cook.boil import Boils
from kettleglass.cook.scale_up import Lost, Scaled
from kettleglass.cook.variants import Moved, Variant
from kettleglass.cook.warm import Change
from kettleglass.errors import Finding, most_serious_first
from kettleglass.recipe.method import Caution
from kettleglass.science.heat.vapour import HIGHEST_C
from kettleglass.science.heat.warming import Band
from kettleglass.web.view.sentences import counted, in_sentence, listed, shown_name
from kettleglass.web.view.told import NBSP, Weights, band_of, degrees, ends, number

NONE = "–"
_IN_THE_ROW = ("spirit-water", "loss-differs", "alcohol-lost")
"""Remarks on a way that its own row says already."""


@dataclass(frozen=True, slots=True)
class Cell:
    """A figure with its doubt beneath it; `bad` is shown in red."""

    value: str
    doubt: str = ""
    bad: bool = False


@dataclass(frozen=True, slots=True)
class SizeRow:
    """One thing that the size changes, for each size."""

    words: str
    cells: tuple[Cell, ...]


@dataclass(frozen=True, slots=True)
class WayRow:
    """One way to make the base; `windows` says which published windows judge otherwise."""

    name: str
    small: str
    weigh: tuple[str, ...]
    boils: Cell
    flash: str
    lost: Cell
    open_lost: str
    water: str
    windows: tuple[str, ...]

    @property
    def windows_said(self) -> str:
        """How many published windows judge it otherwise."""
        return f"{counted(len(self.windows), 'published window')} judged otherwise"


def _banded(band: Band | None, unit: str, *, bad: bool = False) -> Cell:
    return Cell(NONE) if band is None else Cell(f"{number(band.likely)}{NBSP}{unit}", ends(band), bad)


def _lasting(change: Change | None) -> Cell:
    if change is None:
        return Cell(NONE)
    return Cell(NONE, change.why) if change.minutes is None else _banded(change.minutes, "min")


def _share(lost: Lost | None) -> Cell:
    if lost is None:
        return Cell(NONE)
    return _banded(Band(*(100.0 * end for end in lost.share)), "%")


def _row(words: str, found: Sequence[Scaled], cell: Callable[[Scaled], Cell]) -> SizeRow:
    return SizeRow(words, tuple(cell(one) for one in found))


def size_rows(found: Sequence[Scaled], weights: Weights) -> Iterator[SizeRow]:
    """What the size changes: kettle, heat, times, losses, air, and the charge that finishes alike."""
    yield _row("kettle, inside across", found, lambda one: Cell(f"{one.kettle.diameter_mm / 10.0:.0f}{NBSP}cm"))
    yield _row("gets hot by its own reaction", found, _heat)
    yield _row("boils with everything in", found, lambda one: _banded(band_of(one.boils), "°C"))
    yield _row("melting the fats takes", found, lambda one: _lasting(one.pace.melt))
    yield _row("warming it to the hold takes", found, lambda one: _lasting(one.pace.warm))
    yield _row("cooling to the pour takes", found, lambda one: _lasting(one.pace.cool))
    yield _row("alcohol lost", found, lambda one: _share(one.alcohol))
    yield _row("water lost", found, lambda one: _share(one.water))
    yield _row("fresh air to breathe all day, lid off", found, _air)
    yield from _charges(found, weights)


def _heat(one: Scaled) -> Cell:
    """How hot it gets by itself; beyond the reach of the model only that it is more."""
    heat = one.exotherm
    if heat is None:
        return Cell(NONE)
    if heat.reached_c.low >= HIGHEST_C:
        return Cell(f"over {number(HIGHEST_C)}{NBSP}°C", bad=heat.may_boil)
    return _banded(heat.reached_c, "°C", bad=heat.may_boil)


def _air(one: Scaled) -> Cell:
    return Cell(NONE) if one.air is None else Cell(f"{number(one.air.exposure_m3_h)}{NBSP}m³/h")


def _charges(found: Sequence[Scaled], weights: Weights) -> Iterator[SizeRow]:
    """What to put in so that the base finishes alike, with what scaling alone would put in beneath it."""
    by_key = [{line.key: line for line in (*one.charge.spirits, *one.charge.waters)} for one in found]
    for key in dict.fromkeys(key for lines in by_key for key in lines):
        here = [lines.get(key) for lines in by_key]
        name = next(line.name for line in here if line is not None)
        cells = tuple(
            Cell(NONE) if line is None else Cell(weights(line.grams), f"by scaling {weights(line.scaled_g)}")
            for line in here
        )
        yield SizeRow(f"put in so that it finishes alike: {shown_name(name)}", cells)


def size_findings(found: Sequence[Scaled]) -> tuple[Finding, ...]:
    """What to mind at these sizes, each once, most serious first."""
    return most_serious_first(dict.fromkeys(finding for one in found for finding in one.findings))


def way_rows(found: Sequence[Variant], weights: Weights) -> tuple[WayRow, ...]:
    """One row a way, the recipe as written first."""
    said: set[str] = set()
    rows = []
    for one in found:
        small = "" if one.suits in said else one.suits
        said.add(one.suits)
        name = f"As written: {one.route}" if one.as_written else shown_name(one.name)
        rows.append(
            WayRow(
                name=name, small=small,
                weigh=tuple(f"{weights(line.grams)} {line.name}" for line in one.spirits),
                boils=_boils(one.boils, one.margin_k),
                flash=NONE if one.flash_c is None else degrees(round(one.flash_c)),
                lost=_grams(one.loss.method_g, weights), open_lost=weights(one.loss.open_g.likely),
                water=_water(one, weights), windows=tuple(map(_moved, one.moved)),
            )
        )  # fmt: skip
    return tuple(rows)


def _boils(boils: Boils | None, margin_k: Band | None) -> Cell:
    """Where it boils, with what is left to that at the step that comes nearest."""
    if boils is None:
        return Cell(NONE)
    if margin_k is None:
        return _banded(band_of(boils), "°C")
    left = "boils while held" if margin_k.likely <= 0.0 else f"{number(margin_k.likely)}{NBSP}°C left"
    return Cell(degrees(round(boils.likely_c)), left, margin_k.low <= 0.0)


def _grams(band: Band, weights: Weights) -> Cell:
    low, likely, high = (weights(value) for value in band)
    return Cell(likely, "" if low == high else f"{low.removesuffix(f'{NBSP}g')} to {high.removesuffix(f'{NBSP}g')}")


def _water(one: Variant, weights: Weights) -> str:
    extra_g = one.extra_water_g
    if abs(extra_g) < 0.5:
        return ""
    return f"{weights(abs(extra_g))} {'more' if extra_g > 0.0 else 'less'} water"


def _moved(one: Moved) -> str:
    """“out of water (Thomssen 1922)”."""
    name = in_sentence(one.window.label)
    said = f"{name} {one.what}" if one.before is None or one.after is None else f"{one.what} {name}"
    return f"{said} ({one.window.source_name})"


def way_findings(found: Sequence[Variant]) -> list[tuple[str, Finding]]:
    """What to mind beyond the recipe as written, each once, with the ways that it holds for."""
    known = {finding for one in found if one.as_written for finding in one.findings}
    by_finding: dict[Finding, list[str]] = {}
    for one in found:
        for finding in one.findings:
            if finding not in known and finding.code not in _IN_THE_ROW:
                by_finding.setdefault(finding, []).append(one.name)
    return [(f"{shown_name(listed(by_finding[one]))}: ", one) for one in most_serious_first(by_finding)]


def way_cautions(found: Sequence[Variant]) -> tuple[Caution, ...]:
    """The cautions of all ways, each once."""
    return tuple(dict.fromkeys(caution for one in found for caution in one.cautions))
