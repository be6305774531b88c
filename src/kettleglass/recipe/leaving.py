"""What leaves between pot and finished base, by losses as stated or as reckoned from the cook."""

from __future__ import annotations

import numpy as np

from kettleglass.recipe.recipe import Losses
from kettleglass.science.basis import Array
from kettleglass.science.pot import ROW

ALCOHOLS = ("ethanol", "propan_2_ol", "methanol")


def leaving_g(losses: Losses, pot: Array) -> Array:
    """Grams that leave a pot (S,) or pots (S, N), same shape: the shares of its alcohols and of its water.

    A share that is left open counts as nothing.
    """
    out = np.zeros_like(pot)
    for name in ALCOHOLS:
        out[ROW[name]] = (losses.alcohol or 0.0) * pot[ROW[name]]
    out[ROW["water"]] = (losses.water or 0.0) * pot[ROW["water"]]
    return out


def finished_g(losses: Losses, pot: Array) -> Array:
    """Mass of the finished base in g, shape () or (N,)."""
    alcohols = sum(pot[ROW[name]] for name in ALCOHOLS)
    return np.asarray(pot.sum(axis=0) - (losses.alcohol or 0.0) * alcohols - (losses.water or 0.0) * pot[ROW["water"]])
