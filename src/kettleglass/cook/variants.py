"""The same base another way: when the alcohol goes in, and which spirit it is, at equal grams of pure alcohol.

What changes is the line of the spirit (and its stage); everything else stays in grams. Water that a weaker spirit
brings is shown, and taken off the lye water and other plain water only where that is asked for.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from kettleglass.cook.around import Learnt
from kettleglass.cook.boil import Boils
from kettleglass.cook.check import hot_findings
from kettleglass.cook.course import HIGH, LIKELY, LOW
from kettleglass.cook.hot import HotPot
from kettleglass.cook.preview import cooked_out
from kettleglass.cook.same_finish import SPIRIT
from kettleglass.cook.swapping import FINE, InGrams, at_stage, fit_spirit, in_grams, with_spirit, with_water_kept
from kettleglass.cook.timing import Exotherm, exotherm
from kettleglass.errors import Finding, most_serious_first
from kettleglass.recipe.leaving import ALCOHOLS
from kettleglass.recipe.method import Caution
from kettleglass.recipe.recipe import Line, Recipe, Stage
from kettleglass.recipe.sheet import Find
from kettleglass.recipe.windows import Judgement, Position, Window, applicable, judge_all
from kettleglass.recipe.work import Worked
from kettleglass.science.basis import Array, Basis
from kettleglass.science.descriptors import window_quantities
from kettleglass.science.heat.warming import Band

Route = Literal["paste first", "alcohol with the lye"]
SPIRITS = ("ethanol_95_vol", "ethanol_96_vol", "ethanol 70 % vol", "propan_2_ol_99_vol", "propan_2_ol_91_vol",
           "propan_2_ol_70_vol")  # fmt: skip
"""What is compared unless asked otherwise: ids of the catalogue, or strengths as people say them."""
STAGE_OF: dict[Route, Stage] = {"paste first": "clear", "alcohol with the lye": "lye"}
SUITS: dict[Route, str] = {
    "paste first": "Embeds and general use: the paste is tested for free fat and free alkali before any alcohol is in"
    " it, and the alcohol is hot for the shortest time.",
    "alcohol with the lye": "Finished bars poured at once: fast, since alcohol brings fat and lye together, but"
    " strongly exothermic, and the alcohol is hot from the first minute.",
}
"""For what each way is used: common practice, no source."""
_WHERE: dict[Position, Literal["into", "out of", "to the edge of"]] = {
    "inside": "into", "outside": "out of", "edge": "to the edge of",
}  # fmt: skip
_SOME_WATER_G = 0.5
_PRACTICE = "common practice, no source"
_EARLY = Caution(
    "alcohol-with-lye",
    "The heat of lye and fat together can boil the alcohol off at once and throw the pot over the rim. Lye cooled to"
    " the room, fats just melted, heater off, lye by small portions, lid at hand, nothing that sparks within a metre.",
    f"{_PRACTICE}; ethanol boils at 78.2 °C (CRC Handbook)",
)
_PROPANOL = Caution(
    "propan-2-ol-weaker",
    "Propan-2-ol clears less for its weight and leaves scant lather and a smell that stays; try a cup first.",
    _PRACTICE,
)
_NEVER = Caution(
    "never-methylated",
    "Never methylated or hardware-store spirit: it can be largely methanol, which blinds and passes through skin and"
    " lung. Denatured spirit only with a data sheet whose denaturant is fit for the skin, and where the law allows it.",
    "supplier safety data sheets, methanol (H301, H311, H331, H370)",
)


@dataclass(frozen=True, slots=True)
class SpiritLine:
    """A line of spirit in a variant: grams of it, and the pure alcohol and water in them."""

    key: str
    name: str
    grams: float
    alcohol_g: float
    water_g: float


@dataclass(frozen=True, slots=True)
class Moved:
    """A window whose judgement is another in the variant; None where it does not apply.

    `what` says it in a word: into, out of, to the edge, or that it applies no more, or only now.
    """

    window: Window
    before: Judgement | None
    after: Judgement | None
    what: Literal["into", "out of", "to the edge of", "no longer applies", "applies now"]


@dataclass(frozen=True, slots=True)
class AlcoholLoss:
    """Alcohol that leaves in the cook, in g: low, likely, high; by the lids of the method, always covered, open."""

    method_g: Band
    covered_g: Band
    open_g: Band


@dataclass(frozen=True, eq=False)
class Variant:
    """One way to make the base; the first of `variants` is the recipe as written.

    `recipe` holds all amounts in g. `extra_water_g` is what the spirits bring more than as written, `water_off_g` what
    was taken off for it. `margin_k` is how far the tightest step stays below its bubble point, `premix` and its
    `premix_margin_k` the same for what is poured in together; None where it cannot be said. `flash_c` is that of the
    whole pot. `moved` are the windows of clarity that judge otherwise.
    """

    name: str
    route: Route
    as_written: bool
    recipe: Recipe
    worked: Worked
    hot: HotPot
    spirits: tuple[SpiritLine, ...]
    extra_water_g: float
    water_off_g: float
    exotherm: Exotherm | None
    loss: AlcoholLoss
    judgements: tuple[Judgement, ...]
    moved: tuple[Moved, ...]
    suits: str
    cautions: tuple[Caution, ...]
    findings: tuple[Finding, ...]

    @property
    def boils(self) -> Boils | None:
        """Bubble point of the whole pot."""
        return self.hot.boiling.boils

    @property
    def margin_k(self) -> Band | None:
        """How far the tightest step stays below boiling: low, likely, high."""
        tight = self.hot.boiling.tightest
        return None if tight is None else _margin(tight.boils, tight.temperature_c)

    @property
    def premix(self) -> Boils | None:
        """Bubble point of what is poured in together."""
        return None if self.hot.boiling.premix is None else self.hot.boiling.premix.boils

    @property
    def premix_margin_k(self) -> Band | None:
        """How far the premix stays below boiling in the pot that it is poured into."""
        premix = self.hot.boiling.premix
        if premix is None or premix.boils is None:
            return None
        into = next((step for step in self.hot.boiling.steps if step.leg.step.stage == premix.stage), None)
        return None if into is None else _margin(premix.boils, into.temperature_c)

    @property
    def flash_c(self) -> float | None:
        """Flash point of the whole pot; None where there is none below 100 °C."""
        return self.hot.boiling.flash_c

    @property
    def premix_flash_c(self) -> float | None:
        """Flash point of what is poured in together."""
        return None if self.hot.boiling.premix is None else self.hot.boiling.premix.flash_c


def _margin(boils: Boils, temperature_c: float) -> Band:
    return Band(boils.low_c - temperature_c, boils.likely_c - temperature_c, boils.high_c - temperature_c)


def variants(
    recipe: Recipe,
    find: Find,
    *,
    spirits: Sequence[str] = SPIRITS,
    keep_water: bool = False,
    altitude_m: float = 0.0,
    learnt: Learnt | None = None,
) -> tuple[Variant, ...]:
    """The recipe as written, the other way to bring in its alcohol, and each other spirit; empty without alcohol.

    Args:
        recipe: as written.
        find: gives the material of a line; it must know the spirits, and the recipe's own materials.
        spirits: materials to try, at equal grams of pure alcohol in the way as written. One that the recipe already
            uses alone is left out.
        keep_water: take the water that a weaker spirit brings off the plain water: lye water, down to a lye that still
            dissolves, then later lines. A stronger spirit gets its missing water there.
        altitude_m: the workshop's, for a place that does not say its own.
        learnt: what weighed kettles have taught.

    Raises `UnknownName` for a spirit that `find` does not know, `BadInput` for one that is unfit for soap or that
    holds hardly any alcohol, and what `work_out` raises.
    """
    written, worked = in_grams(recipe, find)
    if not written.spirits:
        return ()
    cook = _Cook(find, altitude_m, learnt, written)
    route: Route = "paste first"
    if any(line.stage in ("fats", "lye") for line in written.spirits):
        route = "alcohol with the lye"
    other: Route = "alcohol with the lye" if route == "paste first" else "paste first"
    base = cook.variant("as written", route, written, None)
    out = [base, cook.variant(other, other, at_stage(written, STAGE_OF[other]), base)]
    for spirit in spirits:
        material = fit_spirit(find(replace(written.spirits[0], material_id=spirit, lot_id=None)))
        if {(line.material_id, line.lot_id) for line in written.spirits} != {(spirit, None)}:
            held = with_spirit(written, spirit, material)
            extra_g = held.brought_g("water") - written.brought_g("water")
            held = with_water_kept(held, worked, extra_g) if keep_water else held
            out.append(cook.variant(material.name, route, held, base))
    return tuple(out)


@dataclass(frozen=True, slots=True, eq=False)
class _Cook:
    """What all variants share: the materials, the surroundings, and the recipe as written, in grams."""

    find: Find
    altitude_m: float
    learnt: Learnt | None
    written: InGrams

    def variant(self, name: str, route: Route, held: InGrams, base: Variant | None) -> Variant:
        """A recipe cooked and judged beside the one as written (None: it is that one)."""
        worked, hot = cooked_out(
            replace(held.recipe, scale=FINE), self.find, altitude_m=self.altitude_m, learnt=self.learnt,
            random_pots=False,
        )  # fmt: skip
        heat = exotherm(worked, hot.course, hot.around)
        judgements = _judged(worked)
        extra_g = held.brought_g("water") - self.written.brought_g("water")
        findings = (*_serious(worked, hot), *_own_heat(heat), *_of_water(held, extra_g), *_of_methanol(held))
        return Variant(
            name=name,
            route=route,
            as_written=base is None,
            recipe=held.recipe,
            worked=worked,
            hot=hot,
            spirits=tuple(_spirit_line(held, line) for line in held.spirits),
            extra_water_g=extra_g,
            water_off_g=held.water_off_g,
            exotherm=heat,
            loss=_loss(hot),
            judgements=judgements,
            moved=() if base is None else tuple(moved(base.judgements, judgements)),
            suits=SUITS[route],
            cautions=_cautions(route, held),
            findings=most_serious_first(findings),
        )


def _spirit_line(held: InGrams, line: Line) -> SpiritLine:
    grams, material = held.grams[line.key], held.materials[line.key]
    return SpiritLine(
        line.key, material.name, grams, grams * material.share(*ALCOHOLS), grams * material.share("water")
    )


def _loss(hot: HotPot) -> AlcoholLoss:
    ways = (
        Band(*(hot.course.lost_g(*ALCOHOLS, way=way, rate=rate) for rate in (LOW, LIKELY, HIGH)))
        for way in ("method", "covered", "open")
    )
    return AlcoholLoss(*ways)


def _judged(worked: Worked) -> tuple[Judgement, ...]:
    basis = worked.sheet.basis
    charged, finished = (_quantities(basis, pot) for pot in (worked.cooked, worked.finished))
    return judge_all(applicable(worked.recipe.look, worked.recipe.purpose, charged), charged, finished)


def _quantities(basis: Basis, pot: Array) -> dict[str, float | None]:
    return {key: float(value) for key, value in window_quantities(basis, pot).items()}


def moved(before: Sequence[Judgement], after: Sequence[Judgement]) -> Iterator[Moved]:
    """The windows that judge otherwise, in the order of those before, then those that apply only now."""
    was, now = ({one.window.id: one for one in side} for side in (before, after))
    for window_id, old in was.items():
        new = now.get(window_id)
        if new is None:
            yield Moved(old.window, old, None, "no longer applies")
        elif new.position != old.position:
            yield Moved(old.window, old, new, _WHERE[new.position])
    for window_id, new in now.items():
        if window_id not in was:
            yield Moved(new.window, None, new, "applies now")


def _serious(worked: Worked, hot: HotPot) -> Iterator[Finding]:
    """What to mind about the hot pot, notes left out: they are about the recipe as written."""
    return (finding for finding in hot_findings(worked, hot) if finding.level != "note")


def _own_heat(heat: Exotherm | None) -> Iterator[Finding]:
    if heat is None or heat.boils is None or not heat.quick:
        return
    up_to_c = heat.start_c + heat.adiabatic_k.likely
    if heat.start_c + heat.adiabatic_k.high < heat.boils.low_c:
        return
    yield Finding(
        "danger" if up_to_c >= heat.boils.low_c else "caution", "own-heat-boils-alcohol",
        f"With alcohol in it, fats and lye react within minutes: +{heat.adiabatic_k.likely:.0f} °C"
        f" ({heat.adiabatic_k.low:.0f} to {heat.adiabatic_k.high:.0f}) on {heat.start_c:.0f} °C, and this mass boils at"
        f" {heat.boils.likely_c:.0f} °C ({heat.boils.low_c:.0f} to {heat.boils.high_c:.0f}).",
        f"{heat.cooler}: heater off, lye by small portions, each cooled before the next, lid at hand.", "lye",
        "65 kJ/mol of ester (heats of formation); the portions: common practice, no source",
    )  # fmt: skip


def _of_water(held: InGrams, extra_g: float) -> Iterator[Finding]:
    stays_g = extra_g - held.water_off_g
    if abs(stays_g) < _SOME_WATER_G:
        return
    advice = "Take it off the lye water where there is room, or use a stronger spirit."
    if held.water_off_g > 0.0:
        advice = "No more plain water can be taken off and the alkali still dissolve: use a stronger spirit."
    elif stays_g < 0.0:
        advice = "Add it with the spirit if the base is to stay as it was."
    more = f"{abs(stays_g):.0f} g {'more' if stays_g > 0.0 else 'less'}"
    yield Finding(
        "note", "spirit-water", f"At equal alcohol the pot has {more} water with this spirit.", advice, "clear"
    )


def _of_methanol(held: InGrams) -> Iterator[Finding]:
    for line in held.spirits:
        if "methanol" in held.materials[line.key].traits:
            yield Finding("danger", "methanol", f"{held.materials[line.key].name} can hold methanol.", _NEVER.text,
                          line.key, _NEVER.source)  # fmt: skip


def _cautions(route: Route, held: InGrams) -> tuple[Caution, ...]:
    early = (_EARLY,) if route == "alcohol with the lye" else ()
    weaker = any(held.materials[line.key].share("propan_2_ol") >= SPIRIT for line in held.spirits)
    return (*early, *((_PROPANOL,) if weaker else ()), _NEVER)
