"""What every correlation needs: the range it holds in, a polynomial, and the way back from its result."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TypeVar

import numpy as np

from kettleglass.errors import BadInput, OutOfRange
from kettleglass.science.basis import Array

Number = TypeVar("Number", float, Array)
"""A float or an array; a function of one such argument gives the same kind back."""


def within(
    quantity: str, value: float | Array, low: float, high: float, *, unit: str = "", source: str = ""
) -> Array:  # fmt: skip
    """The value as an array, every element checked to lie from `low` to `high`; rounding noise is cut off.

    Raises `OutOfRange` naming the first element that does not (nan lies nowhere), `BadInput` for what is no number.
    """
    try:
        array = np.asarray(value, dtype=np.float64)
    except (TypeError, ValueError) as error:
        raise BadInput(f"{quantity} has to be a number, not {value!r}.") from error
    noise = 1e-12 * (high - low)
    outside = ~((array >= low - noise) & (array <= high + noise))
    if outside.any():
        raise OutOfRange(quantity, float(array[outside].flat[0]), low, high, unit=unit, source=source)
    return np.asarray(np.clip(array, low, high))


def as_given(result: Array, *given: float | Array) -> float | Array:
    """The result as a float when every argument was a plain number, else as an array."""
    return float(result) if all(np.ndim(argument) == 0 for argument in given) else np.asarray(result)


def same_kind(result: Array, given: Number) -> Number:
    """The result in the kind of the one argument that was given: a float for a float, an array for an array."""
    return as_given(result, given)  # type: ignore[return-value]


def polynomial(coefficients: Sequence[float] | Array, x: Array) -> Array:
    """Sum of coefficients[k] x^k by Horner's rule; a coefficient may itself be an array that goes with `x`."""
    total = np.zeros_like(x) + coefficients[-1]
    for coefficient in coefficients[-2::-1]:
        total = total * x + coefficient
    return np.asarray(total)


def solve_polynomial(coefficients: Sequence[float] | Array, value: Array, low: float, high: float) -> Array:
    """The x between `low` and `high` at which a polynomial, monotone there, takes the value.

    Newton's method from the chord between the ends. `value` has to lie between the values at the ends.
    """
    slopes = [k * coefficient for k, coefficient in enumerate(coefficients)][1:]
    at_low, at_high = (polynomial(coefficients, np.asarray(end)) for end in (low, high))
    x = low + (value - at_low) * ((high - low) / (at_high - at_low))
    for _ in range(60):
        step = (polynomial(coefficients, x) - value) / polynomial(slopes, x)
        closer = np.clip(x - step, low, high)
        if np.all(np.abs(closer - x) <= 1e-14 * (high - low)):
            break
        x = closer
    return np.asarray(np.clip(x, low, high))
