"""One drying forecast beside a plain exponential fitted by least squares in bare numpy, in one run.

Run: python benchmarks/bench_drying.py [rounds]. Prints milliseconds (p50, p95) and the ratio to the baseline for 6, 12
and 40 weighings. Budget: 200 ms p95 for all that the command says of one log (search for a lost piece, forecast today
and at the weighing before, readiness, words).
"""

from __future__ import annotations

import sys
from collections.abc import Callable

import numpy as np
from bench_pots import times_ms

from kettleglass.batch.drying import drying_forecast
from kettleglass.batch.weights import Weighing, WeightLog
from kettleglass.science.basis import Array
from kettleglass.science.draws import stream
from kettleglass.science.drying.forecast import Scale, forecast
from kettleglass.science.drying.laws import page
from kettleglass.science.drying.lost_piece import lost_piece

BUDGET_MS = 200.0
COUNTS = (6, 12, 40)
GRID: Array = np.geomspace(1.5, 200.0, 56)


def series(count: int) -> tuple[Array, Array]:
    """An invented bar of 100 g that loses 12 g, weighed every third day on a scale of 0.1 g."""
    days = 3.0 * np.arange(count)
    noise = 0.1 * stream(1, "benchmark").standard_normal(count)
    return days, np.round(100.0 - 12.0 * (1.0 - page(days, 9.0, 0.8)) + noise, 1)


def plain(days: Array, weights: Array) -> float:
    """The plateau of W0 - A (1 - exp(-t/tau)) by least squares: tau on a grid, then closer in; no doubt, no rules."""

    def fitted(tau: float) -> tuple[float, Array]:
        columns = np.stack([np.ones_like(days), np.exp(-days / tau)], axis=1)
        found, *_ = np.linalg.lstsq(columns, weights, rcond=None)
        return float(((weights - columns @ found) ** 2).sum()), found

    best = GRID[int(np.argmin([fitted(tau)[0] for tau in GRID]))]
    width = 0.1
    for _ in range(12):
        best = min((best * (1.0 - width), best, best * (1.0 + width)), key=lambda tau: fitted(tau)[0])
        width *= 0.6
    return float(fitted(best)[1][0])


def main() -> int:
    """Print the times; 1 when the budget is broken."""
    rounds = int(sys.argv[1]) if len(sys.argv) > 1 else 30
    broken = False
    for count in COUNTS:
        days, weights = series(count)
        log = WeightLog(tuple(map(Weighing, days.tolist(), weights.tolist())), 0.1)
        acts: dict[str, Callable[[], object]] = {
            "plain exponential": lambda d=days, w=weights: plain(d, w),
            "forecast": lambda d=days, w=weights: forecast(d, w, Scale(0.1)),
            "lost piece": lambda d=days, w=weights: lost_piece(d, w, Scale(0.1)),
            "all that is said": lambda one=log: drying_forecast(one),
        }
        times = times_ms(acts, rounds)
        base = float(np.median(times["plain exponential"]))
        for name, values in times.items():
            middle = float(np.median(values))
            print(f"{count:3d} weighings  {name:18s} p50 {middle:7.2f} ms  p95 {np.quantile(values, 0.95):7.2f} ms"
                  f"  {middle / base:5.1f} times the plain fit")  # fmt: skip
        broken |= float(np.quantile(times["all that is said"], 0.95)) > BUDGET_MS
    if broken:
        print(f"over budget: {BUDGET_MS:g} ms")
    return int(broken)


if __name__ == "__main__":
    sys.exit(main())
