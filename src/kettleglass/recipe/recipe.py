"""A recipe: what the maker intends. Frozen, checked when made, free of any computation."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from kettleglass.errors import BadInput, UnknownName
from kettleglass.recipe.place import Place, finite, one_of

SCHEMA = 1
Stage = Literal["fats", "lye", "paste", "clear", "syrup", "finish"]
STAGES: tuple[Stage, ...] = ("fats", "lye", "paste", "clear", "syrup", "finish")
"""The order in which things go into the pot; what has met reacts once after each stage."""
Purpose = Literal["bar", "base for re-melting", "embed", "first clear base"]
PURPOSES: tuple[Purpose, ...] = ("bar", "base for re-melting", "embed", "first clear base")
Look = Literal["crystal clear", "tinted", "translucent", "opaque white"]
LOOKS: tuple[Look, ...] = ("crystal clear", "tinted", "translucent", "opaque white")
By = Literal["g", "% of fats", "% of whole", "% of soap", "mL", "solve"]
BYS: tuple[By, ...] = ("g", "% of fats", "% of whole", "% of soap", "mL", "solve")
"""How an amount is given; “solve” leaves it to the alkali plan (lye and lye water)."""
SizeBy = Literal["as written", "fats", "whole", "line", "mould", "kettle"]
SIZES: tuple[SizeBy, ...] = ("as written", "fats", "whole", "line", "mould", "kettle")
Metal = Literal["stainless steel", "enamel", "glass", "plastic", "aluminium", "other"]
METALS: tuple[Metal, ...] = ("stainless steel", "enamel", "glass", "plastic", "aluminium", "other")
Limits = Literal["published limits", "where limits and fatty acids agree"]
LIMITS: tuple[Limits, ...] = ("published limits", "where limits and fatty acids agree")


@dataclass(frozen=True, slots=True)
class Amount:
    """How much of a line: a value and how it is meant. The value of “solve” is 0 and unused."""

    value: float
    by: By = "g"

    def __post_init__(self) -> None:
        one_of("way to give an amount", self.by, BYS)
        finite("The amount", self.value, 0.0, 1e9 if self.by in ("g", "mL") else 1e4)


SOLVE = Amount(0.0, "solve")


@dataclass(frozen=True, slots=True)
class Line:
    """One ingredient: `key` is its own name within the recipe; a lot overrides the material's figures.

    `share` is the alkali line's part of the alkali (see `AlkaliPlan.share_by`), 0-1; None: the rest, evenly.
    """

    key: str
    material_id: str
    amount: Amount
    stage: Stage
    lot_id: str | None = None
    share: float | None = None
    note: str = ""

    def __post_init__(self) -> None:
        one_of("stage", self.stage, STAGES)
        if not self.key.strip():
            raise BadInput("A line has no key.", remedy="Give each line a short name of its own.")
        if self.share is not None:
            finite(f"The alkali share of {self.key}", self.share, 0.0, 1.0)


@dataclass(frozen=True, slots=True)
class LyeWater:
    """Lye water as one number: water per part of alkali (``ratio``), alkali share of the lye (``strength``),
    water per fats (``of fats``) or grams (``mass``); counts pure alkali and all the water of the lye."""

    value: float
    by: Literal["ratio", "strength", "of fats", "mass"] = "ratio"

    def __post_init__(self) -> None:
        one_of("way to give lye water", self.by, ("ratio", "strength", "of fats", "mass"))
        finite("Lye water", self.value, 0.0, {"ratio": 100.0, "strength": 1.0, "of fats": 10.0, "mass": 1e7}[self.by])
        if self.by == "strength" and not 0.0 < self.value < 1.0:
            raise BadInput(f"A lye of {100 * self.value:g} % is not possible.", remedy="Give a strength such as 42 %.")


@dataclass(frozen=True, slots=True)
class AlkaliPlan:
    """How the solved alkali is found: superfat in % of the fats' equivalents (negative: lye in excess)."""

    superfat_percent: float = 0.0
    share_by: Literal["mole", "mass"] = "mole"
    water: LyeWater = LyeWater(1.4)

    def __post_init__(self) -> None:
        finite("The superfat", self.superfat_percent, -20.0, 60.0, "%")
        one_of("way to share the alkali", self.share_by, ("mole", "mass"))


@dataclass(frozen=True, slots=True)
class Mould:
    """A mould by its inner measures in mm, or `cavities` of `volume_ml` each; `shape` says which."""

    shape: Literal["box", "cylinder", "cavities"]
    length_mm: float = 0.0
    width_mm: float = 0.0
    height_mm: float = 0.0
    diameter_mm: float = 0.0
    cavities: int = 1
    volume_ml: float = 0.0

    def __post_init__(self) -> None:
        one_of("mould shape", self.shape, ("box", "cylinder", "cavities"))
        for name in ("length_mm", "width_mm", "height_mm", "diameter_mm", "volume_ml"):
            finite(f"The mould's {name}", getattr(self, name), 0.0, 1e5)
        finite("The number of cavities", self.cavities, 1, 10_000)

    @property
    def total_ml(self) -> float:
        """What it holds, in mL."""
        if self.shape == "box":
            one = self.length_mm * self.width_mm * self.height_mm / 1000.0
        elif self.shape == "cylinder":
            one = math.pi * self.diameter_mm**2 / 4.0 * self.height_mm / 1000.0
        else:
            one = self.volume_ml
        return one * self.cavities


USUAL_DIAMETER_MM = 220.0
"""Taken for a kettle that nobody has measured."""


@dataclass(frozen=True, slots=True)
class Kettle:
    """The vessel (the *pot* is its contents): inner measures in mm; `head_room` is the share kept free for foam.

    Without a measured diameter, `diameter_mm` is that of a usual pot.
    """

    name: str = "kettle"
    metal: Metal = "stainless steel"
    inner_diameter_mm: float | None = None
    height_mm: float = 180.0
    head_room: float = 0.35
    mass_g: float | None = None

    def __post_init__(self) -> None:
        one_of("kettle material", self.metal, METALS)
        if self.inner_diameter_mm is not None:
            finite("The kettle's inner diameter", self.inner_diameter_mm, 10.0, 5000.0, "mm")
        if self.mass_g is not None:
            finite("The weight of the empty kettle", self.mass_g, 0.0, 2e6, "g")
        finite("The kettle's height", self.height_mm, 10.0, 5000.0, "mm")
        finite("The head room", 100.0 * self.head_room, 0.0, 90.0, "%")

    @property
    def volume_ml(self) -> float:
        """Brim-full volume in mL."""
        return math.pi * self.diameter_mm**2 / 4.0 * self.height_mm / 1000.0

    @property
    def diameter_mm(self) -> float:
        """The inner diameter in mm, as measured or else as assumed."""
        return USUAL_DIAMETER_MM if self.inner_diameter_mm is None else self.inner_diameter_mm


@dataclass(frozen=True, slots=True)
class BatchSize:
    """What the batch is scaled to: `value` in g (fats, whole, line); mould and kettle bring their own volume."""

    by: SizeBy = "as written"
    value_g: float = 0.0
    line_key: str = ""

    def __post_init__(self) -> None:
        one_of("batch size", self.by, SIZES)
        finite("The batch size", self.value_g, 0.0, 1e8)


@dataclass(frozen=True, slots=True)
class WeighingScale:
    """The maker's scales: step in g for fats and solvents, and for the lye (a finer one, if there is one)."""

    step_g: float = 1.0
    lye_step_g: float | None = None
    unit: Literal["g", "lb oz"] = "g"

    def __post_init__(self) -> None:
        finite("The scale's step", self.step_g, 1e-4, 1000.0, "g")
        finite("The lye scale's step", self.lye_g, 1e-4, 1000.0, "g")
        one_of("unit", self.unit, ("g", "lb oz"))

    @property
    def lye_g(self) -> float:
        """The step at which the alkali is weighed."""
        return self.step_g if self.lye_step_g is None else self.lye_step_g


@dataclass(frozen=True, slots=True)
class MethodStep:
    """One step of the method in the maker's words, with what they mean to hold to."""

    text: str
    stage: Stage
    temperature_c: float | None = None
    minutes: float | None = None
    covered: bool = True

    def __post_init__(self) -> None:
        one_of("stage", self.stage, STAGES)
        if self.temperature_c is not None:
            finite("The temperature of a step", self.temperature_c, -50.0, 400.0)
        if self.minutes is not None:
            finite("The time of a step in minutes", self.minutes, 0.0, 1e6)


@dataclass(frozen=True, slots=True)
class Losses:
    """What leaves between pot and finished base, as shares (0-1) of the alcohols and of the water.

    None leaves it to the steps of the cook, from which it is reckoned.
    """

    alcohol: float | None = None
    water: float | None = None

    def __post_init__(self) -> None:
        for name, share in (("alcohol", self.alcohol), ("water", self.water)):
            if share is not None:
                finite(f"The share of {name} lost", 100.0 * share, 0.0, 100.0, "%")

    def filled(self, alcohol: float, water: float) -> Losses:
        """The same, with these shares where none is stated."""
        return Losses(alcohol if self.alcohol is None else self.alcohol, water if self.water is None else self.water)


@dataclass(frozen=True, slots=True)
class Certainty:
    """How the doubt is asked: free alkali limit (% NaOH), wanted chance (0-1), limits, draws, seed."""

    free_alkali_limit_percent: float = 0.05
    target_chance: float = 0.05
    limits: Limits = "published limits"
    draws: int = 10_000
    seed: int = 1

    def __post_init__(self) -> None:
        finite("The free alkali limit", self.free_alkali_limit_percent, 0.0, 10.0, "%")
        finite("The wanted chance", 100.0 * self.target_chance, 0.01, 99.99, "%")
        one_of("kind of limits", self.limits, LIMITS)
        finite("The number of draws", self.draws, 100, 1_000_000)
        finite("The seed", self.seed, 0, 2**63 - 1)


@dataclass(frozen=True, slots=True)
class Recipe:
    """A whole recipe. Lines keep the maker's order; nothing in it depends on that order."""

    name: str
    lines: tuple[Line, ...] = ()
    purpose: Purpose = "base for re-melting"
    look: Look = "crystal clear"
    alkali: AlkaliPlan = AlkaliPlan()
    size: BatchSize = BatchSize()
    scale: WeighingScale = WeighingScale()
    kettle: Kettle = Kettle()
    mould: Mould | None = None
    place: Place = field(default_factory=Place)
    method: tuple[MethodStep, ...] = ()
    losses: Losses = Losses()
    certainty: Certainty = Certainty()
    water_hardness_mg_l: float = 0.0
    measured_free_alkali_percent: float | None = None
    invented: bool = False
    note: str = ""
    extras: Mapping[str, object] = field(default_factory=dict)
    """Fields of a recipe file that this version does not know; kept so that nothing is lost."""
    schema: int = SCHEMA

    def __post_init__(self) -> None:
        one_of("purpose", self.purpose, PURPOSES)
        one_of("look", self.look, LOOKS)
        finite("The water hardness", self.water_hardness_mg_l, 0.0, 5000.0, "mg/L")
        keys = [line.key for line in self.lines]
        double = sorted({key for key in keys if keys.count(key) > 1})
        if double:
            raise BadInput(f"Two lines are called “{double[0]}”.", remedy="Give each line a key of its own.")

    def line(self, key: str) -> Line:
        """The line of that key; raises `UnknownName`."""
        for line in self.lines:
            if line.key == key:
                return line
        raise UnknownName("line", key, [line.key for line in self.lines])

    @property
    def wants_clarity(self) -> bool:
        """Whether clarity is asked for at all (an opaque base is never nagged about it)."""
        return self.look != "opaque white"
