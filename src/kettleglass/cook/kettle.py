"""What the kept weighings of a kettle say: each one by itself, and all of them together, against what was held before.

Everything is told against the usual: 1.0 is what is reckoned for a kettle that nobody has weighed.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from kettleglass.cook.around import Learnt
from kettleglass.cook.weighed import KettleWeighing
from kettleglass.errors import Finding, OutOfRange
from kettleglass.science.heat.draught import COVERED, COVERED_PRIOR, OPEN, OPEN_PRIOR, Draught, LossCurve
from kettleglass.science.heat.warming import Band

_READINGS = 2.0
"""So many standard deviations of the two readings are told as the band of one weighing."""


@dataclass(frozen=True, slots=True)
class Told:
    """What one weighing says by itself: how many times the usual loss, from the rounding of its scale (None: nothing).

    `finding` says why it says nothing, or what is strange about it.
    """

    times: Band | None
    finding: Finding | None = None


@dataclass(frozen=True, slots=True)
class Taught:
    """How many times the usual a kettle loses, covered or open: what was held before, what is held now."""

    covered: bool
    before: Band
    now: Band
    weighings: int


def told_by(weighing: KettleWeighing) -> Told:
    """What a weighing says by itself; nothing where it cannot be, or where the model does not hold."""
    try:
        weighed = weighing.weighed
    except OutOfRange as error:
        return Told(
            None, Finding("caution", "weighing-beyond", f"{error.what} Nothing is learnt from it.", error.remedy)
        )
    wrong = weighed.wrong()
    if wrong is not None:
        return Told(None, wrong)
    usual = (COVERED if weighing.covered else OPEN).factor
    spread = _READINGS * weighed.doubt_g
    ends = (_factor(weighed.curve, weighed.lost_g + stray) / usual for stray in (-spread, 0.0, spread))
    return Told(Band(*ends), weighed.odd())


def _factor(curve: LossCurve, lost_g: float) -> float:
    """The factor at which the reckoned loss is that much; 0 where nothing is lost, the largest where more is."""
    if lost_g <= 0.0:
        return 0.0
    logs = np.log(np.maximum(curve.losses_g, 1e-12))
    return float(np.exp(np.interp(np.log(lost_g), logs, np.log(curve.factors))))


def taught_by(learnt: Learnt) -> tuple[Taught, Taught]:
    """What the weighings of a kettle have taught: open, then covered."""
    return (
        _taught(learnt.open, OPEN_PRIOR, covered=False),
        _taught(learnt.covered, COVERED_PRIOR, covered=True),
    )


def _taught(now: Draught, before: Draught, *, covered: bool) -> Taught:
    usual = before.factor
    was, found = (Band(one.low / usual, one.factor / usual, one.high / usual) for one in (before, now))
    return Taught(covered, was, found, now.weighings)
