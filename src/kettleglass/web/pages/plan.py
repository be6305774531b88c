"""The plan of a cook: steps on one clock, the timeline, what disagrees, the lye, the syrup, and the weighed kettle."""

from __future__ import annotations

import json
from dataclasses import dataclass
from datetime import timedelta

from starlette.responses import Response

from kettleglass.cook.cautions import DEFERS
from kettleglass.cook.kettle import Told, taught_by, told_by
from kettleglass.cook.weighed import KettleWeighing
from kettleglass.errors import KettleglassError
from kettleglass.recipe.method import CAUTION
from kettleglass.web.as_of import AsOf, as_of
from kettleglass.web.asking import Ask, Typed, go
from kettleglass.web.at_work import Unreadable, face_of, try_face
from kettleglass.web.pages.beside import DEFAULT_SIZES
from kettleglass.web.pages.weighed import Syrup, Weighing, syrup_in, weighing_in
from kettleglass.web.view import cooked, kettle
from kettleglass.web.view.face import Face
from kettleglass.web.view.plan import PlanView
from kettleglass.web.view.told import Weights, clock, degrees
from kettleglass.workshop import keep_draft, take_draft
from kettleglass.workshop.kettles import KeptWeighing, KettleBook, kettle_weighings, kettles_version

SAID_BELOW = ("kept-weighing", "kept-unlearnt", "kept-already", "weighing-unread", "weighing-gone")
"""What is said beside the weighed kettle, and not at the top of the page."""
_SAME_COOK = timedelta(hours=12)
"""The very same weighing twice within this is the same one."""


@dataclass(frozen=True, slots=True)
class Table:
    """What a page beside the recipe starts from: the text that it shows, worked out, and what was typed on the page."""

    shown: AsOf
    face: Face | None
    trouble: KettleglassError | None
    typed: Typed

    @property
    def weights(self) -> Weights:
        """Masses in the unit of the page."""
        return Weights(self.shown.system)


def table_of(ask: Ask) -> Table:
    """The recipe of the address, worked out. Raises `Unreadable` and `NoSuchEntry`."""
    shown = as_of(ask)
    face, trouble = try_face(ask, shown.recipe, ask.desk.shelf(invented=ask.invented))
    return Table(shown, face, trouble, typed_before(ask))


def _key(ask: Ask) -> str:
    return f"plan/{ask.path('id')}"


def typed_before(ask: Ask) -> Typed:
    """What stands in the fields of the plan page."""
    draft = take_draft(ask.book, _key(ask))
    return {} if draft is None else {str(name): str(said) for name, said in json.loads(draft.form).items()}


def keep_typed_on_plan(ask: Ask, names: tuple[str, ...]) -> Typed:
    """The fields with what was sent of these names; kept before anything is worked out."""
    with ask.book.transaction():
        typed = typed_before(ask) | {name: ask.typed[name] for name in names if name in ask.typed}
        if typed:
            keep_draft(ask.book, _key(ask), json.dumps(typed, ensure_ascii=False))
    return typed


def show(ask: Ask) -> Response:
    """The plan of what is typed now, or of a saved version."""
    try:
        table = table_of(ask)
    except Unreadable:
        return go(f"/recipes/{ask.path('id')}/text")
    shown = table.shown
    values: dict[str, object] = {"view": None}
    if table.face is not None:
        values = {"view": view_of(ask, table.face, table.weights)} | _worked_values(ask, table, table.face)
    return ask.page("plan/page.html", {
        **_frame(shown), "face": table.face, "trouble": table.trouble, "below": SAID_BELOW, "defers": DEFERS,
        "default_sizes": DEFAULT_SIZES, **values,
    })  # fmt: skip


def _frame(shown: AsOf) -> dict[str, object]:
    """What all pages of a plan need of the text that they show."""
    return {
        "saved": shown.saved, "recipe": shown.recipe, "as_of": shown.said, "unread": shown.unread, "shown": shown,
        "other_unit": shown.other_unit("plan"),
    }  # fmt: skip


def view_of(ask: Ask, face: Face, weights: Weights) -> PlanView:
    """The plan of a face, or as remembered; what is remembered holds the face, so that its identity stays its own."""
    return ask.desk.worked.get(("plan", id(face), weights.system), lambda: PlanView(face, weights))


def _worked_values(ask: Ask, table: Table, face: Face) -> dict[str, object]:
    """What the page shows of a plan beside its blocks."""
    made, weights = view_of(ask, face, table.weights).made, table.weights
    adding, step_g = made.adding, face.recipe.scale.step_g
    facts: dict[str, object] = {"limits": (), "ways": (), "schools": (), "lye": (), "lye_said": ""}
    if adding is not None:
        facts |= {
            "limits": tuple(cooked.limit_facts(adding)), "schools": cooked.schools(adding),
            "adding_said": cooked.adding_verdict(adding),
            "ways": [(way, tuple(cooked.way_facts(way, adding.base_c))) for way in adding.ways],
        }  # fmt: skip
    if made.lye is not None:
        facts |= {"lye": tuple(cooked.lye_facts(made.lye)), "lye_said": cooked.lye_verdict(made.lye)}
    syrup = syrup_in(table.typed, face.worked, face.shown.hot)
    if syrup is not None:
        facts |= {
            "syrup_facts": tuple(cooked.syrup_facts(syrup.to_make, weights, step_g)),
            "syrup_verdict": cooked.syrup_verdict(syrup.to_make, weights, step_g),
        }  # fmt: skip
    return facts | {
        "heat": tuple(cooked.heat_facts(made.heat)), "extinguisher": CAUTION["alcohol-extinguisher"],
        "first_aid": CAUTION["lye-first-aid"], **kettle_values(ask, table, face), **syrup_values(table, syrup),
    }  # fmt: skip


def kettle_values(ask: Ask, table: Table, face: Face) -> dict[str, object]:
    """The weighed kettle: what was typed and what it comes to, what is kept, and what that taught."""
    weighing, kept = weighed_now(ask, table, face), kept_of(ask, face)
    weights = table.weights
    return {
        "typed": table.typed, **answer_values(table, weighing), "weighing": weighing,
        "kept": [kettle.kept_row(one, _told(ask, one), weights) for one in reversed(kept)],
        "taught": [kettle.taught_sentence(one) for one in taught_by(face.shown.hot.around.learnt)],
        "unread_weighings": book_of(ask).unread, "legs": face.shown.hot.course.legs,
        "kettle_name": face.recipe.kettle.name, "place_name": face.recipe.place.name,
    }  # fmt: skip


def weighed_now(ask: Ask, table: Table, face: Face) -> Weighing:
    """What the fields of the weighed kettle come to. Once it is kept, its own answer does not learn from it."""
    weighing = weighing_in(table.typed, face.worked, face.shown.hot)
    kept = kept_alike(ask, face, weighing.weighing)
    if kept is None:
        return weighing
    before = face_of(ask, table.shown.recipe, ask.desk.shelf(invented=ask.invented), without=kept.entry.id)
    return weighing_in(table.typed, before.worked, before.shown.hot)


def kept_alike(ask: Ask, face: Face, one: KettleWeighing | None) -> KeptWeighing | None:
    """The very same weighing, if it was kept in this cook."""
    if one is None:
        return None
    last, same = ask.desk.clock() - _SAME_COOK, _said_by(one)
    alike = (kept for kept in reversed(kept_of(ask, face)) if _said_by(kept.weighing) == same)
    return next((kept for kept in alike if kept.entry.updated_at > last), None)


def _said_by(one: KettleWeighing) -> tuple[object, ...]:
    """What the maker said in a weighing; the pot it is about is reckoned, and moves with what is learnt."""
    return one.said, one.before_g, one.after_g, one.minutes, one.temperature_c, one.covered


def answer_values(table: Table, weighing: Weighing) -> dict[str, object]:
    """What the fields of the weighed kettle come to, as sentences."""
    found, weights, step_g = weighing.found, table.weights, table.shown.recipe.scale.step_g
    said: dict[str, object] = {"answer": "", "explained": "", "back_rows": (), "back_findings": ()}
    if found is not None:
        told = weighing.told
        also = () if told is None or told.finding is None else (told.finding,)
        codes = {one.code for one in found.findings}
        said = {
            "answer": kettle.answer(found, weights, step_g), "explained": kettle.explained(found, weights),
            "back_rows": kettle.back_rows(found, weights, step_g),
            "back_findings": (*found.findings, *(one for one in also if one.code not in codes)),
        }  # fmt: skip
    return {
        "back_faults": weighing.faults,
        "as_step": _says(weighing),
        **said,
    }


def _says(weighing: Weighing) -> str:
    """What counts where the maker says nothing else."""
    leg = weighing.leg
    if leg is None:
        return ""
    lid = "lid on" if leg.step.covered else "lid off"
    return f"Step {weighing.number}: {clock(leg.minutes)} at {degrees(leg.step.temperature_c or 0.0)}, {lid}."


def syrup_values(table: Table, syrup: Syrup | None) -> dict[str, object]:
    """What the fields of the cooked syrup come to."""
    if syrup is None:
        return {"syrup": None, "syrup_said": "", "syrup_faults": {}}
    made, step_g = syrup.made, table.shown.recipe.scale.step_g
    said = "" if made is None else kettle.syrup_sentence(made, table.weights, step_g)
    shows = syrup.to_make.pan_shows_g
    return {
        "syrup": syrup, "syrup_said": said, "syrup_faults": syrup.faults,
        "pan_shows": "" if shows is None else table.weights(shows, step_g),
    }  # fmt: skip


def book_of(ask: Ask) -> KettleBook:
    """Every kept kettle weighing of the workshop, or as remembered."""
    book = ask.book
    version = kettles_version(book)
    return ask.desk.worked.get(("kettle book", ask.invented, version), lambda: kettle_weighings(book))


def kept_of(ask: Ask, face: Face) -> tuple[KeptWeighing, ...]:
    """The kept weighings of this recipe's kettle in its place, oldest first."""
    return book_of(ask).of(face.recipe.kettle.name, face.recipe.place.name)


def _told(ask: Ask, one: KeptWeighing) -> Told:
    which = ("told", ask.invented, one.entry.id, one.entry.version)
    return ask.desk.worked.get(which, lambda: told_by(one.weighing))
