"""Readings of what to weigh: every line's grams with the working behind them."""

from __future__ import annotations

from collections.abc import Iterator

from kettleglass.materials import Material
from kettleglass.materials.figure import Known
from kettleglass.materials.words import figure_label
from kettleglass.recipe.alkali import OH_G_MOL, fat_equivalents_mol, pure_alkali_g
from kettleglass.recipe.lyewater import saponification_value_for_both
from kettleglass.recipe.readings.reading import Pair, Reading, least_known, number_text
from kettleglass.recipe.recipe import Line
from kettleglass.recipe.work import Worked
from kettleglass.science.pot import MOL_PER_G, ROW
from kettleglass.science.saponify import KOH_G_MOL, NAOH_G_MOL


def step_decimals(step_g: float) -> int:
    """Decimals that a scale of this step shows."""
    for decimals in range(5):
        if abs(step_g * 10**decimals - round(step_g * 10**decimals)) < 1e-9:
            return decimals
    return 4


def weights(worked: Worked) -> Iterator[Reading]:
    """One reading a line, key ``weigh.<line key>``, in g."""
    for row, (line, material) in enumerate(zip(worked.sheet.lines, worked.sheet.materials, strict=True)):
        exact, shown = float(worked.weights.exact_g[row]), float(worked.weights.weighed_g[row])
        step = float(worked.weights.steps_g[row])
        if line.amount.by == "solve" and worked.sheet.species("hydroxide")[row] > 0.0:
            working, inputs, sources, known = _alkali_working(worked, row, exact)
        elif line.amount.by == "solve":
            working, inputs, sources, known = _water_working(worked, exact)
        else:
            working, inputs, sources, known = _plain_working(worked, line, material, exact)
        down = "down " if line.amount.by == "solve" and worked.sheet.species("hydroxide")[row] > 0.0 else ""
        if abs(exact - shown) > 1e-6:
            working += f" Rounded {down}to the scale's step of {step:g} g: {number_text(shown, step_decimals(step))} g."
        yield Reading(
            f"weigh.{line.key}",
            material.name,
            shown,
            "g",
            working,
            inputs=inputs,
            sources=sources,
            known=known,
            decimals=step_decimals(step),
        )


Working = tuple[str, tuple[Pair, ...], tuple[str, ...], Known]


def fat_inputs(worked: Worked) -> Working:
    """The saponification values that an alkali weight rests on."""
    pairs, sources, known = [], [], []
    for _, material, _ in worked.in_use:
        figure = material.figures.get("saponification_value")
        if figure is not None:
            pairs.append(
                (material.name, f"{figure.value:g} mg KOH/g ({figure.low:g} to {figure.high:g}, {figure.known})")
            )
            sources.append(figure.source)
            known.append(figure.known)
    return "", tuple(pairs), tuple(dict.fromkeys(sources)), least_known(known)


def _alkali_working(worked: Worked, row: int, exact: float) -> Working:
    sheet, material = worked.sheet, worked.sheet.materials[row]
    masses = worked.weights.exact_g
    _, pairs, sources, known = fat_inputs(worked)
    potash = sheet.species("potassium")[row] > sheet.species("sodium")[row]
    name, molar = ("KOH", KOH_G_MOL) if potash else ("NaOH", NAOH_G_MOL)
    equivalents = fat_equivalents_mol(sheet, masses)
    as_koh = equivalents * KOH_G_MOL
    pure = float(sheet.species("hydroxide")[row]) * molar / OH_G_MOL
    superfat = worked.recipe.alkali.superfat_percent
    as_other = "" if potash else f", which is {equivalents * molar:.2f} g {name}"
    text = f"The fats take up {as_koh:.3f} g as KOH{as_other}."
    if superfat:
        text += f" {abs(superfat):g} % {'less' if superfat > 0 else 'more'} for a superfat of {superfat:g} %."
    acids = sum(float(sheet.species(s) @ masses) * n * molar / m for s, n, m in _ACIDS)
    if acids > 0.005:
        text += f" Citric and lactic acid take {acids:.2f} g more."
    others = float(sheet.species("hydroxide") @ masses) / OH_G_MOL * molar - exact * pure
    if abs(others) > 0.005:
        text += f" {others:.2f} g of it, as {name}, comes from other lines."
    amine = float(sheet.species("triethanolamine") @ masses)
    if amine > 0.0:
        text += " Triethanolamine takes up what acid is added after the paste."
    text += f" {material.name} holds {100 * pure:.1f} % {name}: {exact * pure:.2f} ÷ {pure:.3f} = {exact:.2f} g."
    purity = material.figures.get("purity")
    if purity is not None:
        pairs += (
            (
                material.name,
                f"{100 * purity.value:g} % ({100 * purity.low:g} to {100 * purity.high:g} %, {purity.known})",
            ),
        )
        sources += (purity.source,)
    return text, pairs, tuple(dict.fromkeys(sources)), known


_ACIDS = (("citric_acid", 3, 1 / MOL_PER_G["citric_acid"]), ("lactic_acid", 1, 1 / MOL_PER_G["lactic_acid"]))


def _water_working(worked: Worked, exact: float) -> Working:
    water, solved = worked.recipe.alkali.water, worked.weights.solved
    pure = solved.pure_alkali_g * worked.weights.factor
    total = solved.lye_water_g * worked.weights.factor
    said = {
        "ratio": f"{water.value:g} parts of water to 1 part of alkali: {water.value:g} × {pure:.2f} g = {total:.1f} g.",
        "strength": f"A lye of {100 * water.value:g} %: {pure:.2f} g ÷ {water.value:g} − {pure:.2f} g = {total:.1f} g.",
        "of fats": f"{100 * water.value:g} % of the fats is {total:.1f} g.",
        "mass": f"{total:.1f} g as asked.",
    }[water.by]
    own = total - exact
    if own > 0.05:
        said += f" The alkali itself brings {own:.1f} g of water, so {exact:.1f} g is left to add."
    return said, (("pure alkali", f"{pure:.2f} g"),), ("common practice, no source",), "derived"


def _plain_working(worked: Worked, line: Line, material: Material, exact: float) -> Working:
    amount, factor = line.amount, worked.weights.factor
    fats = worked.weights.fats_g
    if amount.by == "g":
        text = f"{amount.value:g} g as typed."
    elif amount.by == "mL":
        density = material.density_g_ml.value if material.density_g_ml else 0.0
        text = f"{amount.value:g} mL × {density:g} g/mL = {amount.value * density:.1f} g."
    elif amount.by == "% of fats":
        text = f"{amount.value:g} % of {fats:.0f} g fats = {exact:.1f} g."
    elif amount.by == "% of whole":
        text = f"{amount.value:g} % of {float(worked.weights.exact_g.sum()):.0f} g in all = {exact:.1f} g."
    else:
        text = f"{amount.value:g} % of {worked.soap_g:.0f} g anhydrous soap = {exact:.1f} g."
    if abs(factor - 1.0) > 1e-9 and amount.by in ("g", "mL"):
        text += f" Times {factor:.4g} for the batch size: {exact:.1f} g."
    figures = [(name, figure) for name, figure in material.figures.items() if figure.unit]
    pairs = tuple(
        (figure_label(name), f"{figure.value:g} {figure.unit} ({figure.known})") for name, figure in figures[:4]
    )
    sources = tuple(dict.fromkeys(figure.source for _, figure in figures[:4]))
    return text, pairs, sources, "maker"


def _which_wins(worked: Worked) -> str:
    """For lye water as a share of the fats: the ratio follows from it, and what fats would give the usual ratio."""
    water = worked.recipe.alkali.water
    if water.by != "of fats" or water.value <= 0.0:
        return ""
    needed = saponification_value_for_both(USUAL_RATIO, water.value)
    return (
        f" The {100 * water.value:g} % of the fats that you typed wins; 1:{USUAL_RATIO:g} as well would need fats of"
        f" saponification value {needed:.1f}."
    )


USUAL_RATIO = 1.4
"""Water to alkali for a clear base (common practice, no source)."""


def lye_readings(worked: Worked) -> Iterator[Reading]:
    """The lye said in every way: alkali, water by source, ratio, strength, % of fats, superfat."""
    sheet, masses = worked.sheet, worked.weights.weighed_g
    rows = [r for r, line in enumerate(sheet.lines) if line.stage == "lye"]
    pure = pure_alkali_g(sheet, masses)
    water = float(sum(sheet.compositions[ROW["water"], r] * masses[r] for r in rows))
    fats = worked.weights.fats_g
    yield Reading(
        "lye.alkali",
        "pure alkali",
        pure,
        "g",
        "NaOH and KOH in the lye, without their water and carbonate.",
        decimals=2,
    )
    yield Reading(
        "lye.water", "water in the lye", water, "g", "Water poured in, and the water the alkali itself brings."
    )
    if pure > 0.0:
        yield Reading(
            "lye.ratio",
            "water to alkali",
            water / pure,
            ": 1",
            f"{water:.1f} g ÷ {pure:.2f} g of pure alkali.{_which_wins(worked)}",
            decimals=2,
        )
        yield Reading(
            "lye.strength",
            "lye strength",
            100 * pure / (pure + water),
            "%",
            f"{pure:.2f} ÷ ({pure:.2f} + {water:.1f}) g.",
        )
    if fats > 0.0:
        yield Reading(
            "lye.of_fats", "lye water", 100 * water / fats, "% of fats", f"{water:.1f} g on {fats:.0f} g of fats."
        )
        yield Reading(
            "fats", "fats", fats, "g", "Everything in the pot that is fat or fatty acid at the start.", decimals=0
        )
    yield Reading(
        "superfat",
        "superfat as weighed",
        worked.weights.superfat_percent,
        "%",
        "Share of the fats' equivalents left unsaponified by the rounded weights; asked for:"
        f" {worked.recipe.alkali.superfat_percent:g} %.",
        decimals=2,
    )
