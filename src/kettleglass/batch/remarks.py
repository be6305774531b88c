"""What is to mind about the weighings of drying pieces: one small function a remark, most serious first."""

from __future__ import annotations

import math
from collections.abc import Callable

from kettleglass.batch.forecast import DryingForecast
from kettleglass.batch.words import percent
from kettleglass.errors import Finding, most_serious_first
from kettleglass.science.drying.readiness import FIRST_WEIGHINGS

COARSE_STEPS = 4.0
"""A loss of fewer steps of the scale says too little."""
SLOW_CHANCE = 0.25
CHIP_STEP_G = 0.5
"""On a scale this coarse the chip of a bar is not seen (our simulations: 6 % of chips of 1 to 2 g on a 1 g scale)."""
Remark = Callable[[DryingForecast], Finding | None]


def remarks(said: DryingForecast) -> tuple[Finding, ...]:
    """All that is to mind, most serious first."""
    odd = [_odd(said, place) for place in said.odd]
    found = [remark(said) for remark in REMARKS]
    return most_serious_first([*(one for one in found if one is not None), *odd])


def _lost_piece(said: DryingForecast) -> Finding | None:
    question = said.question
    if question is None:
        return None
    first, log = said.log.weighings[0].day, said.log
    between = f"{log.when(first + question.after_day)} and {log.when(first + question.before_day)}"
    what = "the piece" if log.pieces == 1 else "one of the pieces"
    return Finding(
        "caution", "lost-piece",
        f"Did {what} lose a part between {between}? About {question.lost_g:.1f} g went that no drying explains; the"
        " forecast counts as if it had broken off.",
        "If so, mark that weighing (column “broke”). If not, say that it is whole: then that counts as dried away.",
        log.when(first + question.before_day),
    )  # fmt: skip


def _rising(said: DryingForecast) -> Finding | None:
    if not said.rising:
        return None
    return Finding(
        "caution", "takes-up-water",
        "The weight went up twice running: the piece takes up water (damp air, or glycerol or sugar drawing it). While"
        " it does, nothing is said to be ready.",
        "Move it to drier air, and weigh again when the room has settled.",
    )  # fmt: skip


def _too_much(said: DryingForecast) -> Finding | None:
    if said.expected is None or said.lost_fraction <= said.expected.volatile_fraction + 0.01:
        return None
    return Finding(
        "caution", "lost-more-than-can-leave",
        f"{percent(said.lost_fraction)} of the weight has left, but only {percent(said.expected.volatile_fraction)} of"
        " this recipe is water and alcohol: the weighings or the recipe are wrong.",
        "Is it the right recipe, were the same pieces weighed each time, and is the first weight right?",
    )  # fmt: skip


def _coarse(said: DryingForecast) -> Finding | None:
    log = said.log
    if len(log.weighings) < FIRST_WEIGHINGS or log.wrapped or said.ready or said.scattered:
        return None
    if said.lost_g >= COARSE_STEPS * log.step_g - 1e-9 or said.rising:
        return None
    per_piece = said.lost_g / log.pieces
    together = math.ceil(COARSE_STEPS * log.step_g / per_piece - 1e-9) if per_piece > 0.0 else 10
    return Finding(
        "note", "scale-too-coarse",
        f"The loss so far is less than {COARSE_STEPS:g} steps of a scale of {log.step_g:g} g: too little to go by.",
        f"Weigh {max(together, log.pieces + 1)} pieces together, or use a finer scale. Ten bars together on a scale of"
        " 1 g say as much as one bar on a scale of 0.1 g.",
    )  # fmt: skip


def _finer(said: DryingForecast) -> Finding | None:
    log = said.log
    if not log.weighings or log.finest_step_g > 0.5 * log.step_g:
        return None
    return Finding(
        "note", "finer-than-the-step",
        f"The readings are finer than the step of {log.step_g:g} g that is given for the scale.",
        f"Is the step {log.finest_step_g:g} g? With it the forecast is surer.",
    )  # fmt: skip


def _light(said: DryingForecast) -> Finding | None:
    if said.expected is None or not said.ready or said.log.wrapped or said.left_g is None:
        return None
    if (said.lost_g + said.left_g.high) / said.start_g >= said.expected.low_fraction:
        return None
    return Finding(
        "note", "flat-but-light",
        f"Flat, but only {percent(said.lost_fraction)} has left where the recipe lets expect"
        f" {percent(said.expected.low_fraction, 0)} to {percent(said.expected.high_fraction, 0)}: a slow second stage"
        " is possible.",
        "Keep one piece unwrapped and weigh it again in 4 weeks. Had it dried before the first weighing?",
    )  # fmt: skip


def _slow(said: DryingForecast) -> Finding | None:
    if said.slow_chance <= SLOW_CHANCE:
        return None
    return Finding(
        "note", "slower-than-can-be-seen",
        "This dries more slowly than these weighings can show; the end of it is guesswork.",
        "Weigh every week or two, and trust the next 14 days rather than the plateau.",
    )  # fmt: skip


def _chips(said: DryingForecast) -> Finding | None:
    log = said.log
    if log.whole or log.wrapped or said.question is not None or len(log.weighings) < 2:
        return None
    if log.pieces == 1 and log.step_g < CHIP_STEP_G:
        return None
    why = f"On a scale of {log.step_g:g} g" if log.pieces == 1 else "Among several pieces on the scale"
    return Finding(
        "note", "look-for-chips",
        f"{why} the chip of a bar is hardly seen, and counts as dried away.",
        "Look at each weighing whether anything broke off, and mark it if so.",
    )  # fmt: skip


def _odd(said: DryingForecast, place: int) -> Finding:
    one = said.log.weighings[place]
    return Finding(
        "note", "odd-reading",
        f"The reading of {said.log.when(one.day)}, {one.weight_g:g} g, looks odd. It is kept and counts little.",
        "Is a digit wrong, or were other pieces on the scale?", said.log.when(one.day),
    )  # fmt: skip


REMARKS: tuple[Remark, ...] = (_lost_piece, _rising, _too_much, _coarse, _finer, _light, _slow, _chips)
"""Every remark but those on single readings; a new one is one function here."""
