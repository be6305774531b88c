"""The forecast of drying pieces as one plain document, full precision, with the units in the keys."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict
from typing import Any

from kettleglass.batch.forecast import DryingForecast
from kettleglass.batch.weights import WeightLog
from kettleglass.science.heat.warming import Band


def drying_dict(said: DryingForecast) -> dict[str, Any]:
    """Everything that is said; bands are `low`, `likely`, `high` (central 90 %), null where nothing is said yet.

    Weights are those of all pieces together; days are counted as in the log.
    """
    log, start = said.log, said.start_g
    return {
        "message": said.message,
        "ready": said.ready,
        "settled": said.settled,
        "plateau_g": _band(said.plateau_g),
        "plateau_per_piece_g": _band(said.plateau_g, log.pieces),
        "ready_from_day": _band(said.ready_from_day),
        "ready_from_date": _dates(log, said.ready_from_day),
        "settled_from_day": _band(said.settled_from_day),
        "settled_from_date": _dates(log, said.settled_from_day),
        "lost_so_far_g": said.lost_g,
        "lost_so_far_fraction": said.lost_fraction,
        "still_to_lose_g": _band(said.left_g),
        "still_to_lose_fraction": _band(said.left_g, said.now_g),
        "next_14_days_g": _band(said.next_14_days_g),
        "next_14_days_fraction": _band(said.next_14_days_g, said.now_g),
        "chance_ready": _chance_ready(said),
        "chance_settled": said.chances.settled if said.chances else None,
        "weighings": len(log.weighings),
        "step_g": log.step_g,
        "pieces": log.pieces,
        "wrapped": log.wrapped,
        "rising": said.rising,
        "scattered": said.scattered,
        "first_weight_g": start,
        "today_day": said.today,
        "more_weighings": said.plan.more,
        "weigh_next_days": list(said.plan.days),
        "weigh_next_dates": _iso(log, said.plan.days),
        "odd_readings": [
            {"day": log.weighings[place].day, "weight_g": log.weighings[place].weight_g} for place in said.odd
        ],
        "lost_piece": _question(said),
        "prior": {
            "loss_fraction": said.prior.fraction,
            "sd_fraction": said.prior.sd_fraction,
            "from": "recipe" if said.expected and said.prior == said.expected.prior else "assumed",
            "expected": asdict(said.expected) if said.expected else None,
        },
        "law_chances": dict(said.law_chance) if said.law_chance else None,
        "findings": [asdict(finding) for finding in said.findings],
    }


def _chance_ready(said: DryingForecast) -> float | None:
    if said.held is not None:
        return said.held.chance
    return said.chances.wrap if said.chances else None


def _question(said: DryingForecast) -> dict[str, float] | None:
    if said.question is None:
        return None
    first = said.log.weighings[0].day
    return {
        "after_day": first + said.question.after_day,
        "before_day": first + said.question.before_day,
        "lost_g": said.question.lost_g,
    }


def _band(found: Band | None, of: float = 1.0) -> dict[str, float] | None:
    if found is None or of <= 0.0:
        return None
    return {"low": found.low / of, "likely": found.likely / of, "high": found.high / of}


def _dates(log: WeightLog, days: Band | None) -> dict[str, str | None] | None:
    if days is None or log.first_date is None:
        return None
    return dict(zip(("low", "likely", "high"), _iso(log, days), strict=True))


def _iso(log: WeightLog, days: Sequence[float]) -> list[str | None]:
    found = [log.date_of(day) for day in days]
    return [one.isoformat() if one else None for one in found]
