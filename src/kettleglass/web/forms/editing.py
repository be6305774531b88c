"""What the buttons of the recipe form do to its fields: add, remove and move lines and steps, set a field."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from kettleglass.errors import BadInput
from kettleglass.recipe.exchange.quantities import WRITERS
from kettleglass.recipe.exchange.schema import BY_NAME
from kettleglass.recipe.recipe import STAGES, MethodStep
from kettleglass.web.forms.fields import Typed, blank, line_ids, new_id, numbered_ids, step_ids

GROUPS: tuple[tuple[str, str, tuple[str, ...]], ...] = (
    ("fats", "Fats", ("fats",)),
    ("lye", "Lye", ("lye",)),
    ("paste", "Into the cooked paste", ("paste",)),
    ("clear", "Clearing solvents", ("clear", "syrup")),
    ("finish", "Finishing", ("finish",)),
)
"""The groups of lines on the page: key, name, and the stages in it."""
GROUP_KEYS = tuple(key for key, _, _ in GROUPS)


@dataclass(frozen=True, slots=True)
class Edit:
    """The fields after a button was pressed, and the field where the maker goes on."""

    typed: Typed
    focus: str = ""


@dataclass(frozen=True, slots=True)
class NewLine:
    """What a line needs to begin with: where it goes, what it is, its amount (empty: asked, or worked out)."""

    material_id: str
    key: str
    stage: str
    lot_id: str = ""
    amount: str = ""


def edited(typed: Mapping[str, str], do: str, usual: Callable[[], tuple[MethodStep, ...]]) -> Edit:
    """The fields after the order `do`, such as ``remove:3`` or ``set:alkali.superfat:1.5 %``.

    `usual` gives the usual steps, asked only to begin steps of one's own. Raises `BadInput` for an order that is
    not known. Lines are added by `with_line`, since that takes the shelf.
    """
    verb, _, rest = do.partition(":")
    if verb == "set":
        name, _, text = rest.partition(":")
        if name.partition(".")[0] in BY_NAME and re.fullmatch(r"[a-z_.0-9]{3,60}", name):
            return Edit({**typed, name: text}, name)
    elif verb in ("remove", "up", "down") and rest in line_ids(typed):
        return _removed(typed, "line", rest) if verb == "remove" else _moved_line(typed, rest, verb)
    elif verb == "step-add":
        return with_step(typed, "", "fats" if not step_ids(typed) else _last_stage(typed))
    elif verb == "step-usual":
        return _with_usual_steps(typed, usual())
    elif verb in ("step-remove", "step-up", "step-down") and rest in step_ids(typed):
        return _removed(typed, "method", rest) if verb == "step-remove" else _moved_step(typed, rest, verb)
    raise BadInput("This button does not fit the recipe as it is now.", remedy="Load the page anew and try once more.")


def with_line(typed: Mapping[str, str], new: NewLine) -> Edit:
    """The fields with one more line; its amount is where the maker goes on."""
    one = new_id([*line_ids(typed), *_ever(typed, "line")])
    fields = blank(
        BY_NAME["line"], key=new.key, material=new.material_id, lot=new.lot_id, amount=new.amount, stage=new.stage
    )
    return Edit(_with_row(typed, "line", one, fields), f"line.{one}.amount")


def _with_row(typed: Mapping[str, str], name: str, one: str, fields: Typed) -> Typed:
    order = _ordered(typed, name, [*numbered_ids(typed, name), one])
    return {**typed, **{f"{name}.{one}.{field}": text for field, text in fields.items()}, **order}


def with_step(typed: Mapping[str, str], text: str, stage: str, **said: str) -> Edit:
    """The fields with one more step of the maker's own; `said` are further fields of it."""
    one = new_id([*step_ids(typed), *_ever(typed, "method")])
    fields = blank(BY_NAME["method"], **{"text": text, "stage": stage, "covered": "yes", **said})
    return Edit(_with_row(typed, "method", one, fields), f"method.{one}.text")


def group_of(stage: str) -> str:
    """The group of the page in which lines of a stage stand."""
    return next((key for key, _, stages in GROUPS if stage in stages), "finish")


def _ordered(typed: Mapping[str, str], name: str, ids: list[str]) -> Typed:
    """The order of these numbers; behind them stand those that are gone, which must not come back for another."""
    gone = [one for one in dict.fromkeys([*_ever(typed, name), *numbered_ids(typed, name)]) if one not in ids]
    return {f"order.{name}": " ".join([*ids, *gone])}


def _ever(typed: Mapping[str, str], name: str) -> list[str]:
    """Numbers that were used once, so that a removed line's number does not come back with its old fault."""
    return re.findall(r"\d{1,6}", typed.get(f"order.{name}", ""))


def _removed(typed: Mapping[str, str], name: str, one: str) -> Edit:
    ids = numbered_ids(typed, name)
    place = ids.index(one)
    left = ids[:place] + ids[place + 1 :]
    kept = {key: text for key, text in typed.items() if not key.startswith(f"{name}.{one}.")}
    kept |= _ordered(typed, name, left)
    next_one = left[min(place, len(left) - 1)] if left else ""
    return Edit(kept, f"{name}.{next_one}.{'amount' if name == 'line' else 'text'}" if next_one else "")


def _moved_line(typed: Mapping[str, str], one: str, verb: str) -> Edit:
    """The line one place further among those of its group."""
    group = group_of(typed.get(f"line.{one}.stage", ""))
    ids = line_ids(typed)
    rivals = [other for other in ids if group_of(typed.get(f"line.{other}.stage", "")) == group]
    return _swapped(typed, "line", (ids, rivals, one), -1 if verb == "up" else 1)


def _moved_step(typed: Mapping[str, str], one: str, verb: str) -> Edit:
    ids = step_ids(typed)
    return _swapped(typed, "method", (ids, ids, one), -1 if verb == "step-up" else 1)


def _swapped(typed: Mapping[str, str], name: str, among: tuple[list[str], list[str], str], by: int) -> Edit:
    ids, rivals, one = among
    place = rivals.index(one) + by
    order = list(ids)
    if 0 <= place < len(rivals):
        first, second = ids.index(one), ids.index(rivals[place])
        order[first], order[second] = order[second], order[first]
    field = "amount" if name == "line" else "text"
    return Edit({**typed, **_ordered(typed, name, order)}, f"{name}.{one}.{field}")


def _last_stage(typed: Mapping[str, str]) -> str:
    stage = typed.get(f"method.{step_ids(typed)[-1]}.stage", "")
    return stage if stage in STAGES else "finish"


def _with_usual_steps(typed: Mapping[str, str], usual: tuple[MethodStep, ...]) -> Edit:
    now = Edit(dict(typed))
    for step in usual:
        said = {"covered": "yes" if step.covered else "no"}
        if step.temperature_c is not None:
            said["temperature"] = str(WRITERS["temperature"](step.temperature_c))
        if step.minutes is not None:
            said["time"] = str(WRITERS["time"](step.minutes))
        now = with_step(now.typed, step.text, step.stage, **said)
    first = step_ids(now.typed)
    return Edit(now.typed, f"method.{first[0]}.text" if first else "")
