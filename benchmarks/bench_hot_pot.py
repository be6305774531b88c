"""The hot pot against budgets, the page's own work, and another library's boiling point, in one run.

Run: python benchmarks/bench_hot_pot.py [rounds]. Prints milliseconds (p50, p95) beside each budget, on the medians:
boiling point of one pot 0.5 ms, its loss in 30 minutes 5 ms, 1 000 pots boiled and dried 60 ms, and what the hot pot
adds to the preview of the demo recipe 15 ms. Exit code 1 when one is broken.

Where `thermo` stands beside the environment (`./evidence boiling` puts it there) its full flash (FlashVL, UNIFAC and
Peng-Robinson) boils the same mixture; the ratio and the difference in temperature are printed, and hold no budget.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from importlib import import_module
from pathlib import Path

import numpy as np

ROOT = Path(__file__).resolve().parents[1]
sys.path.append(str(ROOT / "tools"))

from bench_pots import times_ms  # noqa: E402 - after the folder of the tools
from environment import beside_folder  # noqa: E402

from kettleglass.cook.around import around  # noqa: E402
from kettleglass.cook.check import hot_findings  # noqa: E402
from kettleglass.cook.course import course_of  # noqa: E402
from kettleglass.cook.hot import hot_pot  # noqa: E402
from kettleglass.cook.preview import preview  # noqa: E402
from kettleglass.cook.readings import hot_readings  # noqa: E402
from kettleglass.materials.catalogue import load_catalogue  # noqa: E402
from kettleglass.recipe.exchange import read_recipe  # noqa: E402
from kettleglass.recipe.work import work_out  # noqa: E402
from kettleglass.science.basis import Array  # noqa: E402
from kettleglass.science.heat import Liquid, boiling_of, bubble_point, liquid_of  # noqa: E402
from kettleglass.science.heat.evaporation import Opening, evaporate  # noqa: E402
from kettleglass.science.heat.vapour import COMPONENTS  # noqa: E402

DEMO = ROOT / "examples" / "demo-clear-base.toml"
POT = {"soap": 0.26, "ethanol": 0.15, "glycerol": 0.15, "sucrose": 0.15, "water": 0.29}
MIXTURE = {"ethanol": 0.25, "glycerol": 0.25, "water": 0.50}
"""What both libraries boil: no soap or sugar, which the other does not know."""
POT_G, MOUTH, HOLD_C, HOLD_MIN = 4000.0, Opening(0.24, covered=False), 78.0, 30.0
BUDGETS_MS = {
    "bubble point": 0.5, "loss in 30 minutes": 5.0, "1 000 pots, both": 60.0, "hot pot in the preview": 15.0,
}  # fmt: skip
OURS, OTHER = "bubble point of the mixture", "thermo FlashVL, the same"
OFTEN = 10
QUICK = ("bubble point", "by mass fractions, with its band", "loss in 30 minutes", OURS, OTHER)


def of_shares(shares: dict[str, float]) -> tuple[Array, Liquid]:
    """Grams (C,) and the liquid of a pot."""
    whole = liquid_of(shares)
    grams = POT_G * np.array([shares.get(name, 0.0) for name in COMPONENTS])
    return grams, Liquid(POT_G * whole.moles, POT_G * whole.inert_mol)


def many(count: int) -> tuple[Array, Liquid]:
    """Pots (C, N) around the one, every component a little more or less."""
    rng = np.random.default_rng(1)
    grams, liquid = of_shares(POT)
    factors = rng.uniform(0.8, 1.2, (len(COMPONENTS), count))
    inert = float(liquid.inert_mol) * rng.uniform(0.5, 2.0, count)
    return grams[:, None] * factors, Liquid(liquid.moles[:, None] * factors, inert)


def often(act: Callable[[], object]) -> Callable[[], None]:
    """A quick act, `OFTEN` times over; its time is divided again."""

    def acts() -> None:
        for _ in range(OFTEN):
            act()

    return acts


def both(grams: Array, liquid: Liquid) -> None:
    """Boil them and dry them."""
    boiling_of(liquid)
    evaporate(grams, liquid, HOLD_MIN, HOLD_C, MOUTH)


def in_the_preview() -> tuple[Callable[[], object], Callable[[], object]]:
    """What the hot pot does of the preview of the demo recipe, and the whole preview."""
    recipe = read_recipe(DEMO.read_text(encoding="utf-8")).recipe
    assert recipe is not None
    catalogue = load_catalogue()
    air = around(recipe.place)
    worked = work_out(recipe, lambda line: catalogue.get(line.material_id))

    def added() -> None:
        course = course_of(worked.recipe, worked.sheet, worked.weights.weighed_g, air)
        hot = hot_pot(worked, course, air)
        hot_readings(worked, hot)
        hot_findings(worked, hot)

    return added, lambda: preview(recipe, lambda line: catalogue.get(line.material_id))


def theirs() -> Callable[[], float] | None:
    """The other library's boiling point of the mixture in °C, if it is there."""
    sys.path.append(str(beside_folder("evidence")))
    try:
        thermo = import_module("thermo")
    except ImportError:
        return None
    names = ("water", "ethanol", "glycerol")
    constants, known = thermo.ChemicalConstantsPackage.from_IDs(list(names))
    moles = liquid_of(MIXTURE).moles[[COMPONENTS.index(name) for name in names]]
    shares = (moles / moles.sum()).tolist()
    state = {"T": 350.0, "P": 101_325.0, "zs": shares, "HeatCapacityGases": known.HeatCapacityGases}
    groups = [{16: 1}, {1: 1, 2: 1, 14: 1}, {2: 2, 3: 1, 14: 3}]
    liquid = thermo.GibbsExcessLiquid(
        VaporPressures=known.VaporPressures, VolumeLiquids=known.VolumeLiquids, equilibrium_basis="Psat",
        caloric_basis="Psat", GibbsExcessModel=thermo.UNIFAC.from_subgroups(T=350.0, xs=shares, chemgroups=groups),
        **state,
    )  # fmt: skip
    critical = {"Tcs": constants.Tcs, "Pcs": constants.Pcs, "omegas": constants.omegas}
    gas = thermo.CEOSGas(thermo.PRMIX, critical, **state)
    flash = thermo.FlashVL(constants, known, liquid=liquid, gas=gas)
    return lambda: float(flash.flash(P=101_325.0, VF=0.0, zs=shares).T) - 273.15


def main() -> int:
    """Print the times; 1 when a budget is broken."""
    rounds = int(sys.argv[1]) if len(sys.argv) > 1 else 60
    one, thousand, mixture = of_shares(POT), many(1000), liquid_of(MIXTURE)
    added, whole = in_the_preview()
    acts: dict[str, Callable[[], object]] = {
        "bubble point": lambda: boiling_of(one[1]),
        "by mass fractions, with its band": lambda: bubble_point(POT),
        "loss in 30 minutes": lambda: evaporate(*one, HOLD_MIN, HOLD_C, MOUTH),
        "1 000 pots, both": lambda: both(*thousand),
        "hot pot in the preview": added,
        "whole preview": whole,
        OURS: lambda: boiling_of(mixture),
    }
    other = theirs()
    if other is not None:
        acts[OTHER] = other
    times = times_ms({name: often(act) if name in QUICK else act for name, act in acts.items()}, rounds)
    times = {name: values / OFTEN if name in QUICK else values for name, values in times.items()}
    middle = {name: float(np.median(values)) for name, values in times.items()}
    for name, values in times.items():
        budget = f"   at most {BUDGETS_MS[name]:g} ms" if name in BUDGETS_MS else ""
        print(f"{name:33} p50 {middle[name]:7.3f} ms  p95 {np.quantile(values, 0.95):7.3f} ms{budget}")
    print(f"1 000 pots cost {middle['1 000 pots, both'] / (middle['bubble point'] + middle['loss in 30 minutes']):.0f}"
          " times one pot")  # fmt: skip
    print(f"the hot pot is {middle['hot pot in the preview'] / middle['whole preview']:.0%} of the whole preview")
    if other is None:
        print("thermo is not here, so nothing is compared with it: ./evidence boiling sets it up beside .venv")
    else:
        difference_k = float(boiling_of(mixture).temperature_c) - other()
        print(f"{OTHER} takes {middle[OTHER] / middle[OURS]:.0f} times as long;"
              f" ours minus theirs {difference_k:+.2f} K")  # fmt: skip
    broken = [name for name, budget in BUDGETS_MS.items() if middle[name] > budget]
    if broken:
        print(f"over budget: {', '.join(broken)}")
    return 1 if broken else 0


if __name__ == "__main__":
    sys.exit(main())
