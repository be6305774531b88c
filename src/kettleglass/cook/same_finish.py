"""The charge that finishes the same in another kettle: alcohol and water put in so that as much stays as it should.

A wide shallow pot loses more of its alcohol than a deep one. So the same finished base takes another charge in every
kettle, and what is lost goes with the charge: the charge is solved for, not scaled.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace

import numpy as np

from kettleglass.cook.around import Around
from kettleglass.cook.course import LIKELY, Course, course_of
from kettleglass.errors import Finding, UnknownName
from kettleglass.recipe.alkali import pure_alkali_g
from kettleglass.recipe.leaving import ALCOHOLS
from kettleglass.recipe.recipe import STAGES, Amount, Line, Losses, Recipe
from kettleglass.recipe.sheet import Find, Sheet
from kettleglass.recipe.work import Worked
from kettleglass.science.basis import Array
from kettleglass.science.heat.lye import saturated_fraction
from kettleglass.science.pot import MOL_PER_G, ROW

SPIRIT = 0.3
"""From this share of alcohol (g/g) a line is one whose grams can be set for its alcohol; scent and beer are not."""
AGREES = 1e-4
"""How near the finished shares (0-1) must come to those wanted."""
_STILL, _ROUNDS, _REMEMBERED = 1e-7, 60, 3
_RATES = 3
_WATER = ROW["water"]
_ALCOHOL = [ROW[name] for name in ALCOHOLS]


@dataclass(frozen=True, slots=True)
class Finish:
    """Shares (0-1) of the finished base."""

    alcohol: float
    water: float


@dataclass(frozen=True, slots=True)
class Charged:
    """A line whose grams were solved for: as scaled, and as they should be; never below 0."""

    key: str
    name: str
    scaled_g: float
    grams: float

    @property
    def more_g(self) -> float:
        """Grams more (negative: less) than scaling alone would put in."""
        return self.grams - self.scaled_g


@dataclass(frozen=True, slots=True)
class SameFinish:
    """The alcohol lines and the water lines as they should be charged; of these, the ones that change, or the first.

    `scaled` is how the base would finish by scaling alone, `finish` how it finishes with this charge, `wanted` what
    was asked for. `findings` say where that cannot be reached.
    """

    spirits: tuple[Charged, ...]
    waters: tuple[Charged, ...]
    wanted: Finish
    scaled: Finish
    finish: Finish
    findings: tuple[Finding, ...] = ()

    @property
    def reached(self) -> bool:
        """Whether the base finishes as wanted, to a ten-thousandth of its mass."""
        gap = max(abs(self.finish.alcohol - self.wanted.alcohol), abs(self.finish.water - self.wanted.water))
        return gap <= AGREES


@dataclass(frozen=True, slots=True)
class Keeping:
    """How a recipe that states its losses differs from the model, by the cook at which they were stated.

    What is kept goes like a power of what the model keeps, so that a kettle that loses half as fast keeps the root.
    """

    losses: Losses = field(default_factory=Losses)
    alcohol: float = 1.0
    water: float = 1.0

    def kept(self, course: Course, rate: int = LIKELY) -> Array:
        """Share of every species (S,) that is left of a course, with the lids as the method says."""
        charged, finished = course.charged, course.finished[:, rate]
        model = np.where(charged > 0.0, finished / np.where(charged > 0.0, charged, 1.0), 1.0)
        rows = ((_ALCOHOL, self.alcohol, self.losses.alcohol), ([_WATER], self.water, self.losses.water))
        for which, base, stated in rows:
            if stated is not None:
                model[which] = [_powered(float(share), base, stated) for share in model[which]]
        return np.asarray(model)

    def finished(self, course: Course, rate: int = LIKELY) -> Array:
        """The finished base (S,) in g."""
        return np.asarray(course.charged * self.kept(course, rate))

    def lost_g(self, course: Course, rows: list[int]) -> tuple[float, float, float]:
        """Grams of some species that leave: low, likely, high."""
        return tuple(  # type: ignore[return-value]
            float((course.charged - self.finished(course, rate))[rows].sum()) for rate in range(_RATES)
        )


def keeping_of(losses: Losses, course: Course) -> Keeping:
    """The way of keeping of a recipe whose own losses were stated for this course."""
    return Keeping(losses, 1.0 - course.share_lost(*ALCOHOLS), 1.0 - course.share_lost("water"))


def _powered(model: float, base: float, stated: float) -> float:
    """What is kept here, where the model keeps `base` and the maker `1 - stated` at the cook that was stated."""
    if not 0.0 < base < 1.0 or stated >= 1.0 or model <= 0.0:
        return 1.0 - stated
    return float(model ** (math.log(1.0 - stated) / math.log(base)))


def finish_of(pot: Array) -> Finish:
    """The shares of a finished base (S,); 0 for an empty one."""
    total = float(pot.sum())
    if total <= 0.0:
        return Finish(0.0, 0.0)
    return Finish(float(pot[_ALCOHOL].sum()) / total, float(pot[_WATER]) / total)


def with_water_line(recipe: Recipe, find: Find) -> Recipe:
    """The recipe with a line of no water, where it has none that could be changed and distilled water is known."""
    line = Line("water for the loss", "water_distilled", Amount(0.0), "clear")
    try:
        if any(find(one).kind == "water" for one in recipe.lines):
            return recipe
        find(line)
    except UnknownName:
        return recipe
    return replace(recipe, lines=(*recipe.lines, line))


def same_finish(worked: Worked, wanted: Array, air: Around, keeping: Keeping) -> SameFinish:
    """The charge of a scaled recipe that finishes with the alcohol and water shares of another base.

    Every alcohol is matched by itself, so that spirit and propan-2-ol stay in proportion. Water is taken from the lines
    of plain water, the latest stage first; lye water only down to a saturated lye. A pot of which everything can leave
    has nothing to be matched to: it is charged as scaled.

    Args:
        worked: the recipe at its new size.
        wanted: the finished base (S,) to match, on the same basis; only its shares count.
        air: around the kettle.
        keeping: how its losses differ from the model.
    """
    charge = _Charge.of(worked)
    solver = _Solver(worked, charge, air, keeping, wanted)
    scaled = solver.finished(solver.start)[0]
    matched = _stays_g(wanted) > 0.0
    best = solver.solved() if matched else solver.start
    pot, masses = solver.finished(best)[0], charge.grams(*solver.parts(best))
    finish = SameFinish(
        spirits=tuple(charge.charged(row, masses) for row in sorted(row for _, rows in charge.groups for row in rows)),
        waters=charge.waters_charged(masses),
        wanted=finish_of(wanted),
        scaled=finish_of(scaled),
        finish=finish_of(pot),
    )
    return finish if finish.reached or not matched else replace(finish, findings=(_unreached(finish),))


def _unreached(finish: SameFinish) -> Finding:
    pairs = (("alcohol", finish.finish.alcohol, finish.wanted.alcohol), ("water", finish.finish.water,
             finish.wanted.water))  # fmt: skip
    said = ", ".join(
        f"{name} {100 * got:.1f} % against {100 * want:.1f} %" for name, got, want in pairs if abs(got - want) > AGREES
    )
    return Finding(
        "caution", "finish-not-reached",
        f"Alcohol and plain water alone cannot make this kettle finish alike: {said} of the base.",
        "There is no plain water left to take out: use a stronger spirit, a stronger lye or a thicker syrup.", "clear",
    )  # fmt: skip


@dataclass(frozen=True, slots=True, eq=False)
class _Charge:
    """What can be changed: `groups` are a species' row in the pot and the lines that bring it; `waters` the lines of
    plain water in the order in which they give, with the grams that must stay in each."""

    sheet: Sheet
    scaled_g: Array
    groups: tuple[tuple[int, tuple[int, ...]], ...]
    waters: tuple[tuple[int, float], ...]

    @classmethod
    def of(cls, worked: Worked) -> _Charge:
        sheet, masses = worked.sheet, worked.weights.weighed_g
        brought = np.array([sheet.species(name) for name in ALCOHOLS])
        groups = []
        for place, name in enumerate(ALCOHOLS):
            mine = (brought.sum(axis=0) >= SPIRIT) & (brought.argmax(axis=0) == place) & (masses > 0.0)
            if mine.any():
                groups.append((ROW[name], tuple(int(row) for row in np.flatnonzero(mine))))
        rows = sorted(sheet.of_kind("water"), key=lambda row: STAGES.index(sheet.lines[row].stage), reverse=True)
        waters = [(row, floor_g(sheet, masses, row)) for row in rows]
        return cls(sheet, masses, tuple(groups), tuple(waters))

    @property
    def least_water_g(self) -> float:
        """How much can be taken out, as a number below or at 0."""
        return -sum(float(self.scaled_g[row]) - floor for row, floor in self.waters)

    def grams(self, factors: Array, water_g: float) -> Array:
        """Grams of the lines (L,) with the alcohol lines times their factors, and so much more water."""
        out = self.scaled_g.copy()
        for (_, rows), factor in zip(self.groups, factors, strict=True):
            out[list(rows)] *= factor
        left = water_g
        for row, floor in self.waters:
            out[row], left = max(floor, out[row] + left), min(0.0, left + out[row] - floor)
        return out

    def charged(self, row: int, masses: Array) -> Charged:
        """A line before and after."""
        line, material = self.sheet.lines[row], self.sheet.materials[row]
        return Charged(line.key, material.name, float(self.scaled_g[row]), float(masses[row]))

    def waters_charged(self, masses: Array) -> tuple[Charged, ...]:
        """The lines of water that change, or the first of them."""
        all_of_them = [self.charged(row, masses) for row, _ in self.waters]
        return tuple(one for one in all_of_them if abs(one.more_g) > 1e-6) or tuple(all_of_them[:1])


def floor_g(sheet: Sheet, masses: Array, row: int) -> float:
    """What must stay of a line of water: none, but for the water without which the alkali does not dissolve."""
    if sheet.lines[row].stage != "lye":
        return 0.0
    rows = [r for r, line in enumerate(sheet.lines) if line.stage == "lye"]
    lye = sheet.compositions[:, rows] @ masses[rows]
    sodium, potassium = (float(lye[ROW[name]]) * MOL_PER_G[name] for name in ("sodium", "potassium"))
    if sodium + potassium <= 0.0:
        return 0.0
    needed = pure_alkali_g(sheet, masses) * (1.0 / saturated_fraction(potassium / (sodium + potassium)) - 1.0)
    own = float(lye[_WATER] - sheet.species("water")[row] * masses[row])
    return min(float(masses[row]), max(0.0, needed - own))


@dataclass(frozen=True, slots=True, eq=False)
class _Solver:
    """A cook whose charge is sought: a point is a factor for each group of alcohol lines, then water in shares of the
    pot."""

    worked: Worked
    charge: _Charge
    air: Around
    keeping: Keeping
    wanted: Array

    @property
    def start(self) -> Array:
        """The charge as scaled."""
        return np.append(np.ones(len(self.charge.groups)), 0.0)

    def parts(self, at: Array) -> tuple[Array, float]:
        """Factors and grams of water of a point."""
        return at[:-1], float(at[-1]) * self.worked.total_g

    def finished(self, at: Array) -> tuple[Array, Array]:
        """The finished base (S,) of a charge, in g, and the share that was kept of every species."""
        masses = self.charge.grams(*self.parts(at))
        course = course_of(self.worked.recipe, self.worked.sheet, masses, self.air)
        return self.keeping.finished(course), self.keeping.kept(course)

    def solved(self) -> Array:
        """The point that stays where it is when corrected; with the water at its least where less would be wanted."""
        floor = self.charge.least_water_g / self.worked.total_g
        if self.charge.waters:
            at, stuck = self._settled(self.start, floor, pinned=False)
            if not stuck:
                return at
        return self._settled(np.append(self.start[:-1], floor), floor, pinned=True)[0]

    def _settled(self, at: Array, floor: float, *, pinned: bool) -> tuple[Array, bool]:
        """Corrected until it stays (Anderson 1965: mixed with the corrections before it); True if it wants less water
        than there can be, twice in a row."""
        tried: list[tuple[Array, Array]] = []
        below = 0
        for _ in range(_ROUNDS):
            better = self._better(at, pinned=pinned)
            below = below + 1 if not pinned and float(better[-1]) < floor else 0
            if below > 1:
                return at, True
            better[-1] = floor if pinned else max(floor, float(better[-1]))
            if float(np.abs(better - at).max()) < _STILL:
                break
            tried = [] if below else [*tried[-_REMEMBERED:], (at, better)]
            mixed = _mixed(tried) if len(tried) > 1 else better
            at = better if mixed[-1] < floor or mixed[:-1].min(initial=1.0) <= 0.0 else mixed
        return at, False

    def _better(self, at: Array, *, pinned: bool) -> Array:
        """The next charge, as if the shares that are kept did not change with it. With the water pinned, the alcohol is
        matched to the water that stays."""
        factors, water_g = self.parts(at)
        pot, kept = self.finished(at)
        stays, wanted_stays = _stays_g(pot), _stays_g(self.wanted)
        wanted_water = float(self.wanted[_WATER]) * stays / wanted_stays
        rest = (stays + (float(pot[_WATER]) if pinned else wanted_water)) / (wanted_stays + float(self.wanted[_WATER]))
        sheet, scaled_g, brought = self.worked.sheet, self.charge.scaled_g, 0.0
        out = at.copy()
        for place, (row, lines) in enumerate(self.charge.groups):
            rows = list(lines)
            if kept[row] > 0.0:
                pure = float(sheet.compositions[row, rows] @ scaled_g[rows])
                more = (float(self.wanted[row]) * rest - float(pot[row])) / float(kept[row]) / pure
                out[place] = max(0.0, factors[place] + more)
                brought += float(out[place] - factors[place]) * float(sheet.species("water")[rows] @ scaled_g[rows])
        if self.charge.waters and kept[_WATER] > 0.0:
            more_g = (wanted_water - float(pot[_WATER])) / float(kept[_WATER]) - brought
            out[-1] = (water_g + more_g) / self.worked.total_g
        return out


def _stays_g(pot: Array) -> float:
    """What of a pot (S,) cannot leave."""
    return float(np.delete(pot, [*_ALCOHOL, _WATER]).sum())


def _mixed(tried: list[tuple[Array, Array]]) -> Array:
    """The point at which the corrections seen so far would cancel, linear between them."""
    points, better = (np.array(side) for side in zip(*tried, strict=True))
    moves = better - points
    weights = np.linalg.lstsq(np.diff(moves, axis=0).T, moves[-1], rcond=None)[0]
    return np.asarray(better[-1] - weights @ np.diff(better, axis=0))
