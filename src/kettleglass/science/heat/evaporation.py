"""What leaves a hot pot into the air, open or covered: alcohol and water, followed as the pot changes.

Through the still film of air over the liquid each vapour leaves with N = g p F / (R T), where p is its partial
pressure, T the mean of pot and room, and F = ln[1/(1 - Y)] / Y Stefan's correction for the share Y of all vapours in
the air at the surface. Over an open pot g is the mass transfer coefficient of Mackay & Matsugu (Can. J. Chem. Eng. 51
(1973) 434); under a lid it is D / l for the slit between lid and rim, with D the diffusion coefficient and l the path.

Other formulas for the open pot differ from this one by up to a factor of two either way. F grows without limit towards
the boiling point, where in truth the heater sets the loss: from `MOST_SHARE` on F stays as it is, and `boils` says so.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import KW_ONLY, dataclass
from itertools import pairwise
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from kettleglass.errors import BadInput
from kettleglass.science.basis import Array
from kettleglass.science.correlation import within
from kettleglass.science.heat.liquid import Liquid
from kettleglass.science.heat.vapour import (
    COMPONENTS,
    MOLAR_MASS_G_MOL,
    ActivityAt,
    saturation_pressure_pa,
)

MACKAY_MATSUGU = "Mackay & Matsugu, Can. J. Chem. Eng. 51 (1973) 434"
GAS_J_MOL_K = 8.314462618
SPEED_M_S = {"calm": 0.2, "usual": 0.3, "draughty": 0.5, "fan": 1.0}
"""Speed of the air over the pot by how a room feels, in m/s (our estimate; indoor air moves at 0.1 to 0.5 m/s)."""
_BY_NAME = {
    "water": (0.6, 2308.0), "ethanol": (1.3, 847.0), "propan_2_ol": (1.6, 669.0), "methanol": (1.0, 1069.0),
    "glycerol": (1.9, 909.0), "propylene_glycol": (1.8, 830.0),
}  # fmt: skip
SCHMIDT: Array = np.array([_BY_NAME[name][0] for name in COMPONENTS])
"""Kinematic viscosity of air over the diffusion coefficient of each vapour in it: at 0 °C 0.133 cm²/s over 0.220 water,
0.102 ethanol, 0.0818 propan-2-ol, 0.132 methanol (Perry's, 7th ed., Table 2-324; ethanol read, the others recalled);
glycerol and propylene glycol estimated. It hardly changes with temperature."""
LATENT_J_G: Array = np.array([_BY_NAME[name][1] for name in COMPONENTS])
"""Heat of vaporisation at 80 °C (reference equations and Perry's, evaluated with `chemicals` 1.5.2)."""
AIR_M2_S, AIR_C = 1.80e-5, 51.0
"""Kinematic viscosity of air near 51 °C and 101.3 kPa, between a room and a pot of 80 °C (handbook, recalled)."""
LEAK_PATH_M = 0.010
"""How far vapour diffuses through the slit between lid and rim (our estimate)."""
MOST_SHARE = 0.98
"""Y up to which Stefan's correction is followed; there F is 4.0."""
_TOLERANCE = 2e-4
"""Error of one time step, as a share of all that can leave."""
_STEP_SHARE = 0.15
"""Most that may leave in one time step, as a share of all that can leave."""
_NO_TIME_S = 1e-6
_WITHIN: Array = np.array([0.25, 0.5, 0.75])
"""Where within a time step the course is told besides."""
_DRY = -34.0
"""Least ln(left / start) that is followed: less is nothing."""


@dataclass(frozen=True, slots=True)
class Air:
    """The air over the pot: its speed (0.05 to 5 m/s), temperature (-10 to 60 °C) and pressure (50 to 110 kPa)."""

    speed_m_s: float = 0.3
    temperature_c: float = 20.0
    pressure_pa: float = 101_325.0

    def __post_init__(self) -> None:
        within("The speed of the air", self.speed_m_s, 0.05, 5.0, unit="m/s", source=MACKAY_MATSUGU)
        within("The temperature of the room", self.temperature_c, -10.0, 60.0, unit="°C")
        within("The air pressure", self.pressure_pa, 50_000.0, 110_000.0, unit="Pa")


@dataclass(frozen=True, slots=True)
class Opening:
    """The mouth of a pot, 0.03 to 3 m across, and its lid.

    A lid leaves a slit of `gap_mm` (0 to 20) all round and may leave a share of the mouth uncovered (0 to 1); each time
    it is lifted, the vapour in the head space (0 to 2 m high) is lost.
    """

    diameter_m: float
    _: KW_ONLY
    covered: bool
    gap_mm: float = 1.0
    openings_per_h: float = 0.0
    headspace_m: float = 0.05
    uncovered_share: float = 0.0

    def __post_init__(self) -> None:
        within("The inner diameter of the pot", self.diameter_m, 0.03, 3.0, unit="m", source=MACKAY_MATSUGU)
        within("The slit under the lid", self.gap_mm, 0.0, 20.0, unit="mm")
        within("How often the lid is lifted in an hour", self.openings_per_h, 0.0, 3600.0)
        within("The height above the liquid", self.headspace_m, 0.0, 2.0, unit="m")
        within("The share that the lid leaves uncovered", self.uncovered_share, 0.0, 1.0)

    @property
    def area_m2(self) -> float:
        """The open surface."""
        return 0.25 * math.pi * self.diameter_m**2

    @property
    def slit_m2(self) -> float:
        """The slit all round the rim."""
        return math.pi * self.diameter_m * self.gap_mm / 1000.0


@dataclass(frozen=True, slots=True, eq=False)
class Evaporation:
    """What left and what stayed; C components by N pots, without the last axis for one pot.

    `left_g` and `lost_g` (C, N) add up to what was there; `trail_g` (T, C, N) is what is left at `minutes` (T,), first
    and last included. `rate_g_per_s` (C, N) is that at the start, `latent_w` (N,) the mean heat that the vapour takes
    along: a heater that gives less lets the pot cool. `boils` (N,) tells which pots reach their boiling point; for them
    the loss is a guess.
    """

    left_g: Array
    lost_g: Array
    minutes: Array
    trail_g: Array
    rate_g_per_s: Array
    latent_w: Array
    boils: NDArray[np.bool_]

    @property
    def remark(self) -> str:
        """What to know before trusting the figures; empty when there is nothing."""
        if not self.boils.any():
            return ""
        return "The pot boils at this temperature: how much leaves is set by the heater, and these figures are a guess."


def film_m_s(opening: Opening, air: Air) -> Array:
    """Mass transfer coefficients (C,) over the open pot in m/s: 0.0292 U^0.78 d^-0.11 Sc^-0.67 in m/h, U in m/h.

    Example: 0.00185 m/s for ethanol over a pot of 0.24 m in air of 0.3 m/s (computed by hand from the formula).
    """
    m_h = 0.0292 * (3600.0 * air.speed_m_s) ** 0.78 * opening.diameter_m**-0.11 * SCHMIDT**-0.67
    return np.asarray(m_h / 3600.0)


def diffusion_m2_s(temperature_c: float | Array, pressure_pa: float = 101_325.0) -> Array:
    """Diffusion coefficient of each vapour in air, (C, 1) or (C, N) in m²/s; it goes with T^1.75 / p (Fuller 1966).

    Example (Perry's, 7th ed., Table 2-324): 1.02e-5 for ethanol at 0 °C.
    """
    kelvin = np.asarray(temperature_c, dtype=np.float64) + 273.15
    viscosity = AIR_M2_S * (kelvin / (AIR_C + 273.15)) ** 1.75 * (101_325.0 / pressure_pa)
    return np.asarray(viscosity / SCHMIDT[:, None])


def stefan_factor(share: Array) -> Array:
    """F = ln[1/(1 - Y)] / Y, from 1 for little vapour; the same from `MOST_SHARE` on."""
    y = np.minimum(np.maximum(share, 1e-9), MOST_SHARE)
    return np.asarray(-np.log1p(-y) / y)


def puff_g(partial_pressures_pa: Array, temperature_c: float, opening: Opening) -> Array:
    """Grams of each component (C,) in the head space, lost each time the lid is lifted: p V M / (R T)."""
    volume = opening.area_m2 * opening.headspace_m
    return np.asarray(partial_pressures_pa * MOLAR_MASS_G_MOL * (volume / (GAS_J_MOL_K * (temperature_c + 273.15))))


def rate_g_per_s(
    liquid: Liquid, temperature_c: float | Array, opening: Opening, air: Air, factor: float | Array = 1.0
) -> Array:
    """How fast each component leaves, (C,) or (C, N) in g/s, at a temperature of 5 to 110 °C.

    `factor` multiplies all that leaves: the maker's own, or 0.5 and 2 for the doubt. Raises `OutOfRange`, `BadInput`.
    """
    moles, inert, shape = _columns(liquid.moles, liquid.inert_mol, (temperature_c, factor))
    way = _way(temperature_c, opening, air, factor)
    per_share, _ = way.leaving(moles, inert)
    return np.asarray(per_share * moles * MOLAR_MASS_G_MOL[:, None]).reshape(shape)


def evaporate(  # noqa: PLR0917 - the pot, its time and warmth, its mouth, its air: in that order everywhere
    grams: Array, beside: Liquid | float | Array, minutes: float, temperature_c: float | Array,
    opening: Opening | Sequence[Opening], air: Air | None = None, *, factor: float | Array = 1.0,
) -> Evaporation:  # fmt: skip
    """What leaves a pot that is held at a temperature of 5 to 110 °C for some minutes (0 to a million).

    `grams` are (C,) or (C, N) of the components, `beside` what else is there: the liquid they make, whose dissolved
    particles and bound water stay as they are, or just moles of particles, () or (N,). Temperature and `factor` may be
    (N,) too, and `opening` N of them. Bogacki-Shampine steps in ln(left), common to all pots; what cannot leave
    (glycerol) stays to the last bit. Raises `OutOfRange`, and `BadInput` for what is negative or no number.

    Example (computed by hand in 30 s steps): a 4 kg pot of 26 % soap and 15 % each of ethanol, glycerol and sucrose,
    80 °C, 0.24 m, 0.3 m/s: 7.6 g/min of ethanol and 3.9 of water at first, 205 g of ethanol after 30 min.
    """
    seconds = 60.0 * float(within("The time", minutes, 0.0, 1e6, unit="min"))
    seconds = seconds if seconds > _NO_TIME_S else 0.0
    masses = _masses(grams)
    moles = masses / (MOLAR_MASS_G_MOL if masses.ndim == 1 else MOLAR_MASS_G_MOL[:, None])
    inert_mol = beside.inert_mol if isinstance(beside, Liquid) else beside
    several = 0.0 if isinstance(opening, Opening) else np.zeros(len(opening))
    start, inert, shape = _columns(moles, inert_mol, (temperature_c, factor, several))
    bound = np.maximum(moles[0] - beside.moles[0], 0.0) if isinstance(beside, Liquid) else None
    bound = bound if bound is not None and bound.any() else None
    way = _way(temperature_c, opening, air or Air(), factor)
    drying = _Drying(way, start, inert, bound)
    per_share, at_start = way.leaving(start, inert, bound)
    steps = list(drying.steps(seconds, -per_share, at_start))
    times, v = _filled(steps)
    whole = np.broadcast_to(masses if masses.ndim == 2 else masses[:, None], start.shape)
    trail = whole * np.exp(v)
    lost = whole - trail[-1]
    rate = per_share * whole
    gone = lost / seconds if seconds > 0.0 else rate
    boils = np.any([one.share >= 1.0 for one in steps], axis=0)
    single = shape[1:]
    return Evaporation(
        trail[-1].reshape(shape), lost.reshape(shape), times / 60.0, trail.reshape(len(times), *shape),
        rate.reshape(shape), (LATENT_J_G @ gone).reshape(single), boils.reshape(single),
    )  # fmt: skip


class _Moment(NamedTuple):
    """v = ln(left / start) and its slope (C, N), and the share of vapour (N,), at a time in s."""

    time_s: float
    v: Array
    slope: Array
    share: Array


def _filled(steps: Sequence[_Moment]) -> tuple[Array, Array]:
    """Times (T,) and v (T, C, N) with points within each step, on the cubic through its ends and their slopes."""
    times: list[float] = [0.0]
    out: list[Array] = [steps[0].v[None]]
    s, ends = _WITHIN[:, None, None], np.append(_WITHIN, 1.0)
    for begin, end in pairwise(steps):
        length = end.time_s - begin.time_s
        bend = (length * s * (1.0 - s)) * ((1.0 - s) * begin.slope - s * end.slope)
        inside = begin.v + s * s * (3.0 - 2.0 * s) * (end.v - begin.v) + bend
        out += [np.minimum.accumulate(np.minimum(np.maximum(inside, end.v), begin.v)), end.v[None]]
        times += (begin.time_s + length * ends).tolist()
    return np.array(times), np.concatenate(out)


def _masses(grams: Array) -> Array:
    """Grams (C,) or (C, N), checked."""
    masses = _amounts("The grams in the pot", grams)
    if masses.ndim not in {1, 2} or len(masses) != len(COMPONENTS):
        raise BadInput(f"A pot has {len(COMPONENTS)} components, but {masses.shape} were given.")
    return masses


def _amounts(name: str, values: float | Array) -> Array:
    """The amounts, none below zero; what subtraction left just below it is cut off."""
    array = np.asarray(values, dtype=np.float64)
    if not np.all(np.isfinite(array) & (array >= -1e-6)):
        raise BadInput(f"{name} have to be numbers of zero or more.")
    return np.maximum(array, 0.0)


def _columns(
    moles: Array, inert_mol: float | Array, others: tuple[float | Array, ...]
) -> tuple[Array, Array, tuple[int, ...]]:
    """Moles as (C, N) and the inert as (N,) for as many pots as the longest argument, and the shape of the answer."""
    inert = _amounts("The moles that stay", inert_mol)
    single = np.broadcast_shapes(moles.shape[1:], inert.shape, *(np.shape(other) for other in others))
    count = single[0] if single else 1
    wide = moles if moles.ndim == 2 else moles[:, None]
    return np.broadcast_to(wide, (len(moles), count)), np.broadcast_to(inert, (count,)), (len(moles), *single)


def _way(temperature_c: float | Array, openings: Opening | Sequence[Opening], air: Air, factor: float | Array) -> _Way:
    """The ways out of one mouth, or of several in a column each."""
    factors = np.asarray(factor, dtype=np.float64)
    if not np.all(np.isfinite(factors) & (factors > 0.0)):
        raise BadInput("The factor of the draught has to be above zero.")
    saturation = saturation_pressure_pa(temperature_c).reshape(len(COMPONENTS), -1)
    pot_k = np.asarray(temperature_c, dtype=np.float64) + 273.15
    if isinstance(openings, Opening):
        mouths = _mouth(openings, air, pot_k, factors)
    else:
        mouths = _beside(openings, {opening: _mouth(opening, air, pot_k, factors) for opening in set(openings)})
    return _Way(saturation, ActivityAt.temperature(temperature_c), air.pressure_pa, *mouths)


_Mouth = tuple[Array, Array | None, float | Array]
"""Film, leak (none without a lid) and puff of a `_Way`."""


def _mouth(opening: Opening, air: Air, pot_k: Array, factors: Array) -> _Mouth:
    film_k = 0.5 * (pot_k + air.temperature_c + 273.15)
    film = film_m_s(opening, air)[:, None] * (opening.area_m2 / (GAS_J_MOL_K * film_k))
    if not opening.covered:
        return factors * film, None, 0.0
    leak = diffusion_m2_s(film_k - 273.15, air.pressure_pa) * (opening.slit_m2 / LEAK_PATH_M / (GAS_J_MOL_K * film_k))
    leak = leak + film * opening.uncovered_share**0.945  # d^2 d^-0.11: an opening of a share of the area
    puff = opening.openings_per_h / 3600.0 * opening.area_m2 * opening.headspace_m / (GAS_J_MOL_K * pot_k)
    return np.minimum(factors, 1.0) * film, factors * leak, factors * puff


def _beside(openings: Sequence[Opening], each: Mapping[Opening, _Mouth]) -> _Mouth:
    """Several mouths as columns; what has no lid lets out all that its film does."""
    shape = (len(COMPONENTS), len(openings))
    films, leaks, puffs = np.empty(shape), np.full(shape, np.inf), np.zeros(shape)
    for opening, (film, leak, puff) in each.items():
        here = np.array([one == opening for one in openings])
        films[:, here] = np.broadcast_to(film, shape)[:, here]
        if leak is not None:
            leaks[:, here] = np.broadcast_to(leak, shape)[:, here]
            puffs[:, here] = np.broadcast_to(puff, shape)[:, here]
    return films, leaks, puffs


@dataclass(frozen=True, slots=True, eq=False)
class _Way:
    """The ways out of a pot, in mol/(s Pa): the film over it, the leak beside its lid (times F), puffs (without).

    The factor of the draught is in all three; under a lid it never widens the film, which is the most that can leave.
    """

    saturation_pa: Array
    activity: ActivityAt
    pressure_pa: float
    film: Array
    leak: Array | None = None
    puff: float | Array = 0.0

    def leaving(self, moles: Array, inert_mol: Array, bound_mol: Array | None = None) -> tuple[Array, Array]:
        """The share of each component that leaves in a second (C, N), and the share of vapour at the surface (N,).

        `bound_mol` of the water are no solvent, at most nine tenths of it. A lid never lets out more than the open pot
        would.
        """
        held = 0.0 if bound_mol is None else np.minimum(bound_mol, 0.9 * moles[0])
        total = np.maximum(moles.sum(axis=0) + (inert_mol - held), 1e-30)
        fractions = moles / total
        fractions[0] += 1e-30 - held / total
        per_fraction = self.activity.coefficients(fractions) * self.saturation_pa
        share = np.einsum("cn,cn->n", per_fraction, fractions) / self.pressure_pa
        flux = stefan_factor(share)
        way = self.film * flux
        if self.leak is not None:
            way = np.minimum(self.leak * flux + self.puff, way)
        leaving = way * per_fraction / total
        if bound_mol is not None:
            leaving[0] *= 1.0 - held / np.maximum(moles[0], 1e-30)
        return np.asarray(leaving), share


@dataclass(frozen=True, slots=True, eq=False)
class _Drying:
    """Pots drying together: v = ln(left / start) of each component, which no step can bring below nothing."""

    way: _Way
    start: Array
    inert_mol: Array
    bound_mol: Array | None

    def steps(self, seconds: float, slope: Array, share: Array) -> Iterator[_Moment]:
        """The start, of which slope (C, N) and share of vapour are given, and the end of each step."""
        now, v = 0.0, np.zeros_like(self.start)
        most = np.maximum((self.start * (slope < 0.0)).sum(axis=0), 1e-30)
        yield _Moment(now, v, slope, share)
        wanted = seconds
        while seconds - now > 1e-9 * seconds:
            here = (self.start * np.exp(v) * slope).sum(axis=0)
            step = min(wanted, seconds - now, _STEP_SHARE / max(float(np.max(-here / most)), 1e-30))
            after, end_slope, end_share, error = self._step(v, slope, step, most)
            if error <= 1.0 or step < 1e-7 * seconds:
                now, v, slope, share = now + step, after, end_slope, end_share
                yield _Moment(now, v, slope, share)
            wanted = step * min(5.0, 0.9 * max(error, 1e-6) ** (-1.0 / 3.0)) if error > 0.0 else 5.0 * step

    def _step(self, v: Array, slope: Array, step: float, most: Array) -> tuple[Array, Array, Array, float]:
        """One step of Bogacki & Shampine (Appl. Math. Lett. 2 (1989) 321), with its error in tolerances."""
        second, _ = self._slope(v + 0.5 * step * slope)
        third, _ = self._slope(v + 0.75 * step * second)
        after = np.maximum(v + step * (2.0 * slope + 3.0 * second + 4.0 * third) / 9.0, _DRY)
        last, share = self._slope(after)
        off = step * (-5.0 * slope + 6.0 * second + 8.0 * third - 9.0 * last) / 72.0
        error = np.abs(off) * self.start * np.exp(after) / most
        return after, last, share, float(np.max(error)) / _TOLERANCE

    def _slope(self, v: Array) -> tuple[Array, Array]:
        wet = np.maximum(v, _DRY)
        leaving, share = self.way.leaving(self.start * np.exp(wet), self.inert_mol, self.bound_mol)
        return np.where(wet > _DRY, -leaving, 0.0), share
