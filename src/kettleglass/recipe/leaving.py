"""What leaves between pot and finished base, by the losses that a recipe states."""

from __future__ import annotations

import numpy as np

from kettleglass.recipe.recipe import Losses
from kettleglass.science.basis import Array
from kettleglass.science.pot import ROW

ALCOHOLS = ("ethanol", "propan_2_ol", "methanol")


def leaving_g(losses: Losses, pot: Array) -> Array:
    """Grams that leave a pot (S,) or pots (S, N), same shape: the stated shares of its alcohols and of its water."""
    out = np.zeros_like(pot)
    for name in ALCOHOLS:
        out[ROW[name]] = losses.alcohol * pot[ROW[name]]
    out[ROW["water"]] = losses.water * pot[ROW["water"]]
    return out


def finished_g(losses: Losses, pot: Array) -> Array:
    """Mass of the finished base in g, shape () or (N,)."""
    alcohols = sum(pot[ROW[name]] for name in ALCOHOLS)
    return np.asarray(pot.sum(axis=0) - losses.alcohol * alcohols - losses.water * pot[ROW["water"]])
