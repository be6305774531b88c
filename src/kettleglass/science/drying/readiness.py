"""When a piece is ready: two rules, the chance of each, the day from which it holds, and when to weigh next.

Rule B (the default): less than 0.3 % of the weight leaves in the next 14 days. Rule A: less than 0.5 % of the weight
is still to leave at all. Both have to hold with a chance of 0.9 at two weighings running. Rule B promises less and is
wrong less often, since no weighing can see a loss that takes months (docs/evidence/drying.md).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np

from kettleglass.science.basis import Array
from kettleglass.science.drying.forecast import Forecast, band
from kettleglass.science.heat.warming import Band

RuleName = Literal["A", "B"]


@dataclass(frozen=True, slots=True)
class Rule:
    """Less than `limit_fraction` of the weight leaves in so many days (infinite: ever)."""

    name: RuleName
    limit_fraction: float
    within_days: float


SETTLED = Rule("A", 0.005, math.inf)
WRAP = Rule("B", 0.003, 14.0)
SURE = 0.90
MIN_WEIGHINGS = 6
MIN_DAYS = 10.0
APART_DAYS = 2.0
"""The rule needs 6 weighings over 10 days, the two that judge 2 days apart."""
FIRST_WEIGHINGS = 4
FIRST_DAYS = 7.0
"""No forecast is shown before 4 weighings over 7 days."""
_FAR_DAYS = 4000.0
_SCAN: Array = np.concatenate([[0.0], np.geomspace(1.0, _FAR_DAYS, 30)])
_EVERY = 4
"""Days are found for every so many draws: each costs as much as a whole curve."""


@dataclass(frozen=True, slots=True)
class Chances:
    """The chance of both rules on the day of a weighing."""

    settled: float
    wrap: float


@dataclass(frozen=True, slots=True)
class Plan:
    """How many more weighings it takes at least, and the days (from the first weighing) on which to weigh next."""

    more: int
    days: tuple[float, ...]


def leaving_g(made: Forecast, rule: Rule, day: float) -> Array:
    """What each draw loses after a day within the time of a rule, in g: (M,)."""
    if math.isinf(rule.within_days):
        return made.still_to_lose_g(day)
    return made.loses_g(day, rule.within_days)


def chances(made: Forecast) -> Chances:
    """The chance (0-1) that each rule holds on the day of the last weighing."""
    now_g = made.weight_draws_g(made.today)[:, 0]
    settled, wrap = (
        float((leaving_g(made, rule, made.today) < rule.limit_fraction * now_g).mean()) for rule in (SETTLED, WRAP)
    )
    return Chances(settled, wrap)


def holds_from_days(made: Forecast, rule: Rule) -> Array:
    """The day (from the first weighing) from which on a rule holds, for every fourth draw; at most 4000."""
    made = made.every(_EVERY)
    limit = rule.limit_fraction * made.plateau_draws_g
    leaving = _leaving(made, rule, np.broadcast_to(_SCAN, (len(limit), len(_SCAN))))
    over = leaving >= limit[:, None]
    # The last scanned day on which too much still leaves: a law that starts slowly may cross the limit twice.
    last = np.where(over.any(axis=1), len(_SCAN) - 1 - np.argmax(over[:, ::-1], axis=1), -1)
    low, high = _SCAN[np.maximum(last, 0)], _SCAN[np.minimum(last + 1, len(_SCAN) - 1)]
    for _ in range(14):
        middle = 0.5 * (low + high)
        above = _leaving(made, rule, middle[:, None])[:, 0] >= limit
        low, high = np.where(above, middle, low), np.where(above, high, middle)
    return np.where(last < 0, 0.0, high)


def holds_from(made: Forecast, rule: Rule) -> Band:
    """The day from which on a rule holds: median and central 90 %."""
    return band(holds_from_days(made, rule))


def judged(count: int, span_days: float, now: Chances, before: Chances | None) -> tuple[bool, bool]:
    """Whether rules A and B stand: after enough weighings, and sure enough at this and at an earlier one.

    `count` weighings over `span_days`; `before` are the chances at the last weighing at least 2 days earlier.
    """
    if count < MIN_WEIGHINGS or span_days < MIN_DAYS or before is None:
        return False, False
    return min(now.settled, before.settled) >= SURE, min(now.wrap, before.wrap) >= SURE


def earlier(days: Array) -> int | None:
    """The place of the last weighing at least 2 days before the last one, or None."""
    places = np.flatnonzero(days <= days[-1] - APART_DAYS)
    return int(places[-1]) if len(places) else None


def first_plan(days: Array) -> Plan:
    """When to weigh until there can be a forecast: at least 4 weighings over at least 7 days."""
    today = float(days[-1])
    more = max(0, FIRST_WEIGHINGS - len(days), 1 if today < FIRST_DAYS else 0)
    gap = max(2.0, (FIRST_DAYS - today) / more) if more else 3.0
    return Plan(more, tuple(float(math.ceil(today + gap * (number + 1))) for number in range(more)))


def next_plan(made: Forecast, now: Chances) -> Plan:
    """When to weigh until rule B can stand: the next three days at most, spread over the time it may take."""
    today, count = made.today, len(made.days)
    sure_from = float(np.quantile(holds_from_days(made, WRAP), SURE))
    waits = max(0.0, min(sure_from, today + 60.0) - today, MIN_DAYS - today)
    more = max(1 if now.wrap >= SURE else 2, MIN_WEIGHINGS - count)
    gap = min(7.0, max(APART_DAYS, math.ceil(waits / more)))
    return Plan(max(more, math.ceil(waits / gap)), tuple(today + gap * (n + 1) for n in range(min(more, 3))))


def _leaving(made: Forecast, rule: Rule, days: Array) -> Array:
    """What each draw loses within the time of a rule after its own days (M, D), in g."""
    left = made.left(days)
    if not math.isinf(rule.within_days):
        left = left - made.left(days + rule.within_days)
    return np.asarray(made.loss_g[:, None] * left)
