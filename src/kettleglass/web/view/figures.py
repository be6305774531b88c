"""Figures of a worked recipe, each in the widths that the page needs."""

from __future__ import annotations

from collections.abc import Callable
from functools import cached_property, lru_cache
from itertools import pairwise

from kettleglass.cook.boil import Boiling
from kettleglass.cook.preview import Preview
from kettleglass.paper.boiling import Boils
from kettleglass.paper.chance import chance_of_free_alkali
from kettleglass.paper.distribution import Distribution
from kettleglass.paper.drawing import Drawing
from kettleglass.paper.gauge import boiling_gauge
from kettleglass.paper.shares import Share, share_bar
from kettleglass.paper.sightglass import Layer, MassUnit, sight_glass
from kettleglass.paper.strip import Part, composition_strip
from kettleglass.paper.svg import Markup
from kettleglass.paper.ternary import Base, ThisPot, ternary_map
from kettleglass.paper.theme import FILLS, Fill
from kettleglass.paper.triangle import Blend
from kettleglass.paper.windows import Window, window_scale
from kettleglass.recipe.doubt import HowSure
from kettleglass.recipe.published import published_bars
from kettleglass.recipe.windows import Judgement
from kettleglass.recipe.work import Worked
from kettleglass.web.view.sentences import quantity_name

WIDE_PX, NARROW_PX = 560.0, 330.0
_BINS = 64
_CLOUD = 80
"""So many random pots are enough for the outline of the doubt on the map."""
_FILL_OF_KIND: dict[str, Fill] = {
    "fat": "soap", "fatty acid": "soap", "alkali": "salt", "amine": "salt", "water": "water", "spirit": "alcohol",
    "polyol": "glycerol", "sugar": "sugar", "acid": "salt", "salt": "salt", "chelator": "salt",
}  # fmt: skip
_FILL_OF_PART: dict[str, Fill] = {
    "soap": "soap", "water": "water", "ethanol": "alcohol", "propan_2_ol": "alcohol", "other_volatiles": "alcohol",
    "glycerol": "glycerol", "propylene_glycol": "glycerol", "sorbitol": "sugar", "other_polyols": "glycerol",
    "sugar": "sugar", "electrolyte": "salt", "triethanolamine": "salt", "free_fat": "soap", "free_acid": "soap",
}  # fmt: skip
_LAYER_NAMES: dict[Fill, str] = {
    "soap": "fats", "salt": "alkali and salts", "water": "water", "sugar": "syrup and sugar", "glycerol": "glycerol",
    "alcohol": "spirit", "other": "the rest",
}  # fmt: skip
_LAYER_ORDER: tuple[Fill, ...] = ("soap", "salt", "water", "sugar", "glycerol", "alcohol", "other")


class Figure:
    """One figure in two widths, each drawn when first asked for; the page shows the one that fits."""

    def __init__(self, draw: Callable[[bool], Drawing]) -> None:
        self._draw = draw

    @cached_property
    def wide(self) -> Drawing:
        """As drawn for a desk, and for paper."""
        return self._draw(False)

    @cached_property
    def narrow(self) -> Drawing:
        """As drawn for a phone."""
        return self._draw(True)


def _px(narrow: bool) -> float:  # noqa: FBT001 - said by the figure itself
    return NARROW_PX if narrow else WIDE_PX


def fill_of_kind(kind: str) -> Fill:
    """The fill that stands for a material of this kind."""
    return _FILL_OF_KIND.get(kind, "other")


def fill_of_part(part: str) -> Fill:
    """The fill that stands for a part of the pot."""
    return _FILL_OF_PART.get(part, "other")


def glass(worked: Worked) -> Figure:
    """The sight glass: what goes into the pot, in the scale of the kettle."""
    masses = dict.fromkeys(FILLS, 0.0)
    for material, mass in zip(worked.sheet.materials, worked.weights.weighed_g, strict=True):
        masses[fill_of_kind(material.kind)] += float(mass)
    layers = [Layer(_LAYER_NAMES[fill], masses[fill], fill) for fill in _LAYER_ORDER if masses[fill] > 0.0]
    total = worked.total_g
    unit: MassUnit = "oz" if worked.recipe.scale.unit == "lb oz" else "g"
    density = total / worked.volume_ml[1] if worked.volume_ml[1] > 0.0 else 1.0
    full = worked.recipe.kettle.volume_ml * density
    return Figure(
        lambda narrow: sight_glass(
            layers, total, capacity_g=full, unit=unit, key="glass-narrow" if narrow else "glass", narrow=narrow
        )
    )


STATES = ("added", "cooked", "finished")


def strip(shown: Preview, state: str) -> Figure:
    """What the pot holds in one of the `STATES`, as one strip."""
    head = f"{state}."
    parts = [
        Part(reading.label, max(0.0, reading.value or 0.0), fill_of_part(key[len(head) :]))
        for key, reading in shown.readings.items()
        if key.startswith(head) and not key.endswith(".percent") and (reading.value or 0.0) > 0.0
    ]
    parts.sort(key=lambda part: _LAYER_ORDER.index(part.fill))
    return Figure(lambda narrow: composition_strip(parts, key=f"strip-{_px(narrow):.0f}", width_px=_px(narrow)))


def distribution_of(sure: HowSure) -> Distribution:
    """The random pots as counts in bins."""
    ordered = sure.samples.copy()
    ordered.sort()
    low, high = float(ordered[0]), float(ordered[-1])
    edges = [low + (high - low) * n / _BINS for n in range(_BINS)] + [high]
    below = [0, *(int(place) for place in ordered.searchsorted(edges[1:-1], side="right")), len(ordered)]
    counts = tuple(float(after - before) for before, after in pairwise(below))
    return Distribution(tuple(edges), counts, sure.low, sure.median, sure.high)


def chance(shown: Preview, sure: HowSure) -> Figure:
    """The chance of free alkali, with the part beyond the limit filled red."""
    pots = distribution_of(sure)
    nominal = shown.readings["pot.free_alkali"].value
    return Figure(
        lambda narrow: chance_of_free_alkali(
            pots, limit_percent=sure.limit_percent, nominal_percent=nominal, chance_fraction=sure.chance_free_alkali,
            key=f"chance-{_px(narrow):.0f}", width_px=_px(narrow),
        )
    )  # fmt: skip


def gauge(boiling: Boiling) -> Figure | None:
    """How near the pot is to boiling where it is held hottest, with what is poured in and the flash point."""
    tight = boiling.tightest
    if tight is None:
        return None
    pot = Boils("this pot", tight.boils.low_c, tight.boils.likely_c, tight.boils.high_c)
    premix, added = boiling.premix, None
    if premix is not None and premix.boils is not None and len(premix.keys) > 1:
        added = Boils("what is poured in", premix.boils.low_c, premix.boils.likely_c, premix.boils.high_c)
    hold = boiling.hold_c or (tight.temperature_c, tight.temperature_c)
    return Figure(
        lambda narrow: boiling_gauge(
            pot, added, hold, tight.flash_c, key=f"gauge-{_px(narrow):.0f}", width_px=_px(narrow)
        )
    )


def share_of(fraction: float, name: str, place: int) -> Markup:
    """The bar of a share (0-1) of something; `place` tells it from others of the page."""
    return share_bar(Share(name, min(1.0, max(0.0, fraction))), key=f"share-{place}", width_px=96.0)


@lru_cache(maxsize=1)
def _published() -> tuple[Base, ...]:
    return tuple(
        Base(base.title, Blend(base.soap_percent, base.water_percent, base.solvents_percent), base.outcome == "clear")
        for base in published_bars()
        if base.outcome in ("clear", "not clear")
    )


def clear_map(shown: Preview) -> Drawing:
    """The published clear and not-clear bases, with this pot, its doubt and its finished base."""
    sure = shown.worked.sure
    columns = sure.cloud.T[:_CLOUD] if sure is not None else ()
    cloud = tuple(Blend(*map(float, column)) for column in columns if float(column.sum()) > 0.0)
    now, later = _blend(shown.charged), _blend(shown.finished)
    dried = later if later is not None and now is not None and later != now else None
    pot = ThisPot(now, cloud, dried, dried_name="finished") if now is not None else None
    return ternary_map(_published(), pot)


def _blend(values: dict[str, float | None]) -> Blend | None:
    soap, water, solvents = (values.get(key) or 0.0 for key in ("soap", "water", "solvents"))
    return Blend(soap, water, solvents) if soap + water + solvents > 0.0 else None


def window_of(judged: Judgement, later: Judgement | None) -> Window:
    """One row of the windows: the first source in black, a second one in grey."""
    scale = 100.0 if judged.window.unit == "fraction" else 1.0
    return Window(
        quantity_name(judged), judged.value * scale, _span(judged, scale), judged.position,
        unit="g/g" if judged.window.unit == "g/g" else "%", decimals=2 if judged.window.unit == "g/g" else 1,
        later=_span(later, scale) if later is not None else None,
    )  # fmt: skip


def _span(judged: Judgement, scale: float) -> tuple[float | None, float | None]:
    low, high = judged.window.low, judged.window.high
    return (None if low is None else low * scale, None if high is None else high * scale)


def scale_of(window: Window, place: int) -> Markup:
    """The little instrument of one window."""
    return window_scale(window, key=f"win-{place}", width_px=170.0)
