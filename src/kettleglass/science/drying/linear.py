"""The part of a drying law that is a straight regression: start weight and loss, for many shapes at once.

Given S at the weighings, W = W0 - A (1 - S) is linear in W0 and A. With normal errors and normal priors both have an
exact normal posterior, and how well a shape explains the weighings (its marginal likelihood) has a closed form
(e.g. O'Hagan & Forster, Bayesian Inference, 2004, ch. 11). No iteration, so nothing that could fail to converge.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from kettleglass.science.basis import Array

NU = 4.0
"""Degrees of freedom of Student's t, by which a reading that is far off counts less."""


@dataclass(frozen=True, slots=True, eq=False)
class Beliefs:
    """Normal priors of start weight and final loss in g, each as mean and standard deviation."""

    start_g: float
    start_sd_g: float
    loss_g: float
    loss_sd_g: float

    @property
    def mean(self) -> Array:
        """(2,): start weight, loss."""
        return np.array([self.start_g, self.loss_g])

    @property
    def precision(self) -> Array:
        """(2,): one over the variances."""
        return np.array([self.start_sd_g, self.loss_sd_g]) ** -2.0


@dataclass(frozen=True, slots=True, eq=False)
class Fits:
    """For shapes (K,): ln of the marginal likelihood but for a constant, and the normal posterior of (W0, A).

    `mean_g` is (K, 2); `var_start`, `var_loss` and `cov` (K,) are in g².
    """

    log_likelihood: Array
    mean_g: Array
    var_start: Array
    var_loss: Array
    cov: Array


def fit(left: Array, weights_g: Array, precision: Array, beliefs: Beliefs) -> Fits:
    """Posterior of start weight and loss for shapes with S = `left` (K, T).

    `weights_g` (T,) are the readings and `precision` (T,) one over their variance in 1/g². The constant left out of the
    likelihood is the same for all shapes with the same readings and precision.
    """
    gone = 1.0 - left
    prior = beliefs.precision
    off = weights_g - beliefs.start_g
    p00 = prior[0] + precision.sum()
    p01 = -(gone @ precision)
    p11 = prior[1] + (gone * gone) @ precision
    b0 = float(precision @ off)
    b1 = prior[1] * beliefs.loss_g - gone @ (precision * off)
    det = p00 * p11 - p01 * p01
    start = (p11 * b0 - p01 * b1) / det
    loss = (p00 * b1 - p01 * b0) / det
    rest = float(precision @ off**2) + prior[1] * beliefs.loss_g**2 - (start * b0 + loss * b1)
    likelihood = -0.5 * (np.log(det) - float(np.log(prior).sum()) + rest)
    return Fits(
        likelihood,
        np.column_stack([start + beliefs.start_g, loss]),
        p11 / det,
        np.full_like(det, p00) / det,
        -p01 / det,
    )


def with_step(left: Array, weights_g: Array, precision: Array, beliefs: Beliefs, after: Array) -> tuple[Array, Array]:
    """As `fit`, with a lasting fall of unknown size from the readings marked in `after` (T,) on.

    Gives ln of the posterior density at its peak but for a constant (K,), and W0, A and the fall in g (K, 3). The fall
    is flat beforehand.
    """
    gone, prior = 1.0 - left, beliefs.precision
    off, fallen = weights_g - beliefs.start_g, precision * after
    normal = np.empty((len(left), 3, 3))
    normal[:, 0, 0] = prior[0] + precision.sum()
    normal[:, 0, 1] = normal[:, 1, 0] = -(gone @ precision)
    normal[:, 0, 2] = normal[:, 2, 0] = -fallen.sum()
    normal[:, 1, 1] = prior[1] + (gone * gone) @ precision
    normal[:, 1, 2] = normal[:, 2, 1] = gone @ fallen
    normal[:, 2, 2] = fallen.sum() + 1e-9 * precision.max()
    right = np.empty((len(left), 3))
    right[:, 0], right[:, 2] = precision @ off, -(fallen @ off)
    right[:, 1] = prior[1] * beliefs.loss_g - gone @ (precision * off)
    found: Array = np.asarray(np.linalg.solve(normal, right[:, :, None]))[:, :, 0]
    found[:, 0] += beliefs.start_g
    res = weights_g - found[:, :1] + found[:, 1:2] * gone + found[:, 2:] * after
    pull = ((found[:, :2] - beliefs.mean) ** 2) @ prior
    return np.asarray(-0.5 * ((res**2) @ precision + pull)), found


def student_weights(residuals_g: Array, variance_g2: Array | float) -> Array:
    """How much each reading counts, at most 1: (nu+1)/(nu + r²/v) of Student's t (Lange, Little & Taylor 1989)."""
    return np.minimum(1.0, (NU + 1.0) / (NU + residuals_g**2 / variance_g2))


def misfit(residuals_g: Array, variance_g2: Array | float) -> float:
    """Twice the negative ln likelihood of residuals in g under Student's t, but for a constant."""
    return float(((NU + 1.0) * np.log1p(residuals_g**2 / (NU * variance_g2))).sum())
