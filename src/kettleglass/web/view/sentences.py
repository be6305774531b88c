"""The verdict of each section as a plain sentence. ``[[key]]`` in it is a reading that can be asked."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from kettleglass.cook.preview import Preview
from kettleglass.recipe.leaving import ALCOHOLS
from kettleglass.recipe.readings import chance_text, number_text, water_sources
from kettleglass.recipe.windows import Judgement
from kettleglass.recipe.work import Worked
from kettleglass.science.pot import ROW
from kettleglass.units import OUNCE_G, format_mass

COUNTS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")


def counted(number: int, one: str, many: str = "") -> str:
    """“six steps”, “one step”."""
    word = COUNTS[number] if number < len(COUNTS) else str(number)
    return f"{word} {one if number == 1 else many or one + 's'}"


def listed(words: Sequence[str]) -> str:
    """“water, ethanol and sugar”."""
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}" if words else ""


def shown_name(name: str) -> str:
    """A material's name as it stands on a line: with a capital, without what is in brackets."""
    short = name.partition(" (")[0].strip() or name
    return short[:1].upper() + short[1:]


def becomes(shown: Preview) -> str:
    """What the pot becomes."""
    if shown.worked.total_g <= 0.0:
        return "Nothing is in the pot yet."
    if shown.worked.soap_g <= 0.0:
        return "[[pot.total]] in the pot, and no soap forms: fats and lye make it."
    solvents = shown.charged.get("solvents") or 0.0
    rest = f"; {solvents:.0f} % is alcohol, glycerol and sugar" if solvents >= 0.5 else ""
    return (
        f"[[pot.total]] in the pot, [[cooked.soap.percent]] of it soap and {shown.charged['water']:.0f} % water{rest}."
    )


def sure(shown: Preview) -> str:
    """How sure the alkali is, and whose fault it is."""
    measured = shown.recipe.measured_free_alkali_percent
    if measured is not None:
        return _measured(shown, measured)
    known = shown.worked.sure
    if known is None:
        return "There is nothing to be sure of yet."
    limit = f"{known.limit_percent:g} % of free alkali"
    if shown.worked.soap_g <= 0.0:
        caustic = float(shown.worked.cooked[ROW["hydroxide"]]) > 0.0
        return "This pot is lye without fat." if caustic else "Without soap there is no free alkali to be unsure of."
    if known.chance_free_alkali < 0.01:
        said = f"Fewer than one pot in 100 would keep more than {limit}."
    else:
        one = chance_text(known.chance_free_alkali) == "1"
        said = f"[[sure.chance:in 100 pots]] would keep more than {limit}."
        said = said if not one else f"One pot in 100 would keep more than {limit}."
    return f"{said} {_blamed(shown)}".strip()


def _measured(shown: Preview, measured: float) -> str:
    if measured >= 0.0:
        amount = "measured.acid"
        kind = f"You measured {number_text(measured, 2)} % of free alkali"
        todo = "[[measured.acid]] of {} takes it up."
    else:
        amount = "measured.lye"
        kind = f"You measured {number_text(-measured, 2)} % of free acid (as NaOH)"
        todo = "[[measured.lye]] of {} neutralises it."
    if amount not in shown.readings:
        return f"{kind}."
    return f"{kind}: {todo.format(shown.readings[amount].label.removesuffix(' to cook in'))}"


def _blamed(shown: Preview) -> str:
    known = shown.worked.sure
    if known is None or not known.blames:
        return ""
    first = known.blames[0]
    share = "All" if first.share > 0.95 else "Most" if first.share > 0.5 else "The largest part"
    return f"{share} of the doubt is the {first.label}."


def clear(judgements: Iterable[Judgement]) -> str:
    """How many published windows hold the pot, and which do not; one judgement a quantity."""
    windows = list(judgements)
    if not windows:
        return "No published window fits this way of making a clear base, so only a trial can tell."
    inside = sum(judged.position == "inside" for judged in windows)
    said = "Inside [[clear.inside]] published windows" if inside else "Inside none of the published windows"
    edge, outside = (_named(windows, position) for position in ("edge", "outside"))
    parts = [f"at the edge on {listed(edge)}"] * bool(edge) + [f"outside on {listed(outside)}"] * bool(outside)
    return f"{said}{', ' if parts else ''}{', '.join(parts)}."


def _named(windows: Sequence[Judgement], position: str) -> list[str]:
    """What lies there, at most four by name."""
    names = [in_sentence(quantity_name(judged)) for judged in windows if judged.position == position]
    return names if len(names) <= 4 else [*names[:3], f"{len(names) - 3} more"]


_SHORT = {"solvents_per_soap": "Solvents per soap", "solvents_per_water": "Solvents per water"}


def quantity_name(judged: Judgement) -> str:
    """The quantity of a window as it stands on its line."""
    window = judged.window
    return _SHORT.get(window.quantity, window.label.replace("among the fatty acids", "of the acids"))


def in_sentence(name: str) -> str:
    """The name as it stands within a sentence; chain lengths keep their capital."""
    return name if name[1:2].isdigit() else name[:1].lower() + name[1:]


def hot(shown: Preview) -> str:
    """How near the pot is to boiling, and what leaves it."""
    boiling, readings = shown.hot.boiling, shown.readings
    if boiling.boils is None:
        return boiling.why or "Nothing in this pot evaporates."
    tight = boiling.tightest
    where = f"at {shown.hot.around.said}" if shown.hot.around.said == "sea level" else f"({shown.hot.around.said})"
    if tight is None:
        if "pot.flash" in readings:
            return f"It boils at [[pot.boil]] {where}; the little alcohol in it can catch fire from [[pot.flash]] on."
        little = "hardly any" if shown.worked.percent(*ALCOHOLS) > 0.0 else "no"
        return f"It boils at [[pot.boil]] {where}; there is {little} alcohol in it to burn."
    held = f"{round(tight.temperature_c, 1):g} °C"
    near = (
        f"Held at {held} it boils" if tight.margin_k <= 0.0
        else f"Held at {held} it may boil" if tight.boils.low_c <= tight.temperature_c
        else f"Held at {held} it stays [[pot.margin:°C]] below boiling"
    )  # fmt: skip
    said = f"{near} {where}."
    if tight.margin_k <= 0.0 or any(step.leg.unsaid for step in boiling.steps):
        return f"{said} How much leaves then is set by the heater, and cannot be said."
    if "loss.alcohol.method.percent" in readings:
        said += " These steps lose [[loss.alcohol.method.percent]] of the alcohol"
        said += " ([[loss.alcohol.covered.percent]] with the lid always on, [[loss.alcohol.open.percent]] always off)."
    return said


def water(worked: Worked) -> str:
    """Where the water comes from."""
    rows = water_sources(worked)
    total = sum(grams for _, _, grams in rows)
    if total <= 0.0:
        return "There is no water in it yet."
    of_lye = sum(grams for key, _, grams in rows if worked.recipe.line(key).stage == "lye")
    others = [(name, grams) for key, name, grams in rows if worked.recipe.line(key).stage != "lye" and grams >= 0.5]
    said = "The lye brings [[water.of_lye]] of the [[water.added]] of water"
    if not others:
        return f"{said}: all of it."
    ounces = worked.recipe.scale.unit == "lb oz"
    masses = [format_mass(grams, OUNCE_G / 10.0, "lb_oz") if ounces else f"{grams:.0f} g" for _, grams in others[:3]]
    named = listed([f"{name} {mass}" for (name, _), mass in zip(others[:3], masses, strict=True)])
    why = " That is why the lye is mixed strong." if of_lye < 0.75 * total and worked.recipe.wants_clarity else ""
    return f"{said}; {named}.{why}"


def room(worked: Worked) -> str:
    """How full the kettle gets, and how many moulds it fills."""
    if worked.volume_ml[1] <= 0.0:
        return "Nothing is in the kettle yet."
    kettle, mould = worked.recipe.kettle, worked.recipe.mould
    litres = f"{kettle.volume_ml / 1000:.1f} L"
    which = f"the kettle ({litres})"
    if kettle.inner_diameter_mm is None:
        which = f"a kettle of {kettle.diameter_mm / 10:.0f} cm ({litres}; yours is not measured)"
    said = f"[[pot.volume]], which fills [[kettle.fill]] of {which} at most"
    fills = "; it fills the mould [[mould.fills]]" if mould is not None and mould.total_ml > 0.0 else ""
    return f"{said}{fills}."


def method(shown: Preview) -> str:
    """How long the method is, and that some of it can hurt."""
    if not shown.steps:
        return "Add fats and lye, and the steps appear here."
    own = "Your own" if shown.recipe.method else "The usual"
    return f"{own} {counted(len(shown.steps), 'step')}. Lines with a red bar say what can hurt."
