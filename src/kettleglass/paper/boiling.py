"""How near a held pot is to boiling, in words and as a table: what the boiling gauge shows, without the drawing."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from kettleglass.errors import BadInput
from kettleglass.paper.drawing import Table
from kettleglass.paper.svg import finite

State = Literal["clear", "may", "boils"]


@dataclass(frozen=True, slots=True)
class Boils:
    """A liquid, named as in the middle of a sentence, and where it boils: the lowest, likely and highest °C."""

    label: str
    low_c: float
    likely_c: float
    high_c: float

    def __post_init__(self) -> None:
        in_order(f"boiling point of {self.label}", self.low_c, self.likely_c, self.high_c)

    @property
    def span_text(self) -> str:
        """“86 °C (85 to 89)”, or the likely value alone where there is no doubt."""
        low, likely, high = (degrees(value) for value in (self.low_c, self.likely_c, self.high_c))
        return f"{likely} °C" if low == high else f"{likely} °C ({low} to {high})"

    def state(self, held_c: float) -> State:
        """Whether it boils when held at a temperature: “clear” below the band, “may” within, “boils” from likely on."""
        if held_c < self.low_c:
            return "clear"
        return "may" if held_c < self.likely_c else "boils"


@dataclass(frozen=True, slots=True)
class Held:
    """A pot held between two temperatures, the premix that goes into it, and its flash point, all in °C."""

    pot: Boils
    premix: Boils | None
    hold_c: tuple[float, float]
    flash_c: float | None

    def __post_init__(self) -> None:
        checked_hold(self.hold_c)
        if self.flash_c is not None:
            finite("flash point", self.flash_c)

    @property
    def top_c(self) -> float:
        """The warmest the pot is held."""
        return self.hold_c[1]

    @property
    def state(self) -> State:
        """Whether the pot boils at the top of the hold."""
        return self.pot.state(self.top_c)

    @property
    def margin_text(self) -> str:
        """“4 °C to boiling (3 to 7)”; in words where the hold reaches into the band or beyond it."""
        low, likely, high = (end - self.top_c for end in (self.pot.low_c, self.pot.likely_c, self.pot.high_c))
        if self.state == "boils":
            return "boils while held" if likely == 0 else f"boils while held, {kelvin(likely)} °C too warm"
        if self.state == "may":
            return f"may boil while held: {kelvin(likely)} °C left"
        least, most = kelvin(low), kelvin(high)
        return f"{kelvin(likely)} °C to boiling" + ("" if least == most else f" ({least} to {most})")

    @property
    def margin_short(self) -> str:
        """The same in the fewest words."""
        if self.state == "clear":
            return f"{kelvin(self.pot.likely_c - self.top_c)} °C to boiling"
        return "boils" if self.state == "boils" else "may boil"

    @property
    def premix_where(self) -> str:
        """“, in the hold range” and the like, to follow the premix; nothing where it boils only above."""
        if self.premix is None:
            return ""
        if self.premix.likely_c < self.hold_c[0]:
            return ", below the hold range"
        state = self.premix.state(self.top_c)
        return {"clear": "", "may": ", perhaps in the hold range", "boils": ", in the hold range"}[state]

    @property
    def flash_text(self) -> str:
        """“held 51 to 56 °C warmer than its flash point”, or how much cooler; nothing where there is none."""
        if self.flash_c is None:
            return ""
        low, high = (end - self.flash_c for end in self.hold_c)
        if high < 0:
            return f"held {kelvin(high)} °C cooler than its flash point"
        least, most = degrees(max(low, 0.0)), degrees(high)
        return f"held {most if least == most else f'{least} to {most}'} °C warmer than its flash point"

    @property
    def summary(self) -> str:
        """All of it in one sentence."""
        pot, premix = self.pot, self.premix
        said = [
            f"{pot.label} boils at {pot.span_text}", f"{hold_text(self.hold_c)}: {self.margin_text}",
            *([f"{premix.label} boils at {premix.span_text}{self.premix_where}"] if premix else []),
            *([] if self.flash_c is None else [f"flash point {degrees(self.flash_c)} °C, {self.flash_text}"]),
        ]  # fmt: skip
        whole = "; ".join(said) + "."
        return whole[:1].upper() + whole[1:]

    def table(self, caption: str) -> Table:
        """One row for each of hold range, boiling points, what is left to boiling, and the flash point."""
        top, pot, flash = self.top_c, self.pot, self.flash_c
        rows = [
            ("Hold range, °C", shown_c(self.hold_c[0]), "", shown_c(top)),
            *((f"{one.label} boils, °C", degrees(one.low_c), degrees(one.likely_c), degrees(one.high_c))
              for one in (pot, self.premix) if one),
            ("From the top of the hold to boiling, °C", degrees(pot.low_c - top), degrees(pot.likely_c - top),
             degrees(pot.high_c - top)),
            *([] if flash is None else [("Flash point, °C", "", degrees(flash), "")]),
        ]  # fmt: skip
        return Table(caption, ("What", "Low", "Likely", "High"), tuple(rows))


def in_order(name: str, low: float, likely: float, high: float) -> None:
    """Raises `BadInput` unless the three are finite and rise."""
    for value in (low, likely, high):
        finite(name, value)
    if not low <= likely <= high:
        raise BadInput(f"The {name} is given as {low:g}, {likely:g}, {high:g}.",
                       why="These are its lowest, likely and highest value.",
                       remedy="Give them in this order.")  # fmt: skip


def checked_hold(hold_c: tuple[float, float]) -> tuple[float, float]:
    """The hold range itself; raises `BadInput` when an end is not finite or the lower one does not come first."""
    low, high = (finite("hold range", end) for end in hold_c)
    if low > high:
        raise BadInput(f"The hold range begins at {low:g} °C and ends at {high:g} °C.",
                       remedy="Give the lower temperature first.")  # fmt: skip
    return low, high


def degrees(value: float) -> str:
    """A reckoned temperature or difference as shown: whole degrees, with a true minus."""
    shown = f"{value:.0f}" if abs(value) < 1e7 else f"{value:.3g}"
    return "0" if shown == "-0" else shown.replace("-", "\N{MINUS SIGN}")


def shown_c(value_c: float) -> str:
    """A temperature as the maker gave it: a tenth of a degree where it is not whole."""
    return degrees(value_c) if round(value_c, 1) == round(value_c) else f"{value_c:.1f}".replace("-", "\N{MINUS SIGN}")


def kelvin(difference: float) -> str:
    """A difference without its sign; “less than 1” where it would be shown as nothing."""
    shown = degrees(abs(difference))
    return "less than 1" if shown == "0" else shown


def hold_text(hold_c: tuple[float, float]) -> str:
    """“hold 77 to 82 °C”, or “hold 80 °C”."""
    low, high = shown_c(hold_c[0]), shown_c(hold_c[1])
    return f"hold {low} °C" if low == high else f"hold {low} to {high} °C"
