"""Reproducible random draws: one stream a name, so that order, company and chunking never change a figure."""

from __future__ import annotations

import math
from hashlib import blake2b

import numpy as np

from kettleglass.errors import BadInput
from kettleglass.science.basis import Array

NORMAL_95 = 1.959963984540054
"""Half-width of the central 95 % of a standard normal distribution."""


def stream(seed: int, name: str) -> np.random.Generator:
    """The random stream of a name under a seed (PCG64); the same in every process and on every machine."""
    digest = blake2b(name.encode(), digest_size=16).digest()
    words = [int.from_bytes(digest[i : i + 4], "little") for i in range(0, 16, 4)]
    return np.random.Generator(np.random.PCG64(np.random.SeedSequence([seed, *words])))


def draw_z(seed: int, name: str, shape: str, count: int, limits: tuple[float, float] = (-1.0, 1.0)) -> Array:
    """`count` draws of z between `limits` (-1 to 1 is the whole range).

    rectangular: even between the limits; triangular: likeliest in their middle; normal: the limits hold 95 %.
    """
    low, high = limits
    if not low <= high:
        raise BadInput("The limits of a doubt are the wrong way round.", remedy="Give the low limit first.")
    rng = stream(seed, name)
    middle, half = 0.5 * (low + high), 0.5 * (high - low)
    if shape == "rectangular":
        return rng.uniform(low, high, count)
    if shape == "triangular":
        return middle + half * (rng.uniform(-1.0, 0.0, count) + rng.uniform(0.0, 1.0, count))
    return np.asarray(middle + half / NORMAL_95 * rng.standard_normal(count))


def spread_of_z(shape: str, limits: tuple[float, float]) -> float:
    """Standard deviation of z for a shape between limits (GUM 4.3.7, 4.3.9; 95 % for the normal)."""
    half = 0.5 * (limits[1] - limits[0])
    divisors = {"rectangular": math.sqrt(3.0), "triangular": math.sqrt(6.0)}
    return half / divisors.get(shape, NORMAL_95)


def chance_error(chance: float, count: int) -> float:
    """Standard error of a chance estimated from `count` draws: sqrt(p (1 - p) / M)."""
    return float(np.sqrt(max(0.0, chance * (1.0 - chance)) / count))
