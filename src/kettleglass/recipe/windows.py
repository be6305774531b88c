"""Published composition windows, each judged by itself: inside, at the edge, or outside. Never a chance or a sum.

A *window* is the range that a source reports or claims; a *limit* is what a standard demands. A window's ends are
observations, so a value within a tenth of its width of an end, on either side, is at the edge. A limit is exact:
beyond it is outside, and only values short of it can be at its edge. In both, a value whose doubt band holds an end
is at the edge, unless it is itself beyond a limit. A low end of 0 is no end, since nothing lies below it.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal, cast

from kettleglass.errors import BadInput
from kettleglass.materials.figure import KNOWN, Known
from kettleglass.materials.tables import read_table
from kettleglass.recipe.place import one_of
from kettleglass.recipe.recipe import LOOKS, PURPOSES, Look, Purpose

Kind = Literal["window", "limit"]
State = Literal["charged", "finished"]
Route = Literal["alcohol", "glycol", "other"]
Position = Literal["inside", "edge", "outside"]
Unit = Literal["%", "g/g", "fraction"]
Values = Mapping[str, float | None]
Band = tuple[float, float]
Bands = Mapping[str, Band]

PRESENT_PERCENT = 1.0
"""From this share of the pot on a solvent counts as part of the route; less comes in with scent or dye."""
EDGE_SHARE = 0.1
"""How far from an end, as a share of the window's width, a value counts as at the edge."""
_LOOKS: dict[str, tuple[Look, ...]] = {
    "any": LOOKS,
    "clear": ("crystal clear", "tinted", "translucent"),
    "translucent": ("translucent",),
    "opaque": ("opaque white",),
}
_PHRASE: dict[Position, str] = {"inside": "inside", "edge": "at the edge of", "outside": "outside"}


@dataclass(frozen=True, slots=True)
class Window:
    """One published window or limit of one quantity (see `window_quantities`), in % of the pot, g/g or a fraction.

    `state`: whether it holds for what is charged (after reaction, before losses) or for the finished piece.
    `needs` names a quantity that has to be present for it to apply at all. An end that is None is open.
    """

    id: str
    quantity: str
    label: str
    unit: Unit
    low: float | None
    high: float | None
    kind: Kind
    state: State
    routes: frozenset[str]
    looks: tuple[Look, ...]
    purposes: tuple[Purpose, ...]
    needs: str
    source_key: str
    source_name: str
    known: Known
    note: str = ""

    def __post_init__(self) -> None:
        one_of("kind of window", self.kind, ("window", "limit"))
        one_of("state", self.state, ("charged", "finished"))
        one_of("unit", self.unit, ("%", "g/g", "fraction"))
        one_of("way of knowing", self.known, KNOWN)
        ends = [end for end in (self.low, self.high) if end is not None]
        if not ends or ends != sorted(set(ends)) or not self.width > 0.0:
            raise BadInput(f"The window {self.id} has no width.", remedy="Give a low end below its high end.")

    @property
    def ends(self) -> tuple[float, ...]:
        """The ends that a value can be beyond; 0 as a low end is none."""
        low = () if self.low is None or self.low <= 0.0 else (self.low,)
        return low if self.high is None else (*low, self.high)

    @property
    def width(self) -> float:
        """From end to end; an open window is as wide as its only end is far from 0."""
        return (self.high if self.high is not None else 2.0 * (self.low or 0.0)) - (self.low or 0.0)

    @property
    def range_text(self) -> str:
        """Its range in words, with the unit."""
        unit = " %" if self.unit in ("%", "fraction") else " g/g"
        low, high = (None if end is None else f"{end * _shown(self.unit):.4g}" for end in (self.low, self.high))
        if self.low is None or self.low <= 0.0:
            return f"at most {high}{unit}"
        return f"at least {low}{unit}" if high is None else f"{low} to {high}{unit}"


@dataclass(frozen=True, slots=True)
class Judgement:
    """Where one value lies in one window. `distance` from the nearest end in window widths: positive beyond it,
    negative short of it. `text` is the sentence for a person, with the source."""

    window: Window
    value: float
    position: Position
    text: str
    distance: float

    @property
    def value_text(self) -> str:
        """The value with its unit, as shown."""
        unit = "g/g" if self.window.unit == "g/g" else "%"
        return f"{self.value * _shown(self.window.unit):.{_decimals(self.window)}f} {unit}"


def _decimals(window: Window) -> int:
    return 2 if window.unit == "g/g" or max(window.ends) * _shown(window.unit) <= 3.0 else 1


def _shown(unit: Unit) -> float:
    return 100.0 if unit == "fraction" else 1.0


@lru_cache(maxsize=1)
def published_windows() -> tuple[Window, ...]:
    """Every published window and limit, in the order of the table."""
    return tuple(_window(row) for row in read_table("windows"))


def _window(row: Mapping[str, str]) -> Window:
    return Window(
        id=row["id"],
        quantity=row["quantity"],
        label=row["label"],
        unit=cast(Unit, row["unit"]),
        low=float(row["low"]) if row["low"] else None,
        high=float(row["high"]) if row["high"] else None,
        kind=cast(Kind, row["kind"]),
        state=cast(State, row["state"]),
        routes=frozenset(row["routes"].split()),
        looks=_LOOKS[row["looks"]],
        purposes=PURPOSES if row["purposes"] == "any" else (cast(Purpose, row["purposes"]),),
        needs=row["needs"],
        source_key=row["source_key"],
        source_name=row["source_name"],
        known=cast(Known, row["known"]),
        note=row["note"],
    )


def _amount(values: Values, *keys: str) -> float:
    return math.fsum(values.get(key) or 0.0 for key in keys)


def routes(values: Values) -> frozenset[Route]:
    """By which way clarity is sought, from the solvents that are there (`values` in % of the pot, by key).

    ``alcohol``: ethanol or propan-2-ol; ``glycol``: propylene glycol, dipropylene glycol or other polyols of that
    kind; both where both are there; ``other``: neither (sugar and glycerol alone, or nothing).
    """
    found: list[Route] = []
    if _amount(values, "ethanol", "propan_2_ol") >= PRESENT_PERCENT:
        found.append("alcohol")
    if _amount(values, "propylene_glycol", "other_polyols") >= PRESENT_PERCENT:
        found.append("glycol")
    return frozenset(found or ["other"])


def applicable(look: Look, purpose: Purpose, values: Values) -> tuple[Window, ...]:
    """The windows that concern a recipe of this look and purpose, by the solvents in its pot (`values`, charged).

    An opaque base gets no window of clarity, only the limits of standards. Raises `UnknownName` for an unknown look
    or purpose.
    """
    one_of("look", look, LOOKS)
    one_of("purpose", purpose, PURPOSES)
    ways = routes(values) | {"any"}
    return tuple(
        window for window in published_windows()
        if look in window.looks and purpose in window.purposes and window.routes & ways
        and (not window.needs or _amount(values, window.needs) >= PRESENT_PERCENT)
    )  # fmt: skip


def judge(value: float, band_low: float | None, band_high: float | None, window: Window) -> Judgement:
    """Where `value`, with its doubt band (None: no doubt known), lies in `window`; all in the window's own unit.

    Raises `BadInput` for a value that is no number, or a band that is the wrong way round.
    """
    if not math.isfinite(value):
        raise BadInput(f"{window.label} is not a number.", remedy="Judge only what can be said; leave the rest out.")
    band = _band(band_low, band_high, window)
    beyond = max([-math.inf, *(_beyond(value, end, window) for end in window.ends)])
    crosses = band is not None and any(band[0] < end < band[1] for end in window.ends)
    position = _position(window, beyond, crosses=crosses)
    text = _text(window, value, band, position, crosses=crosses)
    return Judgement(window, value, position, text, beyond / window.width)


def _band(low: float | None, high: float | None, window: Window) -> Band | None:
    if low is None or high is None or not (math.isfinite(low) and math.isfinite(high)):
        return None
    if low > high:
        raise BadInput(f"The doubt band of {window.label} is the wrong way round.", remedy="Give its low end first.")
    return low, high


def _beyond(value: float, end: float, window: Window) -> float:
    """How far the value is past this end, in the window's unit; negative where it is short of it."""
    return value - end if end == window.high else end - value


def _position(window: Window, beyond: float, *, crosses: bool) -> Position:
    reach = EDGE_SHARE * window.width
    if beyond > 0.0 and (window.kind == "limit" or (beyond > reach and not crosses)):
        return "outside"
    return "edge" if crosses or beyond >= -reach else "inside"


def _text(window: Window, value: float, band: Band | None, position: Position, *, crosses: bool) -> str:
    """For example: “Soap 45.0 % is inside the published window of 41 to 48 % (Thomssen 1922, six clear charges).”."""
    scale, unit = _shown(window.unit), "g/g" if window.unit == "g/g" else "%"
    decimals = _decimals(window)

    def number(x: float) -> str:
        return f"{x * scale:.{decimals}f}"

    doubt = "" if band is None else f" ({number(band[0])} to {number(band[1])} {unit})"
    what = "published window" if window.kind == "window" else "limit"
    why = ""
    if position == "edge":
        why = "; its doubt reaches across an end" if crosses else "; it lies within a tenth of the width from an end"
    elif position == "outside":
        why = "; it lies above" if window.high is not None and value > window.high else "; it lies below"
    return (
        f"{window.label} {number(value)} {unit}{doubt} is {_PHRASE[position]} the {what} of {window.range_text}"
        f" ({window.source_name}){why}."
    )


def judge_all(
    windows: Iterable[Window], charged: Values, finished: Values, *, charged_bands: Bands | None = None,
    finished_bands: Bands | None = None,
) -> tuple[Judgement, ...]:  # fmt: skip
    """Every window judged by itself, in the order given; `charged` and `finished` as of `window_quantities`.

    Bands are in the same units, by key. A quantity that cannot be said (None, NaN, missing) is not judged.
    """
    sides = {"charged": (charged, charged_bands or {}), "finished": (finished, finished_bands or {})}
    out = []
    for window in windows:
        values, bands = sides[window.state]
        value = values.get(window.quantity)
        if value is None or math.isnan(value):
            continue
        low, high = bands.get(window.quantity, (None, None))
        out.append(judge(value, low, high, window))
    return tuple(out)
