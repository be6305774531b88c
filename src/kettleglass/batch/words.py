"""The forecast of drying pieces in a few plain sentences."""

from __future__ import annotations

from kettleglass.batch.forecast import DryingForecast
from kettleglass.science.drying.readiness import MIN_DAYS, MIN_WEIGHINGS
from kettleglass.science.heat.warming import Band

SPAN_FRACTION = 0.03
"""A plateau surer than this share of the weight is said as one figure with its span, else as a span alone."""
SPAN_DAYS = 14.0


def message(said: DryingForecast) -> str:
    """What a maker wants to know: dried how far, ready or from when, what to do next; then what is asked."""
    if not said.log.weighings:
        return "Nothing is weighed yet. Weigh the piece today, and note the day."
    if said.scattered:
        parts = _scattered(said)
    elif said.log.wrapped:
        parts = _wrapped(said)
    elif said.made is None:
        parts = _too_few(said)
    elif said.ready:
        parts = _ready(said)
    else:
        parts = _drying(said)
    parts += [f"{one.text} {one.advice}" for one in said.findings if one.code in _ASKED]
    return " ".join(part for part in parts if part)


_ASKED = ("lost-piece", "takes-up-water", "lost-more-than-can-leave", "scale-too-coarse", "flat-but-light")
"""Remarks that belong into the message."""


def _too_few(said: DryingForecast) -> list[str]:
    count, span = len(said.log.weighings), said.today - said.log.weighings[0].day
    weighings = "1 weighing" if count == 1 else f"{count} weighings over {span:.0f} days"
    return [f"No forecast yet: {weighings}{_so_far(said)}.", _next(said)]


def _scattered(said: DryingForecast) -> list[str]:
    first = f"No forecast: {len(said.odd)} of {len(said.log.weighings)} readings fit no drying piece."
    ask = "Were the same pieces weighed each time, on the same scale, from zero?"
    return [first, ask, "Take out what is wrong, and weigh again."]


def _so_far(said: DryingForecast) -> str:
    if len(said.log.weighings) < 2:
        return ""
    if said.lost_g <= 0.0:
        return ", nothing lost so far" if said.lost_g == 0.0 else f", {-said.lost_g:.{_digits(said)}f} g gained so far"
    return f", {said.lost_g:.{_digits(said)}f} g ({percent(said.lost_fraction)}) lost so far"


def _drying(said: DryingForecast) -> list[str]:
    days, span = len(said.log.weighings), said.today - said.log.weighings[0].day
    first = f"Not ready yet{_so_far(said)}{_to_go(said)}."
    few = days < MIN_WEIGHINGS or span < MIN_DAYS
    sure = f"Nothing is called ready before {MIN_WEIGHINGS} weighings over {MIN_DAYS:.0f} days." if few else ""
    forecast = [] if said.rising else [_plateau(said), _from(said)]
    return [first, *forecast, sure, _next(said)]


def _ready(said: DryingForecast) -> list[str]:
    chance = f"chance {_chance(said.chances.wrap)}" if said.chances else ""
    first = f"Ready to wrap: less than 0.3 % of the weight should leave in the next 14 days ({chance}, twice running)."
    settled = "The weight has settled; check it again in 4 weeks." if said.settled else _ordinary(said)
    return [first, settled, _plateau(said)]


def _ordinary(said: DryingForecast) -> str:
    if said.left_g is None or said.now_g <= 0.0:
        return ""
    return (
        f"Unwrapped, about {percent(said.left_g.likely / said.now_g)} ({_span(said.left_g, said.now_g)}) would still go"
        " if it dries like an ordinary piece: for a net weight on a label weigh kept pieces again in 4 weeks."
    )


def _wrapped(said: DryingForecast) -> list[str]:
    held, loss = said.held, said.next_14_days_g
    if held is None or loss is None:
        return [f"Wrapped base is ready when its weight holds. {_too_few(said)[0]}", _next(said)]
    if held.holds:
        return [f"Ready: the wrapped weight holds, within 0.3 % in 14 days (chance {_chance(held.chance)})."]
    if not held.enough:
        return ["Wrapped base is ready when its weight holds; that takes 3 weighings over 7 days.", _next(said)]
    way = "loses" if loss.likely >= 0.0 else "gains"
    size = abs(loss.likely) / said.now_g
    trend = f"The wrapped weight {way} about {percent(size, 2)} in 14 days ({_span(loss, said.now_g, 2)})."
    if size < 0.003:
        return [trend, "That may do, but it is not sure enough yet.", _next(said)]
    return [trend, "The wrapper lets through too much: wrap tighter, then weigh anew.", _next(said)]


def _to_go(said: DryingForecast) -> str:
    if said.left_g is None or said.now_g <= 0.0 or said.rising:
        return ""
    return f"; about {percent(said.left_g.likely / said.now_g)} still to go ({_span(said.left_g, said.now_g)})"


def _plateau(said: DryingForecast) -> str:
    plateau = said.plateau_g
    if plateau is None:
        return ""
    digits = _digits(said)
    low, likely, high = (f"{value:.{digits}f}" for value in plateau)
    if plateau.high - plateau.low > SPAN_FRACTION * said.now_g:
        return f"It settles somewhere between {low} and {high} g."
    return f"It settles at about {likely} g ({low} to {high})."


def _from(said: DryingForecast) -> str:
    when = said.ready_from_day
    if when is None:
        return ""
    if when.high <= said.today:
        return "By the forecast it is dry enough by now, but that has to show at two weighings running."
    if when.high - when.low < SPAN_DAYS:
        return f"Ready to wrap at about {said.log.when(when.likely)}."
    low = "now" if when.low <= said.today else said.log.when(when.low)
    return f"Ready to wrap between {low} and {said.log.when(when.high)}."


def _next(said: DryingForecast) -> str:
    if not said.plan.days:
        return ""
    more = "" if said.plan.more <= len(said.plan.days) else f" (about {said.plan.more} more weighings)"
    return f"Weigh again on {said.log.whens(said.plan.days)}{more}."


def _span(grams: Band, of_g: float, digits: int = 1) -> str:
    return f"{100.0 * grams.low / of_g:.{digits}f} to {100.0 * grams.high / of_g:.{digits}f} %"


def percent(fraction: float, digits: int = 1) -> str:
    """A share in per cent, as printed."""
    return f"{100.0 * fraction:.{digits}f} %"


def _chance(chance: float) -> str:
    return "above 99 %" if chance > 0.99 else percent(chance, 0)


def _digits(said: DryingForecast) -> int:
    return 0 if said.log.step_g >= 1.0 and said.log.pieces == 1 else 1
