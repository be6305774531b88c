"""What a weight log says: where the weight settles, how much still leaves, whether the pieces are ready, and why."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from kettleglass.batch.expected import ExpectedLoss
from kettleglass.batch.forecast import DryingForecast
from kettleglass.batch.remarks import remarks
from kettleglass.batch.weights import WeightLog
from kettleglass.batch.words import message
from kettleglass.science.basis import Array
from kettleglass.science.drying.forecast import LossPrior, Scale, band, forecast
from kettleglass.science.drying.lost_piece import LostPiece, as_it_is_now, lost_piece
from kettleglass.science.drying.readiness import (
    FIRST_DAYS,
    FIRST_WEIGHINGS,
    SETTLED,
    WRAP,
    Chances,
    Plan,
    chances,
    earlier,
    first_plan,
    holds_from,
    judged,
    leaving_g,
    next_plan,
)
from kettleglass.science.drying.wrapped import MIN_DAYS, MIN_WEIGHINGS, wrapped
from kettleglass.science.heat.warming import Band

MOST_READINGS = 200
"""Longer logs are thinned to the medians of so many groups of neighbours."""
RISE_STEPS = 2.0
ODD_SHARE = 0.3
LEAST_ODD = 2
"""With so many odd readings nothing is forecast: the weighings contradict each other."""
BEYOND = 2.5
"""A loss so many standard deviations above what was expected shows that it was wrong, and nearly nothing is held."""


def drying_forecast(log: WeightLog, expected: ExpectedLoss | None = None, *, seed: int = 1) -> DryingForecast:
    """What the weighings of a log say; `expected` is the loss that the recipe lets expect, where it is known.

    Nothing is raised for few, strange or contradictory weighings: what can be said is said, and the rest is None.
    """
    found = _found(log, expected, seed)
    found = replace(found, findings=remarks(found))
    return replace(found, message=message(found))


def _found(log: WeightLog, expected: ExpectedLoss | None, seed: int) -> DryingForecast:
    prior = expected.prior if expected else LossPrior()
    if len(log.weighings) < 2:
        return DryingForecast(log, prior, expected, 0.0, first_plan(_or_day_0(log.days)))
    if log.wrapped:
        return _wrapped(log, prior, expected, seed)
    days, read, places = _thinned(log)
    scale = Scale(log.step_g)
    pieces, question = _broken_off(log, days, read, scale)
    weights = as_it_is_now(read, pieces)
    plan = _by_log(first_plan(days - days[0]), log)
    lost = _lost_g(weights, read, np.ones(len(read), dtype=bool))
    if lost > (prior.fraction + BEYOND * prior.sd_fraction) * read[0]:
        prior = LossPrior(max(prior.fraction, 0.10), 0.12)
    if len(log.weighings) < FIRST_WEIGHINGS or days[-1] - days[0] < FIRST_DAYS:
        return DryingForecast(log, prior, expected, lost, plan, question=question)
    made = forecast(days, weights, scale, prior, seed=seed)
    now, before = chances(made), _chances_before(days, weights, scale, prior, seed)
    rising = _rises(weights, scale)
    odd = tuple(place for place in made.odd if not (rising and place >= len(days) - 2))
    sound = np.isin(np.arange(len(days)), odd, invert=True)
    lost = _lost_g(weights, read, sound)
    odd = tuple(places[place] for place in odd)
    if _scattered(odd, days):
        return DryingForecast(log, prior, expected, lost, plan, odd=odd, scattered=True)
    settled, ready = (verdict and not rising for verdict in judged(len(days), made.today, now, before))
    first = log.weighings[0].day
    return DryingForecast(
        log, prior, expected, lost, _by_log(next_plan(made, now), log),
        plateau_g=made.plateau_g,
        left_g=band(made.still_to_lose_g(made.today)),
        next_14_days_g=band(leaving_g(made, WRAP, made.today)),
        ready_from_day=_later(holds_from(made, WRAP), first),
        settled_from_day=_later(holds_from(made, SETTLED), first),
        chances=now, ready=ready, settled=settled, rising=rising,
        odd=odd, question=question, law_chance=made.law_chance, slow_chance=made.slow_chance, made=made,
    )  # fmt: skip


def _wrapped(log: WeightLog, prior: LossPrior, expected: ExpectedLoss | None, seed: int) -> DryingForecast:
    days, read, places = _thinned(log)
    held = wrapped(days, read, Scale(log.step_g), seed=seed)
    odd = tuple(places[place] for place in held.odd)
    if _scattered(odd, days):
        return DryingForecast(log, prior, expected, float(read[0] - read[-1]), Plan(0, ()), odd=odd, scattered=True)
    span = float(days[-1] - days[0])
    more = max(0, MIN_WEIGHINGS - len(log.weighings), math.ceil((MIN_DAYS - span) / MIN_DAYS))
    more = more if more or held.holds else 1
    plan = Plan(more, tuple(log.weighings[-1].day + 7.0 * (number + 1) for number in range(more)))
    return DryingForecast(
        log, prior, expected, float(read[0] - read[-1]), plan,
        plateau_g=held.weight_g, next_14_days_g=held.next_14_days_g, ready=held.holds,
        odd=odd, held=held,
    )  # fmt: skip


def _thinned(log: WeightLog) -> tuple[Array, Array, tuple[int, ...]]:
    """Days, weights and the place of each in the log; a very long log by the medians of groups of neighbours."""
    days, read = log.days, log.weights_g
    if len(days) <= MOST_READINGS:
        return days, read, tuple(range(len(days)))
    groups = np.array_split(np.arange(len(days)), MOST_READINGS)
    middles = [[float(np.median(values[group])) for group in groups] for values in (days, read)]
    # The first and last days stay, so that "today" and the day of the first weighing are those of the log.
    middles[0][0], middles[0][-1] = float(days[0]), float(days[-1])
    return np.array(middles[0]), np.array(middles[1]), tuple(int(group[0]) for group in groups)


def _broken_off(log: WeightLog, days: Array, read: Array, scale: Scale) -> tuple[list[LostPiece], LostPiece | None]:
    """What broke off by the maker's word and what looks like it; of the latter the question."""
    pieces: list[LostPiece] = []
    thin = len(days) < len(log.weighings)
    said = [] if thin else [place for place, one in enumerate(log.weighings) if one.broke and place > 0]
    for place in said:
        found = lost_piece(days, as_it_is_now(read, pieces), scale, known=place)
        pieces += [found] if found else []
    if log.whole or said:
        return pieces, None
    found = lost_piece(days, read, scale)
    return ([found], found) if found else ([], None)


def _lost_g(weights: Array, read: Array, sound: NDArray[np.bool_]) -> float:
    """What has left from the first sound weighing to the last one, in g of the pieces as they were at first."""
    places = np.flatnonzero(sound)
    first, last = (int(places[0]), int(places[-1])) if len(places) else (0, -1)
    return float(read[first] / weights[first]) * float(weights[first] - weights[last])


def _chances_before(days: Array, weights: Array, scale: Scale, prior: LossPrior, seed: int) -> Chances | None:
    place = earlier(days)
    if place is None or place + 1 < FIRST_WEIGHINGS:
        return None
    upto = slice(0, place + 1)
    return chances(forecast(days[upto], weights[upto], scale, prior, seed=seed))


def _scattered(odd: tuple[int, ...], days: Array) -> bool:
    return len(odd) >= max(LEAST_ODD, ODD_SHARE * len(days))


def _rises(weights: Array, scale: Scale) -> bool:
    """Whether the weight went up twice running, by more than the scale is unsure."""
    if len(weights) < 3:
        return False
    first, second, third = weights[-3:].tolist()
    unsure = max(RISE_STEPS * scale.step_g, 3.0 * math.sqrt(scale.variance_g2(third, 0.0)))
    return bool(first < second < third and third - first >= unsure - 1e-9)


def _later(days: Band, by: float) -> Band:
    return Band(days.low + by, days.likely + by, days.high + by)


def _by_log(plan: Plan, log: WeightLog) -> Plan:
    """The plan with its days as the log counts them."""
    first = log.weighings[0].day
    return Plan(plan.more, tuple(day + first for day in plan.days))


def _or_day_0(days: Array) -> Array:
    return np.zeros(1) if len(days) == 0 else days - days[0]
