"""Objects in, something to look at or print out: figures as SVG, each with its spoken sentence and its table."""

from __future__ import annotations

from kettleglass.paper.boiling import Boils
from kettleglass.paper.chance import chance_of_free_alkali, pots_in_100
from kettleglass.paper.cooking import BoilsAt, FlashAt, SharesAt, Step
from kettleglass.paper.distribution import Distribution
from kettleglass.paper.drawing import Drawing, Table
from kettleglass.paper.gauge import boiling_gauge
from kettleglass.paper.shares import Share, share_bar, shares_of_doubt
from kettleglass.paper.sightglass import Layer, sight_glass
from kettleglass.paper.strip import Part, composition_strip
from kettleglass.paper.svg import Markup
from kettleglass.paper.ternary import Base, ThisPot, legend_mark, ternary_map
from kettleglass.paper.theme import FILLS, PRINT, SCREEN, Fill, Theme
from kettleglass.paper.timeline import cook_timeline
from kettleglass.paper.triangle import Blend
from kettleglass.paper.windows import Window, verdict_dot, verdict_word, window_rows, window_scale

__all__ = [
    "FILLS", "PRINT", "SCREEN", "Base", "Blend", "Boils", "BoilsAt", "Distribution", "Drawing", "Fill", "FlashAt",
    "Layer", "Markup", "Part", "Share", "SharesAt", "Step", "Table", "Theme", "ThisPot", "Window", "boiling_gauge",
    "chance_of_free_alkali", "composition_strip", "cook_timeline", "legend_mark", "pots_in_100", "share_bar",
    "shares_of_doubt", "sight_glass", "ternary_map", "verdict_dot", "verdict_word", "window_rows", "window_scale",
]  # fmt: skip
