"""The face of the recipe page: what the templates show of a worked recipe, made once for each recipe."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from kettleglass.cook.preview import Preview
from kettleglass.cook.readings import WAY_WORDS
from kettleglass.errors import Finding
from kettleglass.paper.drawing import Drawing
from kettleglass.paper.svg import Markup
from kettleglass.paper.ternary import legend_mark
from kettleglass.paper.theme import Fill
from kettleglass.paper.windows import Window, verdict_dot, verdict_word
from kettleglass.recipe.lyewater import say_lye_water
from kettleglass.recipe.readings import Reading, chance_text
from kettleglass.recipe.windows import Judgement
from kettleglass.web.view import figures, sentences
from kettleglass.web.view.asked import figure_and_unit
from kettleglass.web.view.figures import Figure
from kettleglass.web.view.sentences import shown_name

_SHOWN_PARTS = 5
_INSIDE = "clear.inside"
_WINDOWS = "outside-windows"
"""The remark on published windows, which have a section of their own."""


@dataclass(frozen=True, slots=True)
class Key:
    """One of the key readings; `bad` is shown in red."""

    reading: Reading
    label: str
    short: str
    bad: bool = False


@dataclass(frozen=True, slots=True)
class WindowRow:
    """One quantity in the published windows: instrument and verdict by the first source; `reading` names them all."""

    window: Window
    scale: Markup
    dot: Markup
    word: str
    judged: Judgement
    reading: Reading


@dataclass(frozen=True, slots=True)
class Barred:
    """A reading with a bar of its share, and what stands small beside its name."""

    name: str
    reading: Reading
    bar: Markup
    small: str = ""


@dataclass(frozen=True, slots=True)
class LossRow:
    """Grams and shares of alcohol and water that leave with the lid used in one way."""

    name: str
    alcohol: Reading | None
    alcohol_share: Reading | None
    water: Reading | None
    water_share: Reading | None


class Face:
    """A previewed recipe with its figures, sentences and rows, each made when first asked for."""

    def __init__(self, shown: Preview) -> None:
        self.shown, self.worked, self.recipe, self.findings = shown, shown.worked, shown.recipe, shown.findings
        self.readings = dict(shown.readings)
        if self.recipe.wants_clarity and self.windows:
            self.readings[_INSIDE] = self._inside()

    @cached_property
    def keys(self) -> tuple[Key, ...]:
        """The key readings, most wanted first."""
        found = [self._alkali(), self._key("pot.total", "in the pot", "pot"), self._chance()]
        found.append(self._key(_INSIDE, "inside published windows", "inside"))
        found.append(self._key("cooked.soap.percent", "soap", "soap"))
        found.append(self._key("lye.strength", "lye strength", "lye"))
        return tuple(key for key in found if key is not None)[:5]

    def _key(self, key: str, label: str, short: str, *, bad: bool = False) -> Key | None:
        reading = self.readings.get(key)
        return None if reading is None else Key(reading, label, short, bad)

    def _alkali(self) -> Key | None:
        """The alkali to weigh: the first line that is worked out, else what the lye holds."""
        hydroxide = self.worked.sheet.species("hydroxide")
        for row, line in enumerate(self.worked.sheet.lines):
            if line.amount.by == "solve" and hydroxide[row] > 0.0:
                name = shown_name(self.worked.sheet.materials[row].name)
                return self._key(f"weigh.{line.key}", name, "alkali")
        return self._key("lye.alkali", "pure alkali", "alkali")

    def _chance(self) -> Key | None:
        sure = self.worked.sure
        if sure is None or self.worked.soap_g <= 0.0:
            return None
        bad = sure.chance_free_alkali > self.recipe.certainty.target_chance
        measured = self.recipe.measured_free_alkali_percent
        return self._key("sure.chance", "chance of free alkali", "free alkali", bad=bad and measured is None)

    def _inside(self) -> Reading:
        judged = [row.judged for row in self.windows]
        inside = sum(one.position == "inside" for one in judged)
        text = "Each published window is judged by itself, by the first source named; no score is made of them."
        return Reading(_INSIDE, "inside published windows", inside, f"of {len(judged)}", text, decimals=0)

    @cached_property
    def chance_words(self) -> str:
        """The chance as printed, without its unit."""
        return "–" if self.worked.sure is None else chance_text(self.worked.sure.chance_free_alkali)

    @cached_property
    def minds(self) -> tuple[Finding, ...]:
        """What to mind, without the single windows, which have a section of their own."""
        return tuple(one for one in self.findings if one.code != _WINDOWS)

    @cached_property
    def minor(self) -> tuple[Finding, ...]:
        """What the published windows say, to be unfolded."""
        return tuple(one for one in self.findings if one.code == _WINDOWS)

    @cached_property
    def glass(self) -> Figure:
        """The sight glass."""
        return figures.glass(self.worked)

    @cached_property
    def strips(self) -> dict[str, Figure]:
        """The strip in each state; made when asked by `strip`."""
        return {}

    def strip(self, state: str) -> Figure:
        """What the pot holds in a state, as one strip."""
        if state not in self.strips:
            self.strips[state] = figures.strip(self.shown, state)
        return self.strips[state]

    def parts(self, state: str) -> list[tuple[Reading, Reading, Fill]]:
        """Per cent, grams and fill of the larger parts in a state."""
        rows = []
        for key, reading in self.readings.items():
            head, _, part = key.partition(".")
            if head == state and not key.endswith(".percent") and (reading.value or 0.0) > 0.0:
                rows.append((self.readings[f"{key}.percent"], reading, figures.fill_of_part(part)))
        rows.sort(key=lambda row: -(row[1].value or 0.0))
        return [row for row in rows if (row[0].value or 0.0) >= 0.05][:_SHOWN_PARTS]

    @cached_property
    def chance(self) -> Figure | None:
        """The plot of the chance of free alkali."""
        sure = self.worked.sure
        return None if sure is None or self.worked.soap_g <= 0.0 else figures.chance(self.shown, sure)

    @cached_property
    def blames(self) -> tuple[Barred, ...]:
        """The largest causes of the doubt."""
        found = [reading for key, reading in self.readings.items() if key.startswith("blame.")]
        return tuple(
            Barred(shown_name(one.label), one, figures.share_of((one.value or 0.0) / 100.0, one.label, place))
            for place, one in enumerate(found)
        )

    @cached_property
    def gauge(self) -> Figure | None:
        """How near the pot is to boiling; None where that cannot be said, or nothing is held hot."""
        return figures.gauge(self.shown.hot.boiling)

    @cached_property
    def losses(self) -> tuple[LossRow, ...]:
        """What leaves by the lid: alcohol and water, one row a way of covering."""
        rows = []
        for way, words in WAY_WORDS.items():
            found = [self.readings.get(f"loss.{kind}.{way}") for kind in ("alcohol", "water")]
            shares = [self.readings.get(f"loss.{kind}.{way}.percent") for kind in ("alcohol", "water")]
            if any(found):
                rows.append(LossRow(shown_name(words), found[0], shares[0], found[1], shares[1]))
        return tuple(rows)

    @cached_property
    def map(self) -> Drawing:
        """The map of the published bases."""
        return figures.clear_map(self.shown)

    @cached_property
    def windows(self) -> tuple[WindowRow, ...]:
        """The published windows, one row a quantity, in the order of the sources."""
        by_quantity: dict[str, list[Judgement]] = {}
        for judged in self.shown.judgements:
            if judged.window.kind == "window":
                by_quantity.setdefault(judged.window.quantity, []).append(judged)
        return tuple(_window_row(place, same) for place, same in enumerate(by_quantity.values()))

    @cached_property
    def limits(self) -> tuple[Judgement, ...]:
        """What standards demand of the finished piece."""
        return tuple(judged for judged in self.shown.judgements if judged.window.kind == "limit")

    @cached_property
    def lye_water_also(self) -> tuple[str, ...]:
        """The lye water said in the other ways."""
        alkali, water, fats = (self._value(key) for key in ("lye.alkali", "lye.water", "fats"))
        if alkali <= 0.0 or water <= 0.0 or not self.worked.has_lye_water:
            return ()
        said = say_lye_water(alkali, water, fats)
        own = {"ratio": 0, "strength": 1, "of fats": 2, "mass": -1}[self.recipe.alkali.water.by]
        phrases = list(said.phrases)
        if len(phrases) == 4:
            phrases[1], phrases[3] = f"a lye of {phrases[1]}", f"{water:.0f} g of water in all"
            del phrases[own]
        return tuple(phrases)

    def _value(self, key: str) -> float:
        reading = self.readings.get(key)
        return (reading.value or 0.0) if reading is not None else 0.0

    @cached_property
    def water_bars(self) -> tuple[Barred, ...]:
        """The lines that bring water, with their share of it."""
        found = [reading for key, reading in self.readings.items() if key.startswith("water.of.")]
        total = sum(one.value or 0.0 for one in found) or 1.0
        return tuple(
            Barred(shown_name(one.label), one, figures.share_of((one.value or 0.0) / total, one.label, 100 + place))
            for place, one in enumerate(found)
        )

    @cached_property
    def aloud(self) -> str:
        """What is read aloud when the page has changed: three key readings and the worst of what to mind."""
        said = [
            f"{key.label} {' '.join(figure_and_unit(key.reading, self.recipe.scale.unit))}" for key in self.keys[:3]
        ]
        worst = self.findings[0].text if self.findings else ""
        return f"{', '.join(said)}. {worst}".strip()

    @cached_property
    def verdicts(self) -> dict[str, str]:
        """The sentence with which each section opens."""
        shown, worked = self.shown, self.worked
        return {
            "becomes": sentences.becomes(shown),
            "sure": sentences.sure(shown),
            "clear": sentences.clear(row.judged for row in self.windows),
            "hot": sentences.hot(shown),
            "water": sentences.water(worked),
            "room": sentences.room(worked),
            "method": sentences.method(shown),
        }


LEGEND = (
    (legend_mark("clear"), "published, clear"),
    (legend_mark("not clear"), "published, not clear"),
    (legend_mark("pot"), "this pot, its doubt"),
)


def _window_row(place: int, same: list[Judgement]) -> WindowRow:
    first, others = same[0], same[1:]
    window = figures.window_of(first, others[0] if others else None)
    scale, dot = figures.scale_of(window, place), verdict_dot(first.position)
    reading = Reading(
        f"window.{first.window.id}", window.name, window.value, window.unit, " ".join(one.text for one in same),
        inputs=tuple((one.window.source_name, one.window.note) for one in same if one.window.note),
        known=first.window.known, decimals=window.decimals,
    )  # fmt: skip
    return WindowRow(window, scale, dot, verdict_word(first.position), first, reading)
