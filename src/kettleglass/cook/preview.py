"""A recipe worked out and judged, in one object: what every door (page, command, JSON) shows."""

from __future__ import annotations

import math
from dataclasses import dataclass

from kettleglass.cook.around import Learnt, around
from kettleglass.cook.cautions import hurtful_of
from kettleglass.cook.check import hot_findings
from kettleglass.cook.course import Course, course_of
from kettleglass.cook.hot import HotPot, hot_pot
from kettleglass.cook.readings import hot_readings
from kettleglass.errors import Finding, most_serious_first
from kettleglass.recipe.check import what_to_mind
from kettleglass.recipe.method import Step, steps
from kettleglass.recipe.nearest import Neighbour, nearest
from kettleglass.recipe.published import published_bars
from kettleglass.recipe.readings import Reading, readings_of, water_sources
from kettleglass.recipe.recipe import Losses, Recipe
from kettleglass.recipe.sheet import Find, Sheet
from kettleglass.recipe.windows import Judgement, applicable, judge_all
from kettleglass.recipe.work import Worked, work_out
from kettleglass.science.basis import Array, Basis
from kettleglass.science.descriptors import clarity_of_one, window_quantities


@dataclass(frozen=True, eq=False)
class Preview:
    """A worked recipe with its readings, what to mind, its windows, the nearest published bases and the hot pot.

    `charged` and `finished` are the quantities of `window_quantities` for the pot after reaction and the finished
    base; what cannot be said is None. An opaque base has no clarity windows and no neighbours.
    """

    worked: Worked
    readings: dict[str, Reading]
    findings: tuple[Finding, ...]
    charged: dict[str, float | None]
    finished: dict[str, float | None]
    judgements: tuple[Judgement, ...]
    nearest: tuple[Neighbour, ...]
    steps: tuple[Step, ...]
    hot: HotPot

    @property
    def recipe(self) -> Recipe:
        """The recipe as written."""
        return self.worked.recipe


def preview(
    recipe: Recipe,
    find: Find,
    *,
    remarks: tuple[Finding, ...] = (),
    altitude_m: float = 0.0,
    learnt: Learnt | None = None,
) -> Preview:
    """Work a recipe out and judge it; `remarks` are those of reading it, put among what to mind.

    `altitude_m` is the workshop's, for a place that does not say its own; `learnt` what the maker's weighed kettles
    have taught. Raises `BadInput` when what is asked cannot be solved (see `work_out`).
    """
    worked, hot = cooked_out(recipe, find, altitude_m=altitude_m, learnt=learnt)
    basis = worked.sheet.basis
    charged, finished = _quantities(basis, worked.cooked), _quantities(basis, worked.finished)
    bands = worked.sure.bands if worked.sure else None
    judgements = judge_all(
        applicable(recipe.look, recipe.purpose, charged),
        charged,
        finished,
        charged_bands=bands,
        finished_bands=bands if worked.losses == Losses(0.0, 0.0) else None,
    )
    has_soap = recipe.wants_clarity and worked.soap_g > 0.0
    near = nearest(clarity_of_one(basis, worked.cooked), published_bars()) if has_soap else ()
    return Preview(
        worked=worked,
        readings=readings_of(worked) | {reading.key: reading for reading in hot_readings(worked, hot)},
        findings=most_serious_first(
            (*remarks, *what_to_mind(worked), *hot_findings(worked, hot), *_outside(judgements, near))
        ),
        charged=charged,
        finished=finished,
        judgements=judgements,
        nearest=near,
        steps=steps(recipe.method, worked.stages, hurtful_of(worked)),
        hot=hot,
    )


def cooked_out(
    recipe: Recipe, find: Find, *, altitude_m: float = 0.0, learnt: Learnt | None = None, random_pots: bool = True
) -> tuple[Worked, HotPot]:
    """A recipe worked out and followed through its cook; losses that it leaves open are those of its steps."""
    air = around(recipe.place, altitude_m=altitude_m, learnt=learnt)
    followed: list[Course] = []

    def reckon(known: Recipe, sheet: Sheet, masses_g: Array) -> Losses:
        followed.append(course_of(known, sheet, masses_g, air))
        return followed[0].losses

    worked = work_out(recipe, find, random_pots=random_pots, reckon=reckon)
    course = followed[0] if followed else course_of(worked.recipe, worked.sheet, worked.weights.weighed_g, air)
    return worked, hot_pot(worked, course, air)


def _quantities(basis: Basis, pot: Array) -> dict[str, float | None]:
    found = {key: float(value) for key, value in window_quantities(basis, pot).items()}
    return {key: None if math.isnan(value) else value for key, value in found.items()}


def _outside(judgements: tuple[Judgement, ...], near: tuple[Neighbour, ...]) -> tuple[Finding, ...]:
    """One remark that names every published window the pot lies outside of, each with its source.

    The edge, and the limits of standards, are shown on the page and not nagged about.
    """
    beyond = [j for j in judgements if j.position == "outside" and j.window.kind == "window"]
    if not beyond:
        return ()
    named = "; ".join(
        f"{j.window.label} {j.value_text} against {j.window.range_text} ({j.window.source_name})" for j in beyond
    )
    nearby = f"The nearest published bar is {near[0].base.title} ({near[0].base.outcome}). " if near else ""
    return (
        Finding(
            "note",
            "outside-windows",
            f"Outside of published windows: {named}.",
            f"{nearby}Windows are not laws: test a small cup before you change anything.",
            "clear",
        ),
    )


def weights_dict(shown: Preview) -> dict[str, object]:
    """What to weigh, full precision, units in the keys."""
    worked = shown.worked
    rows = zip(
        worked.sheet.lines,
        worked.sheet.materials,
        worked.weights.exact_g,
        worked.weights.weighed_g,
        worked.weights.steps_g,
        strict=True,
    )
    return {
        "name": shown.recipe.name,
        "lines": [
            {"key": line.key, "material": line.material_id, "name": material.name, "stage": line.stage,
             "exact_g": float(exact), "weigh_g": float(weighed), "step_g": float(step)}
            for line, material, exact, weighed, step in rows
        ],
        "pot_g": worked.total_g,
        "water_by_line_g": {key: grams for key, _, grams in water_sources(worked)},
        "size_offer": None if worked.offer is None else {
            "factor": worked.offer.factor, "fats_g": worked.offer.fats_g, "alkali_g": worked.offer.alkali_g,
            "superfat_percent": worked.offer.superfat_percent,
        },
        "superfat_as_weighed_percent": worked.weights.superfat_percent,
        "size_factor": worked.weights.factor,
    }  # fmt: skip


def findings_list(shown: Preview) -> list[dict[str, str]]:
    """What to mind, most serious first, as plain data."""
    return [
        {"level": f.level, "code": f.code, "text": f.text, "advice": f.advice, "where": f.where, "source": f.source}
        for f in shown.findings
    ]


def balance_dict(shown: Preview) -> dict[str, object]:
    """Grams of every species in the three states, and the readings, full precision."""
    worked = shown.worked
    states = (("as_added_g", worked.added), ("after_reaction_g", worked.cooked), ("finished_g", worked.finished))
    return {
        "name": shown.recipe.name,
        "species": {state: worked.sheet.basis.as_dict(pot) for state, pot in states},
        "readings": {key: reading.as_dict() for key, reading in shown.readings.items()},
        "doubt_by_source": [
            {"label": blame.label, "line": blame.line_key, "share_fraction": blame.share, "z_nominal": blame.z_nominal}
            for blame in (worked.sure.blames if worked.sure else ())
        ],
    }  # fmt: skip


def preview_dict(shown: Preview) -> dict[str, object]:
    """Everything above in one document, with the windows and the nearest published bases."""
    return {
        **weights_dict(shown),
        "findings": findings_list(shown),
        **{key: value for key, value in balance_dict(shown).items() if key != "name"},
        "windows": [
            {"id": j.window.id, "quantity": j.window.quantity, "value": j.value, "unit": j.window.unit,
             "low": j.window.low, "high": j.window.high, "position": j.position, "source": j.window.source_name}
            for j in shown.judgements
        ],
        "nearest_published": [{"id": n.base.id, "title": n.base.title, "distance": n.distance} for n in shown.nearest],
    }  # fmt: skip
