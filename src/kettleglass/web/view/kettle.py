"""What two weighings of the kettle come to, what was kept of them and what they taught, as sentences and rows."""

from __future__ import annotations

from dataclasses import dataclass

from kettleglass.cook.back import AddBack
from kettleglass.cook.kettle import Taught, Told
from kettleglass.cook.syrup import SyrupMade
from kettleglass.web.rendering import moment
from kettleglass.web.view.sentences import counted, listed
from kettleglass.web.view.told import NBSP, Weights, clock, degrees
from kettleglass.workshop.kettles import KeptWeighing

_LEAST_G = 0.05
"""Less than that is nothing."""


@dataclass(frozen=True, slots=True)
class BackRow:
    """Alcohol or water: what left, what of it the recipe counts with, what is to be added."""

    name: str
    left: str
    planned: str
    add: str


@dataclass(frozen=True, slots=True)
class KeptRow:
    """One kept weighing as a row; `times` is what it says by itself, `why` why it says nothing."""

    id: str
    at: str
    said: str
    how: str
    lost: str
    times: str
    why: str


def answer(found: AddBack, weights: Weights, step_g: float) -> str:
    """The sentence that says what to add."""
    adds = []
    if found.spirit_g > 0.0:
        adds.append(f"{weights(found.spirit_g, step_g)} of {found.spirit}")
    if found.plain_water_g > 0.0:
        adds.append(f"{weights(found.plain_water_g, step_g)} of water")
    return f"Add {listed(adds)}." if adds else ""


def explained(found: AddBack, weights: Weights) -> str:
    """What left, what the recipe counts with, and what the spirit brings beside its alcohol."""
    if found.alcohol_g.high <= _LEAST_G and found.water_g.high <= _LEAST_G:
        return ""
    said = (
        f"{weights(found.lost_g)} have left by the scale: likely {weights.band(found.alcohol_g)} of alcohol and"
        f" {weights.band(found.water_g)} of water."
    )
    if found.spirit_g > 0.0 and found.surplus_g >= 1.0:
        said += f" The spirit brings {weights(found.surplus_g)} of water more than has left."
    return said


def back_rows(found: AddBack, weights: Weights, step_g: float) -> tuple[BackRow, ...]:
    """The same as a small table; none where nothing can be told."""
    if not explained(found, weights):
        return ()
    spirit = f"{weights(found.spirit_g, step_g)} of spirit" if found.spirit_g > 0.0 else "nothing"
    water = weights(found.plain_water_g, step_g) if found.plain_water_g > 0.0 else "nothing"
    return (
        BackRow("Alcohol", weights.band(found.alcohol_g), weights(found.planned_alcohol_g), spirit),
        BackRow("Water", weights.band(found.water_g), weights(found.planned_water_g), water),
    )


def kept_row(kept: KeptWeighing, told: Told, weights: Weights) -> KeptRow:
    """A kept weighing as a row."""
    one = kept.weighing
    how = f"{'lid on' if one.covered else 'lid off'}, {degrees(one.temperature_c)}, {clock(one.minutes)}"
    return KeptRow(
        kept.entry.id, moment(kept.entry.updated_at), one.said, how, weights(one.lost_g, one.step_g),
        "" if told.times is None else times_text(*told.times), "" if told.finding is None else told.finding.text,
    )  # fmt: skip


def times_text(low: float, likely: float, high: float) -> str:
    """“1.3 (1.0 to 1.7)”."""
    shown = [f"{value:.2g}" for value in (low, likely, high)]
    return shown[1] if shown[0] == shown[2] else f"{shown[1]} ({shown[0]} to {shown[2]})"


def taught_sentence(taught: Taught) -> str:
    """What is held of a kettle now, against before."""
    lid = "With the lid on" if taught.covered else "With the lid off"
    before = f"{taught.before.low:.2g} to {taught.before.high:.2g}"
    if not taught.weighings:
        return f"{lid} nothing was learnt yet: it may lose {before} times the usual."
    return (
        f"{lid} it loses {times_text(*taught.now)} times the usual, after {counted(taught.weighings, 'weighing')};"
        f" before, {before} was possible."
    )


def syrup_sentence(made: SyrupMade, weights: Weights, step_g: float) -> str:
    """How much of a cooked syrup to use; nothing where that cannot be said."""
    if made.use_g is None or made.syrup_g is None or made.brix is None:
        return ""
    said = f"Use {weights(made.use_g, step_g)} of it: there are {weights(made.syrup_g, step_g)} of {made.brix:.1f}"
    said += f"{NBSP}°Brix."
    more = made.water_more_g or 0.0
    if abs(more) < max(0.5, step_g):
        return f"{said} It brings the water of the plan."
    return f"{said} It brings {weights(abs(more), step_g)} {'more' if more > 0.0 else 'less'} water than planned."
