"""The cook as its timeline needs it: steps, and where the pot boils, can catch fire and stands, against time."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from kettleglass.errors import BadInput
from kettleglass.paper.boiling import checked_hold, degrees, in_order, kelvin, shown_c
from kettleglass.paper.drawing import Table
from kettleglass.paper.svg import finite

Point = tuple[float, float]
"""A minute and a value."""
Span = tuple[float, float]
"""From one minute to another."""

_BOILS = ("low_c", "likely_c", "high_c")
_ALCOHOL = ("alcohol_low_percent", "alcohol_percent", "alcohol_high_percent")


@dataclass(frozen=True, slots=True)
class Step:
    """One step of the cook: from minute to minute (none at all for a mere addition), how warm, with its lid or not."""

    label: str
    start_min: float
    end_min: float
    temperature_c: float
    covered: bool

    def __post_init__(self) -> None:
        finite(f"temperature of {self.label}", self.temperature_c)
        if not 0 <= finite("start of a step", self.start_min) <= finite("end of a step", self.end_min):
            raise BadInput(f"{self.label} goes from minute {self.start_min:g} to {self.end_min:g}.",
                           why="Time runs from 0 onwards.", remedy="Give its start, then its end.")  # fmt: skip

    @property
    def span(self) -> Span:
        """From its first to its last minute."""
        return self.start_min, self.end_min


@dataclass(frozen=True, slots=True)
class BoilsAt:
    """Where the pot would boil at one minute: the lowest, likely and highest °C."""

    minute: float
    low_c: float
    likely_c: float
    high_c: float

    def __post_init__(self) -> None:
        in_order("boiling point", self.low_c, self.likely_c, self.high_c)


@dataclass(frozen=True, slots=True)
class FlashAt:
    """The flash point of the pot at one minute, °C."""

    minute: float
    flash_c: float

    def __post_init__(self) -> None:
        finite("flash point", self.flash_c)


@dataclass(frozen=True, slots=True)
class SharesAt:
    """How much of the pot is alcohol (lowest, likely, highest) and water at one minute, in %, 0 to 100."""

    minute: float
    alcohol_low_percent: float
    alcohol_percent: float
    alcohol_high_percent: float
    water_percent: float

    def __post_init__(self) -> None:
        in_order("share of alcohol", self.alcohol_low_percent, self.alcohol_percent, self.alcohol_high_percent)
        for share in (
            self.alcohol_low_percent,
            self.alcohol_high_percent,
            finite("share of water", self.water_percent),
        ):
            if not 0 <= share <= 100:
                raise BadInput(f"A share of the pot is {share:g} %.", remedy="Give a share between 0 and 100 %.")


@dataclass(frozen=True, slots=True)
class Cook:
    """Steps in the order of time, and points in the order of time; two points at one minute are a jump."""

    steps: tuple[Step, ...]
    boils: tuple[BoilsAt, ...] = ()
    flash: tuple[FlashAt, ...] = ()
    shares: tuple[SharesAt, ...] = ()
    hold_c: tuple[float, float] | None = None

    def __post_init__(self) -> None:
        if not self.steps:
            raise BadInput("The cook has no step.", remedy="Give at least one step with its time.")
        for before, after in pairwise(self.steps):
            if after.start_min < before.end_min - 1e-6:
                raise BadInput(f"{after.label} begins before {before.label} has ended.",
                               why="One pot can only have one temperature.",
                               remedy="Give the steps of the pot one after the other.")  # fmt: skip
        for points in (self.boils, self.flash, self.shares):
            _in_time([point.minute for point in points])
        if self.hold_c is not None:
            checked_hold(self.hold_c)

    @property
    def span(self) -> Span:
        """The first and the last minute of all that is drawn."""
        minutes = [point.minute for points in (self.boils, self.flash, self.shares) for point in points]
        return min([self.steps[0].start_min, *minutes]), max([self.steps[-1].end_min, *minutes])

    @property
    def lowest(self) -> list[Point]:
        """The lower edge of the band in which it boils."""
        return [(point.minute, point.low_c) for point in self.boils]

    @property
    def likely(self) -> list[Point]:
        """Where it likely boils."""
        return [(point.minute, point.likely_c) for point in self.boils]

    @property
    def has_alcohol(self) -> bool:
        """Whether there is alcohol in the pot at any time."""
        return any(point.alcohol_high_percent > 0 for point in self.shares)

    @property
    def lid_spans(self) -> list[tuple[Span, bool]]:
        """Runs of time with the lid on (True) or off, neighbours of one kind as one."""
        runs: list[tuple[Span, bool]] = []
        for step in self.steps:
            if runs and runs[-1][1] == step.covered and step.start_min - runs[-1][0][1] < 1e-6:
                runs[-1] = ((runs[-1][0][0], step.end_min), step.covered)
            else:
                runs.append((step.span, step.covered))
        return [run for run in runs if run[0][1] > run[0][0]]

    @property
    def open_min(self) -> float:
        """For how many minutes the lid is off."""
        return sum(end - start for (start, end), covered in self.lid_spans if not covered)

    def boiling_spans(self) -> Iterator[tuple[Step, Span, bool]]:
        """Where a step is as warm as the band in which the pot boils; True where it reaches the likely value."""
        for step in self.steps:
            sure = reached(within(self.likely, step.span), step.temperature_c)
            for span in reached(within(self.lowest, step.span), step.temperature_c):
                yield step, span, any(one[0] < span[1] and span[0] < one[1] for one in sure)

    def margin_k(self, step: Step) -> tuple[float, float] | None:
        """What is left to boiling at the worst moment of a step, in K: at least, and likely; None without a line."""
        lowest, likely = (within(line, step.span) for line in (self.lowest, self.likely))
        if not likely:
            return None
        return min(c for _, c in lowest) - step.temperature_c, min(c for _, c in likely) - step.temperature_c


def _in_time(minutes: Sequence[float]) -> None:
    for minute in minutes:
        if finite("minute", minute) < 0:
            raise BadInput(
                f"A point lies at minute {minute:g}.", remedy="Count the minutes from the start of the cook."
            )
    if list(minutes) != sorted(minutes):
        raise BadInput("The points of a line are not in the order of time.", remedy="Give the earliest first.")


def within(line: Sequence[Point], span: Span) -> list[Point]:
    """A line between two minutes, cut at both; of a jump at either end only the side that lies within."""
    start, end = span
    inside = [point for point in line if start <= point[0] <= end]
    if end > start:
        while len(inside) > 1 and inside[1][0] == start:
            inside.pop(0)
        while len(inside) > 1 and inside[-2][0] == end:
            inside.pop()
    before = [point for point in line if point[0] < start][-1:]
    after = [point for point in line if point[0] > end][:1]
    middle = inside or after
    first = (
        [] if not before or not middle or middle[0][0] == start else [(start, _between(before[0], middle[0], start))]
    )
    middle = inside or first
    last = [] if not after or not middle or middle[-1][0] == end else [
        (end, _between((inside or before)[-1], after[0], end))
    ]  # fmt: skip
    return [*first, *inside, *last]


def _between(one: Point, other: Point, minute: float) -> float:
    return one[1] + (other[1] - one[1]) * (minute - one[0]) / (other[0] - one[0])


def reached(line: Sequence[Point], level: float) -> list[Span]:
    """When a line lies at or below a level, as spans of time that do not touch."""
    spans: list[Span] = []
    for one, other in pairwise(line):
        start, end = one[0], other[0]
        if min(one[1], other[1]) > level or end <= start:
            continue
        if max(one[1], other[1]) > level:
            crossing = start + (end - start) * (level - one[1]) / (other[1] - one[1])
            start, end = (start, crossing) if one[1] <= level else (crossing, end)
        if spans and start - spans[-1][1] < 1e-9:
            spans[-1] = (spans[-1][0], end)
        else:
            spans.append((start, end))
    return spans


def minutes_text(minutes: float) -> str:
    """A time as shown: whole minutes, below ten with a decimal where there is one."""
    return f"{minutes:.0f}" if minutes >= 10 or abs(minutes - round(minutes)) < 0.05 else f"{minutes:.1f}"


def summary(cook: Cook) -> str:
    """How long, how warm, how near to boiling, and what becomes of the alcohol, in a few sentences."""
    start, end = cook.steps[0].start_min, cook.steps[-1].end_min
    lid = f"lid off for {minutes_text(cook.open_min)} of them" if cook.open_min else "lid on throughout"
    count = "1 step" if len(cook.steps) == 1 else f"{len(cook.steps)} steps"
    warmest = max(step.temperature_c for step in cook.steps)
    said = [f"{count} in {minutes_text(end - start)} minutes, {lid}; at most {shown_c(warmest)} °C"]
    return ". ".join([*said, *_nearest(cook), *_fire(cook), *_alcohol(cook)]) + "."


def _nearest(cook: Cook) -> Iterable[str]:
    margins = [(margin, n) for n, step in enumerate(cook.steps, 1) if (margin := cook.margin_k(step)) is not None]
    if not margins:
        return
    (low, likely), number = min(margins, key=lambda found: found[0][1])
    if likely <= 0:
        yield f"The pot boils in step {number}"
    elif low <= 0:
        yield f"The pot may boil in step {number}: likely {kelvin(likely)} °C left"
    else:
        yield f"Nearest to boiling in step {number}: {kelvin(likely)} °C left, at least {kelvin(low)}"


def _fire(cook: Cook) -> Iterable[str]:
    if cook.flash:
        yield f"Flash point from {degrees(min(point.flash_c for point in cook.flash))} °C on"


def _alcohol(cook: Cook) -> Iterable[str]:
    if not cook.has_alcohol:
        if cook.shares:
            yield f"No alcohol in the pot; water {cook.shares[-1].water_percent:.1f} % at the end"
        return
    most, last = max(point.alcohol_percent for point in cook.shares), cook.shares[-1]
    yield (f"Alcohol {most:.1f} % at most, {last.alcohol_percent:.1f} % at the end "
           f"({last.alcohol_low_percent:.1f} to {last.alcohol_high_percent:.1f}), "
           f"water {last.water_percent:.1f} %")  # fmt: skip


def table(cook: Cook, caption: str) -> Table:
    """One row a step: its time, temperature and lid, the lowest boiling and flash point in it, the pot at its end."""
    headers = ("Step", "Minutes", "°C", "Lid", "Boils at, °C", "Flash point, °C", "Alcohol, %", "Water, %")
    return Table(caption, headers, tuple(_row(cook, n, step) for n, step in enumerate(cook.steps, 1)))


def _row(cook: Cook, number: int, step: Step) -> tuple[str, ...]:
    return (
        f"{number} {step.label}", f"{minutes_text(step.start_min)}–{minutes_text(step.end_min)}",
        shown_c(step.temperature_c), "on" if step.covered else "off",
        _spread_text([min(values) for values in _in_step(cook.boils, _BOILS, step)], 0),
        "".join(degrees(min(values)) for values in _in_step(cook.flash, ("flash_c",), step)),
        _spread_text([values[-1] for values in _in_step(cook.shares, _ALCOHOL, step)], 1),
        "".join(f"{values[-1]:.1f}" for values in _in_step(cook.shares, ("water_percent",), step)),
    )  # fmt: skip


def _in_step(points: Sequence[BoilsAt | FlashAt | SharesAt], names: Sequence[str], step: Step) -> list[list[float]]:
    """For each name the values that its line takes within a step; nothing where the line is not there."""
    lines = [[(point.minute, float(getattr(point, name))) for point in points] for name in names]
    found = [[value for _, value in within(line, step.span)] for line in lines]
    return [values for values in found if values]


def _spread_text(values: Sequence[float], decimals: int) -> str:
    """“86 (85 to 89)” from lowest, likely, highest; empty where there are none."""
    if not values:
        return ""
    low, likely, high = (f"{value:.{decimals}f}" for value in values)
    return f"{likely} ({low} to {high})"
