"""How long each figure of the recipe page takes to write, and how many characters it is.

Run: python benchmarks/bench_figures.py [rounds]. Prints milliseconds (p50, p95). Budget: 1 ms each at the median.
"""

from __future__ import annotations

import random
import statistics
import sys
import time
from collections.abc import Callable

from kettleglass.paper import (
    Base,
    Blend,
    Distribution,
    Drawing,
    Layer,
    Part,
    Share,
    ThisPot,
    Window,
    chance_of_free_alkali,
    composition_strip,
    shares_of_doubt,
    sight_glass,
    ternary_map,
    window_rows,
)

BUDGET_MS = 1.0


def figures() -> dict[str, Callable[[], Drawing]]:
    """The six figures of the recipe page with invented figures of the usual size."""
    rng = random.Random(1)
    layers = [Layer("Fats", 400, "soap"), Layer("Lye", 160, "water"), Layer("Spirit", 150, "alcohol")]
    parts = [Part("Soap", 422, "soap"), Part("Sugar", 110, "sugar"), Part("Glycerol", 94, "glycerol"),
             Part("Ethanol", 139, "alcohol"), Part("Water", 170, "water"), Part("Free fat", 1, "other")]  # fmt: skip
    pots = Distribution.of(rng.gauss(0, 0.1) for _ in range(10_000))
    windows = [Window(f"Quantity {n}", 10.0 + n, (9, 14), "inside", "%", later=(5, 12)) for n in range(7)]
    bases = [Base(f"Base {n}", Blend(rng.uniform(20, 80), rng.uniform(10, 30), rng.uniform(1, 50)), clear=n % 2 == 0)
             for n in range(24)]  # fmt: skip
    cloud = tuple(Blend(45 + rng.gauss(0, 1), 18 + rng.gauss(0, 1), 37 + rng.gauss(0, 1)) for _ in range(200))
    pot = ThisPot(Blend(45, 18, 37), cloud, Blend(55, 12, 33))
    shares = [Share("Coconut", 0.58), Share("Flakes", 0.32), Share("The rest", 0.1)]
    return {
        "sight glass": lambda: sight_glass(layers, 710), "strip": lambda: composition_strip(parts),
        "chance": lambda: chance_of_free_alkali(pots, limit_percent=0.05, nominal_percent=0.0),
        "windows": lambda: window_rows(windows), "map": lambda: ternary_map(bases, pot),
        "shares": lambda: shares_of_doubt(shares),
    }  # fmt: skip


def measured_ms(draw: Callable[[], Drawing], rounds: int) -> list[float]:
    """Milliseconds of each round, in rising order."""
    times = []
    for _ in range(rounds):
        begun = time.perf_counter()
        draw()
        times.append((time.perf_counter() - begun) * 1e3)
    return sorted(times)


def main() -> None:
    """Print one line a figure, and leave with 1 when a median is over the budget."""
    rounds = int(sys.argv[1]) if len(sys.argv) > 1 else 400
    slow = []
    for name, draw in figures().items():
        times = measured_ms(draw, rounds)
        middle = statistics.median(times)
        late = times[int(rounds * 0.95)]
        print(f"{name:12} p50 {middle:5.2f} ms  p95 {late:5.2f} ms  {len(draw().svg):6} characters")
        if middle > BUDGET_MS:
            slow.append(name)
    if slow:
        sys.exit(f"Over {BUDGET_MS} ms: {', '.join(slow)}.")


if __name__ == "__main__":
    main()
