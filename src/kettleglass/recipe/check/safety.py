"""What to mind about safety: hot alcohol, methanol, metals, amines."""

from __future__ import annotations

from collections.abc import Iterator

from kettleglass.errors import Finding
from kettleglass.recipe.leaving import ALCOHOLS
from kettleglass.recipe.work import Worked
from kettleglass.science.pot import ROW


def methanol(worked: Worked) -> Iterator[Finding]:
    """Methanol has no place in a pot."""
    grams = worked.grams("methanol")
    if grams > 1e-6 * max(worked.total_g, 1.0):
        yield Finding(
            "danger",
            "methanol",
            f"There is methanol in this pot ({grams:.1f} g).",
            "Do not cook it: its vapour blinds, and it passes through skin. Use an alcohol whose sheet shows none.",
            "clear",
            "27 CFR 21.151; supplier safety data sheets (H301, H311, H331, H370)",
        )


def unsuitable_spirit(worked: Worked) -> Iterator[Finding]:
    """Spirits that are fuel or solvent, not soap-maker's alcohol."""
    for line, material in worked.lines_with("unsuitable"):
        yield Finding(
            "danger",
            "unsuitable-spirit",
            f"{material.name} is not fit for soap.",
            material.note or "Use a spirit whose data sheet names every component.",
            line.key,
        )


def hot_alcohol(worked: Worked) -> Iterator[Finding]:
    """The usual caution, once, wherever alcohol is warmed."""
    if worked.percent(*ALCOHOLS) > 0.5:
        advice = "Add it with the heat off, no flame or spark within a metre, and cover."
        if worked.grams_added("clear", "glycerol") > 0.0:
            advice = "Stir the spirit into the glycerol first; heat off while adding, no flame or spark within a metre."
        yield Finding(
            "caution",
            "hot-alcohol",
            "Hot alcohol: its vapour catches fire far below the temperature of the pot.",
            advice,
            "clear",
            "ethanol flash point 12 °C, IEC 60079-20-1",
        )


def aluminium(worked: Worked) -> Iterator[Finding]:
    """Lye in an aluminium kettle."""
    if worked.recipe.kettle.metal == "aluminium" and float(worked.added[ROW["hydroxide"]]) > 0.0:
        yield Finding(
            "danger",
            "aluminium",
            "The kettle is aluminium: lye dissolves it and gives off hydrogen.",
            "Use stainless steel, sound enamel, glass or polypropylene.",
            "kettle",
            "supplier safety data sheets, NaOH (H290)",
        )


def nitrosating(worked: Worked) -> Iterator[Finding]:
    """Triethanolamine beside something that can make nitrosamines of it."""
    culprits = worked.lines_with("nitrosating")
    if culprits and worked.grams("triethanolamine", "triethanolammonium") > 0.0:
        names = ", ".join(material.name for _, material in culprits)
        yield Finding(
            "danger",
            "nitrosating",
            f"Triethanolamine and {names} in one pot can form nitrosamines.",
            "Leave one of them out.",
            culprits[0][0].key,
            "Regulation (EC) 1223/2009 Annex III 62",
        )


def kettle_room(worked: Worked) -> Iterator[Finding]:
    """Whether foam has room in the kettle."""
    kettle, high = worked.recipe.kettle, worked.volume_ml[2]
    free = 1.0 - high / kettle.volume_ml
    if high > 0.0 and free < kettle.head_room - 1e-3:
        yield Finding(
            "danger" if free < 0.1 else "caution",
            "kettle-full",
            f"The pot fills {_filled(high / kettle.volume_ml)}; the paste foams and can boil over.",
            f"Keep {100 * kettle.head_room:.0f} % free: a bigger kettle, or a smaller batch.",
            "kettle",
            "common practice, no source",
        )


def _filled(share: float) -> str:
    return f"{100 * share:.0f} % of the kettle" if share < 2.0 else f"{share:.0f} kettles of this size"


def scent(worked: Worked) -> Iterator[Finding]:
    """A fragrance above the limit its supplier or the catalogue states."""
    for line, material, mass in worked.in_use:
        limit = material.figures.get("use_limit_percent")
        if limit is None:
            continue
        percent = 100.0 * mass / worked.total_g
        if percent > limit.value:
            yield Finding(
                "danger",
                "above-use-limit",
                f"{material.name} is {percent:.2g} % of the pot, above its limit of {limit.value:g} %.",
                f"Use {limit.value / 100 * worked.total_g:.3g} g at most.",
                line.key,
                limit.source,
            )
