"""Kettle weighings: what a kettle lost in a step, with what was in it then, and what that teaches about the place.

A weighing keeps the pot it was made on, so that a better model can learn from it again.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, fields
from typing import Any

import numpy as np

from kettleglass.cook.around import Around, Learnt
from kettleglass.cook.back import step_now
from kettleglass.cook.course import LIKELY, Course, opening_of
from kettleglass.errors import BadInput, OutOfRange
from kettleglass.recipe.work import Worked
from kettleglass.science.heat.draught import LossCurve, Weighed, learn, loss_curve
from kettleglass.science.heat.evaporation import Air, Opening
from kettleglass.science.heat.liquid import Liquid, liquid_of_pot
from kettleglass.science.heat.vapour import COMPONENTS, MOLAR_MASS_G_MOL
from kettleglass.science.pot import ROW
from kettleglass.science.volume import volume_ml


@dataclass(frozen=True, slots=True)
class KettleWeighing:
    """A kettle weighed at the start and the end of a step, in g, with or without its tare but the same both times.

    `grams` are those of the vapour model's components at the start, `inert_mol` what was dissolved beside them, and
    `bound_mol` the water that sugar held; the rest says how hot, how long, with which mouth and in what air.
    """

    kettle: str
    place: str
    covered: bool
    before_g: float
    after_g: float
    step_g: float
    minutes: float
    temperature_c: float
    grams: tuple[float, ...]
    inert_mol: float
    diameter_m: float
    headspace_m: float
    air_m_s: float
    room_c: float
    pressure_pa: float
    said: str = ""
    bound_mol: float = 0.0

    def __post_init__(self) -> None:
        if len(self.grams) != len(COMPONENTS):
            raise BadInput("The pot of this weighing does not fit the model.", remedy="Weigh again, and enter it anew.")
        numbers = [value for value in (getattr(self, f.name) for f in fields(self)) if isinstance(value, float)]
        if not all(math.isfinite(number) for number in (*numbers, *self.grams)):
            raise BadInput("This weighing holds something that is no number.", remedy="Enter it anew.")

    @property
    def lost_g(self) -> float:
        """What has left by the scale."""
        return self.before_g - self.after_g

    @property
    def weighed(self) -> Weighed:
        """The weighing as the model learns from it; raises `OutOfRange` where the model does not hold."""
        return Weighed(self.before_g, self.after_g, self.step_g, self._curve(), covered=self.covered)

    def _curve(self) -> LossCurve:
        mouth = Opening(self.diameter_m, covered=self.covered, headspace_m=self.headspace_m)
        air = Air(self.air_m_s, self.room_c, self.pressure_pa)
        grams = np.array(self.grams)
        moles = grams / MOLAR_MASS_G_MOL
        moles[0] = max(0.0, moles[0] - self.bound_mol)
        return loss_curve(
            grams, Liquid(moles, np.asarray(self.inert_mol)), self.minutes, self.temperature_c, mouth, air=air
        )

    def as_dict(self) -> dict[str, Any]:
        """Plain data from which `weighing_from_dict` makes it again."""
        return {field.name: _plain(getattr(self, field.name)) for field in fields(self)}


def _plain(value: object) -> object:
    return list(value) if isinstance(value, tuple) else value


def weighing_from_dict(content: Mapping[str, Any]) -> KettleWeighing:
    """The weighing of a document; raises `BadInput` for one that cannot be read."""
    try:
        read = {field.name: content[field.name] for field in fields(KettleWeighing) if field.name in content}
        numbers = {name: float(value) for name, value in read.items() if name not in _OTHER}
        texts = {name: str(read[name]) for name in ("kettle", "place", "said") if name in read}
        grams = tuple(float(one) for one in read["grams"])
        return KettleWeighing(covered=bool(read["covered"]), grams=grams, **texts, **numbers)  # type: ignore[arg-type]
    except (KeyError, TypeError, ValueError) as error:
        raise BadInput("This kettle weighing cannot be read.", why=str(error), remedy="Enter it anew.") from error


_OTHER = ("kettle", "place", "said", "covered", "grams")


def weighing_of(
    worked: Worked, course: Course, air: Around, weights_g: tuple[float, float], *, step: int | None = None,
    minutes: float | None = None, temperature_c: float | None = None, covered: bool | None = None, said: str = "",
) -> KettleWeighing:  # fmt: skip
    """A weighing before and after a step of a recipe's cook; what is not given is as the step says.

    Raises `BadInput` for weights that are not above zero, and for a step that there is not.
    """
    for name, mass in zip(("earlier", "later"), weights_g, strict=True):
        if not (math.isfinite(mass) and 0.0 < mass < 1e9):
            raise BadInput(f"The {name} weight is {mass:g} g.", remedy="Give what the scale showed, such as 2184 g.")
    leg = step_now(course, step)
    pot, basis = leg.before[:, LIKELY], worked.sheet.basis
    lid = leg.step.covered if covered is None else covered
    mouth = opening_of(worked.recipe.kettle, volume_ml(basis, pot)[1], covered=lid)
    grams, liquid = np.array([max(0.0, float(pot[ROW[name]])) for name in COMPONENTS]), liquid_of_pot(basis, pot)
    return KettleWeighing(
        worked.recipe.kettle.name, worked.recipe.place.name, lid, *weights_g, worked.recipe.scale.step_g,
        leg.minutes if minutes is None else minutes,
        (leg.step.temperature_c or 0.0) if temperature_c is None else temperature_c,
        tuple(grams.tolist()), float(liquid.inert_mol),
        mouth.diameter_m, mouth.headspace_m, air.air.speed_m_s, air.air.temperature_c, air.air.pressure_pa, said,
        max(0.0, float(grams[0] / MOLAR_MASS_G_MOL[0] - liquid.moles[0])),
    )  # fmt: skip


def learnt_from(weighings: Iterable[KettleWeighing]) -> Learnt:
    """What these weighings of one kettle in one place teach, open and covered apart; those beyond the model nothing."""
    seen = [weighed for weighed in map(_within_the_model, weighings) if weighed is not None]
    return Learnt(learn(seen), learn(seen, covered=True))


def _within_the_model(weighing: KettleWeighing) -> Weighed | None:
    try:
        return weighing.weighed
    except OutOfRange:
        return None
