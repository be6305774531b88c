"""Loading the catalogue and searching it, against reading the same tables with nothing built from them, in one run.

Run: python benchmarks/bench_catalogue.py [rounds]. Budgets: loading 100 ms, a search 5 ms.
"""

from __future__ import annotations

import csv
import statistics
import sys
import time
from collections.abc import Callable
from importlib.resources import files

from kettleglass.materials.catalogue import load_catalogue
from kettleglass.materials.goods import fat_material

SEARCHES = ("coconut", "cocunut oil", "hydroxyde de sodium", "a slip of the pen in eight wrods")


def bare() -> int:
    """Every table read with the csv module alone; the number of rows."""
    folder = files("kettleglass.materials").joinpath("data")
    tables = (entry for entry in folder.iterdir() if entry.name.endswith(".csv"))
    return sum(len(list(csv.reader(table.read_text(encoding="utf-8").splitlines()))) for table in tables)


def median_ms(act: Callable[[], object], rounds: int) -> float:
    """The median time of an act, in ms."""
    times = []
    for _ in range(rounds):
        start = time.perf_counter()
        act()
        times.append(1000 * (time.perf_counter() - start))
    return statistics.median(times)


def first_load_ms() -> float:
    """The first load of this process, in ms; later ones are remembered."""
    start = time.perf_counter()
    load_catalogue()
    return 1000 * (time.perf_counter() - start)


def main() -> None:
    """Loading once, searching often, building one fat."""
    rounds = int(sys.argv[1]) if len(sys.argv) > 1 else 30
    loaded, tables = first_load_ms(), median_ms(bare, rounds)
    print(f"load {loaded:.1f} ms = {loaded / tables:.1f} x tables read bare ({tables:.1f} ms)")
    catalogue = load_catalogue()
    for text in SEARCHES:
        found = median_ms(lambda text=text: catalogue.find(text), rounds)  # type: ignore[misc]
        print(f"search {found:.2f} ms = {found / tables:.2f} x tables read bare  “{text}”")
    print(f"one fat {median_ms(lambda: fat_material('coconut'), rounds):.3f} ms (remembered)")


if __name__ == "__main__":
    main()
