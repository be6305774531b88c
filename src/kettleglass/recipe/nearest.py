"""Which published bases lie nearest: a distance in plain sight, never a score.

The distance between two compositions is the root mean square of their differences in the twelve clarity
descriptors, each difference divided by that descriptor's spread (standard deviation) over the bases compared with.
A distance of 1 thus means: on average as far apart as two published bases usually are. It says nothing of whether
a soap will be clear; all twelve count alike, although the evidence for them is not alike.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from kettleglass.errors import BadInput
from kettleglass.recipe.published import PublishedBase
from kettleglass.science.descriptors import CLARITY

Values = Mapping[str, float | None]
KEYS = tuple(descriptor.key for descriptor in CLARITY)


@dataclass(frozen=True, eq=False)
class Neighbour:
    """A published base and how far off it lies. `compared` are the descriptors known of both (of those that vary);
    `apart` gives each one's difference in spreads, signed: positive where the own composition has more."""

    base: PublishedBase
    distance: float
    apart: Mapping[str, float]

    @property
    def compared(self) -> tuple[str, ...]:
        """The descriptors that entered the distance."""
        return tuple(self.apart)


def nearest(values: Values, bases: Iterable[PublishedBase], k: int = 3) -> tuple[Neighbour, ...]:
    """The `k` nearest published bases, nearest first; ties keep the order of the table.

    `values` are clarity descriptors by key (`kettleglass.science.descriptors.clarity_of_one`); what is None, or
    missing, is not compared, and a base that shares no descriptor is not listed. Raises `BadInput` for k below 1.
    """
    if k < 1:
        raise BadInput(f"{k} neighbours were asked for.", remedy="Ask for at least one.")
    among = tuple(bases)
    spreads = spread_by_descriptor(among)
    found = [near for base in among if (near := _neighbour(values, base, spreads)) is not None]
    return tuple(sorted(found, key=lambda near: near.distance)[:k])


def spread_by_descriptor(bases: Sequence[PublishedBase]) -> dict[str, float]:
    """Standard deviation of each descriptor over the bases that know it; those that do not vary are left out."""
    out: dict[str, float] = {}
    for key in KEYS:
        known = [value for base in bases if (value := base.descriptors[key]) is not None]
        if len(known) < 2:
            continue
        mean = math.fsum(known) / len(known)
        spread = math.sqrt(math.fsum((value - mean) ** 2 for value in known) / len(known))
        if spread > 1e-9 * max(1.0, abs(mean)):
            out[key] = spread
    return out


def _neighbour(values: Values, base: PublishedBase, spreads: Mapping[str, float]) -> Neighbour | None:
    apart: dict[str, float] = {}
    for key, spread in spreads.items():
        own, theirs = values.get(key), base.descriptors[key]
        if own is not None and theirs is not None and math.isfinite(own):
            apart[key] = (own - theirs) / spread
    if not apart:
        return None
    return Neighbour(base, math.sqrt(math.fsum(d * d for d in apart.values()) / len(apart)), apart)
