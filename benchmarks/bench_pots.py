"""Random pots of a 12-line recipe against the same draws and the same charge matrix in bare numpy, in one run.

Run: python benchmarks/bench_pots.py [rounds]. Prints milliseconds (p50, p95), the ratio of the medians, and the
peak memory of 100 000 pots in a process of their own. Budgets: 10 000 pots 40 ms p95 and 3 times bare numpy;
100 000 pots 0.3 s and 300 MB.
"""

from __future__ import annotations

import resource
import subprocess
import sys
import time
from collections.abc import Callable
from dataclasses import replace

import numpy as np

from kettleglass.materials.catalogue import load_catalogue
from kettleglass.recipe.doubt import draws, how_sure, weighing_errors
from kettleglass.recipe.recipe import SOLVE, Amount, Certainty, Line, Recipe, WeighingScale
from kettleglass.recipe.sheet import Sheet, charge_sheet
from kettleglass.recipe.weigh import Weights, weigh

LINES = (
    Line("coconut", "coconut", Amount(180), "fats"),
    Line("palm", "palm", Amount(60), "fats"),
    Line("stearic", "stearic_acid_triple_pressed", Amount(110), "fats"),
    Line("castor", "castor", Amount(50), "fats"),
    Line("soda", "sodium_hydroxide_flakes", SOLVE, "lye", share=0.8),
    Line("potash", "potassium_hydroxide_flakes", SOLVE, "lye", share=0.2),
    Line("water", "water", SOLVE, "lye"),
    Line("spirit", "ethanol_95_vol", Amount(150), "clear"),
    Line("glycerol", "glycerol", Amount(60), "clear"),
    Line("glycol", "propylene_glycol", Amount(20), "clear"),
    Line("syrup", "syrup_2_1", Amount(160), "syrup"),
    Line("lactate", "sodium_lactate_60", Amount(5), "finish"),
)


def prepared(count: int) -> tuple[Recipe, Sheet, Weights]:
    """The recipe with `count` draws, ready for its random pots."""
    catalogue = load_catalogue()
    recipe = Recipe("benchmark", LINES, scale=WeighingScale(1.0, 0.1), certainty=Certainty(draws=count))
    sheet = charge_sheet(recipe, lambda line: catalogue.get(line.material_id))
    return recipe, sheet, weigh(recipe, sheet)


def bare(recipe: Recipe, sheet: Sheet, weights: Weights) -> float:
    """The same draws and the same charge matrix, one product a chunk, no reaction and no reading but the total."""
    z = draws(recipe.certainty, sheet)
    errors = weighing_errors(recipe.certainty, sheet, weights.weighed_g, weights.steps_g)
    masses = weights.weighed_g[:, None] + errors
    matrix = np.hstack([sheet.compositions, sheet.directions])
    total = 0.0
    for start in range(0, recipe.certainty.draws, 4096):
        here = slice(start, start + 4096)
        pot = matrix @ np.vstack([masses[:, here], z[:, here] * masses[sheet.owner, here]])
        total += float(pot.sum())
    return total


def times_ms(acts: dict[str, Callable[[], object]], rounds: int) -> dict[str, np.ndarray]:
    """Each act in turn, `rounds` times after one warm-up, in ms."""
    out: dict[str, list[float]] = {name: [] for name in acts}
    for turn in range(rounds + 1):
        for name, act in acts.items():
            start = time.perf_counter()
            act()
            if turn:
                out[name].append(1000 * (time.perf_counter() - start))
    return {name: np.array(values) for name, values in out.items()}


def report(count: int, rounds: int) -> None:
    """Print one line for this number of pots."""
    recipe, sheet, weights = prepared(count)
    times = times_ms(
        {
            "pots": lambda: how_sure(recipe, sheet, weights.weighed_g, weights.steps_g),
            "bare": lambda: bare(recipe, sheet, weights),
        },
        rounds,
    )
    for name, values in times.items():
        print(f"{count:7d} {name:5s} p50 {np.median(values):7.1f} ms  p95 {np.quantile(values, 0.95):7.1f} ms")
    print(f"{count:7d} ratio of medians {np.median(times['pots']) / np.median(times['bare']):.2f}")


def peak_mb() -> float:
    """Peak memory of 100 000 pots, in MB, of this process."""
    recipe, sheet, weights = prepared(100_000)
    how_sure(replace(recipe), sheet, weights.weighed_g, weights.steps_g)
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def main() -> None:
    """Both sizes, then the memory in a fresh process."""
    if sys.argv[1:] == ["--peak"]:
        print(f"{peak_mb():.0f}")
        return
    rounds = int(sys.argv[1]) if len(sys.argv) > 1 else 30
    report(10_000, rounds)
    report(100_000, max(5, rounds // 4))
    peak = subprocess.run([sys.executable, __file__, "--peak"], check=True, capture_output=True, text=True).stdout
    print(f" 100000 peak memory {peak.strip()} MB, whole process")


if __name__ == "__main__":
    main()
