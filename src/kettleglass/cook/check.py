"""What to mind about the hot pot: boiling, losses, air, and what was not said."""

from __future__ import annotations

import math
from collections.abc import Iterator

from kettleglass.cook.adding import leg_of
from kettleglass.cook.boil import HotStep
from kettleglass.cook.course import HIGH, LOW
from kettleglass.cook.hot import HotPot
from kettleglass.errors import Finding
from kettleglass.recipe.leaving import ALCOHOLS
from kettleglass.recipe.work import Worked

NARROW_K = 3.0
"""Margin to boiling, in K, that the usual kitchen thermometer and a hot pan bottom use up (common practice)."""
MUCH_LOST = 0.15
"""Share of the alcohol whose loss is worth a remark."""


def hot_findings(worked: Worked, hot: HotPot) -> Iterator[Finding]:
    """Every remark on the hot pot, in no order."""
    for check in (_model, _boils, _premix, _lost, _room, _unknown):
        yield from check(worked, hot)
    if hot.lye is not None:
        yield from hot.lye.findings


def _model(worked: Worked, hot: HotPot) -> Iterator[Finding]:
    if hot.boiling.why and worked.percent(*ALCOHOLS) > 0.5:
        yield Finding(
            "caution", "boiling-unknown", f"Where this pot boils cannot be said. {hot.boiling.why}",
            "Its vapour still burns: keep every source of fire a metre away, and warm it in a water bath.", "clear",
        )  # fmt: skip


def _boils(_: Worked, hot: HotPot) -> Iterator[Finding]:
    tight = hot.boiling.tightest
    if tight is None:
        return
    where = f"at {tight.temperature_c:g} °C, {hot.around.said}"
    band = f"{tight.boils.likely_c:.0f} °C, {tight.boils.low_c:.0f} to {tight.boils.high_c:.0f}"
    if tight.margin_k <= 0.0:
        yield Finding(
            "danger", "pot-boils", f"The pot boils {where} (bubble point {band}): alcohol pours into the room.",
            f"Hold it below {math.floor(tight.boils.low_c - NARROW_K)} °C at the step “{_short(tight)}”.", "method",
        )  # fmt: skip
    elif tight.boils.low_c - tight.temperature_c < NARROW_K:
        yield Finding(
            "caution", "pot-near-boiling", f"Held {where}, the pot is {margin_text(tight.margin_k)} ({band}).",
            f"Hold it at {math.floor(tight.boils.low_c - NARROW_K)} °C at most, and no hot spot under it: a water"
            " bath.", "method",
        )  # fmt: skip


def margin_text(margin_k: float) -> str:
    """How far below boiling, in words that never say zero of what is not; whether it boils, for 0 and less."""
    if margin_k <= 0.0:
        return "boiling"
    return f"{margin_k:.0f} °C below boiling" if margin_k >= 1.0 else "less than 1 °C below boiling"


def _short(step: HotStep) -> str:
    text = step.leg.step.text
    return text if len(text) <= 60 else f"{text[:57].rstrip()}…"


def _premix(_: Worked, hot: HotPot) -> Iterator[Finding]:
    premix = hot.boiling.premix
    if premix is None or premix.boils is None:
        return
    leg = leg_of(hot.course, premix)
    step = next((step for step in hot.boiling.steps if step.leg is leg), None)
    if step is not None and premix.boils.low_c <= step.temperature_c:
        does = "boils" if premix.boils.likely_c <= step.temperature_c else "may boil"
        yield Finding(
            "danger" if premix.boils.high_c <= step.temperature_c else "caution", "premix-boils",
            f"What is poured in boils at {premix.boils.likely_c:.1f} °C ({premix.boils.low_c:.1f} to"
            f" {premix.boils.high_c:.1f}), and the pot is at {step.temperature_c:g} °C: it {does} where it lands.",
            f"Let the pot fall below {math.floor(premix.boils.low_c - NARROW_K)} °C first, mix the glycerol into the"
            " spirit, pour slowly, heat off.", "clear", "ethanol boils at 78.2 °C (CRC Handbook)",
        )  # fmt: skip


def _lost(worked: Worked, hot: HotPot) -> Iterator[Finding]:
    course = hot.course
    if worked.percent(*ALCOHOLS) <= 0.5:
        return
    share, stated = course.share_lost(*ALCOHOLS), worked.recipe.losses.alcohol
    low, high = (course.share_lost(*ALCOHOLS, rate=rate) for rate in (LOW, HIGH))
    if stated is not None and not low <= stated <= high:
        yield Finding(
            "caution" if stated < low else "note", "loss-differs",
            f"The recipe counts with {100 * stated:.0f} % of the alcohol lost; by these steps {100 * low:.0f} to"
            f" {100 * high:.0f} % leaves.",
            "Weigh the kettle to see which, or leave the field empty: then the steps are reckoned.", "losses",
        )  # fmt: skip
    elif share > MUCH_LOST:
        spared = share - course.share_lost(*ALCOHOLS, way="covered")
        yield Finding(
            "caution", "alcohol-lost", f"About {100 * share:.0f} % of the alcohol leaves during these steps.",
            (f"A lid all the time would keep {100 * spared:.0f} % of the alcohol in. " if spared >= 0.005 else "")
            + "Stir through a gap, keep the open minutes few, or weigh the kettle and add back what left.", "method",
        )  # fmt: skip


def _room(_: Worked, hot: HotPot) -> Iterator[Finding]:
    air = hot.air
    if air is not None and air.share_of_lel is not None and air.share_of_lel > 0.1:
        yield Finding(
            "danger" if air.share_of_lel > 0.25 else "caution", "room-air",
            f"With the lid off, half an hour fills the room to {100 * air.share_of_lel:.0f} % of the lower explosive"
            " limit on average; near the pot it is more.",
            f"Draw at least {air.lel_10_m3_h:.0f} m3/h of fresh air through it, or keep the pot covered.", "place",
            "WAC 296-835-11010; NIOSH IDLH (10 % of the limit)",
        )  # fmt: skip


def _unknown(worked: Worked, hot: HotPot) -> Iterator[Finding]:
    if worked.percent(*ALCOHOLS) <= 0.5:
        return
    if worked.recipe.kettle.inner_diameter_mm is None:
        yield Finding(
            "note", "kettle-unmeasured",
            "The kettle's diameter is not given, so the loss spans kettles from 16 to 30 cm.",
            "Measure it across the inside: what leaves goes with its square.", "kettle",
        )  # fmt: skip
    for leg in hot.course.legs:
        if leg.unsaid:
            yield Finding(
                "caution", "loss-unsaid",
                f"What leaves at {leg.step.temperature_c:g} °C in the step “{leg.step.text[:60]}” cannot be said.",
                f"{leg.unsaid} Nothing is counted for it; weigh the kettle before and after.", "method",
            )  # fmt: skip
    assumed = sum(bool(leg.assumed) for leg in hot.course.legs if leg.step.text)
    if worked.recipe.method and assumed:
        yield Finding(
            "note", "steps-unsaid", f"{_steps(assumed)} not say how hot or how long; the usual was taken.",
            "Give each step its temperature and time.", "method",
        )  # fmt: skip


def _steps(count: int) -> str:
    return "One of your steps does" if count == 1 else f"{count} of your steps do"
