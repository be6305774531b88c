"""How much of a recipe's finished base should leave as it dries: its alcohol, and the water that nothing holds back.

Water and alcohol leave; glycerol hardly evaporates. In air of a given humidity glycerol keeps some water: 0.16 g,
0.25 g and 0.37 g per g at 40, 50 and 60 % relative humidity and 25 °C (tables of glycerol and water, recalled; ASTM
D5032 covers the relation). Glycols and sorbitol are taken alike, soap keeps 0.05 to 0.15 g per g (both our estimate),
sugar none. No published weight curve of a clear bar is known to us, so the band is wide; that a bar takes about two
weeks, until the weight stops falling, is common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass

from kettleglass.recipe.leaving import ALCOHOLS
from kettleglass.recipe.work import Worked
from kettleglass.science.draws import NORMAL_95
from kettleglass.science.drying.forecast import LossPrior
from kettleglass.science.pot import ROW

POLYOLS = ("glycerol", "propylene_glycol", "dipropylene_glycol", "sorbitol")
POLYOL_HOLDS = (0.37, 0.25, 0.16)
SOAP_HOLDS = (0.15, 0.10, 0.05)
"""Grams of water that a gram keeps: for the low, likely and high loss."""
WATER_LEAVES = (0.3, 0.7, 1.0)
ALCOHOL_LEAVES = (0.7, 0.95, 1.0)
"""Shares of free water and of alcohol that are gone when the weight has settled: low, likely, high (our estimate)."""
LEAST_SD = 0.2
"""Standard deviation of the final loss, at least this share of it."""
LEAST_FRACTION = 0.01


@dataclass(frozen=True, slots=True)
class ExpectedLoss:
    """Shares (0-1) of the finished base that should leave: low, likely, high (95 %); and all that could, `volatile`."""

    low_fraction: float
    likely_fraction: float
    high_fraction: float
    volatile_fraction: float

    @property
    def prior(self) -> LossPrior:
        """What a forecast holds before anything is weighed."""
        likely = max(self.likely_fraction, LEAST_FRACTION)
        spread = (self.high_fraction - self.low_fraction) / (2.0 * NORMAL_95)
        return LossPrior(likely, max(LEAST_SD * likely, spread, 0.5 * LEAST_FRACTION))


def expected_loss(worked: Worked) -> ExpectedLoss | None:
    """The share of a bar of this recipe that should leave as it dries; None for an empty pot.

    From the finished base, losses of the cook already off. Sources and what is assumed: see the top of this file.
    """
    pot = worked.finished
    total = float(pot.sum())
    if total <= 0.0:
        return None
    alcohol = sum(float(pot[ROW[name]]) for name in ALCOHOLS) / total
    water = max(0.0, float(pot[ROW["water"]])) / total
    polyols = sum(float(pot[ROW[name]]) for name in POLYOLS) / total
    soap = float(pot[worked.sheet.basis.soap].sum()) / total
    low, likely, high = (
        alcohol_leaves * alcohol + water_leaves * max(0.0, water - by_polyol * polyols - by_soap * soap)
        for alcohol_leaves, water_leaves, by_polyol, by_soap in zip(
            ALCOHOL_LEAVES, WATER_LEAVES, POLYOL_HOLDS, SOAP_HOLDS, strict=True
        )
    )
    return ExpectedLoss(low, likely, high, alcohol + water)
