"""Times from the command line to an answer, each repeated in a fresh process with a fresh home folder."""

from __future__ import annotations

import os
import signal
import statistics
import subprocess
import sys
import tempfile
import time
import urllib.request
from collections.abc import Callable, Sequence
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
ROUNDS = 9
PAGE_LIMIT_S = 2.0
HELP_LIMIT_CPU_S = 0.3


def report(_seed: int) -> str:
    """A table of seconds: least, median and most of the rounds, beside the limit. Nothing here is random."""
    kettleglass = [sys.executable, "-m", "kettleglass"]
    kinds: dict[str, tuple[Callable[[], float], str]] = {
        "`kettleglass --help`, CPU time": (lambda: cpu_s([*kettleglass, "--help"]), f"{HELP_LIMIT_CPU_S:g}"),
        "`kettleglass --help`": (lambda: wall_s([*kettleglass, "--help"]), ""),
        "`./start` to first page, set up": (lambda: first_page_s(["./start"]), f"{PAGE_LIMIT_S:g}"),
        "`kettleglass app` to first page": (lambda: first_page_s([*kettleglass, "app"]), ""),
    }
    load = f"{os.cpu_count()} cores, load {os.getloadavg()[0]:.1f} before the first round"
    rows = [row(name, [measure() for _ in range(ROUNDS)], limit) for name, (measure, limit) in kinds.items()]
    head = "| What | least s | median s | most s | limit s |\n|---|---|---|---|---|\n"
    return (
        f"{ROUNDS} rounds each, every round in a new process with an empty home; {load}.\n\n" + head + "\n".join(rows)
    )


def row(name: str, times_s: Sequence[float], limit: str) -> str:
    """One line of the table."""
    return f"| {name} | {min(times_s):.2f} | {statistics.median(times_s):.2f} | {max(times_s):.2f} | {limit} |"


def cpu_s(command: Sequence[str]) -> float:
    """CPU time of a command, in seconds, its own children included."""
    before = os.times()
    subprocess.run(command, capture_output=True, check=True)
    after = os.times()
    return after.children_user - before.children_user + after.children_system - before.children_system


def wall_s(command: Sequence[str]) -> float:
    """How long a command takes, in seconds."""
    begun = time.perf_counter()
    subprocess.run(command, capture_output=True, check=True)
    return time.perf_counter() - begun


def first_page_s(command: Sequence[str]) -> float:
    """Seconds from starting the command until the first page has come, whole."""
    with tempfile.TemporaryDirectory() as home:
        surroundings = {**os.environ, "KETTLEGLASS_HOME": home, "PYTHONUNBUFFERED": "1"}
        begun = time.perf_counter()
        with subprocess.Popen(
            [*command, "--no-browser", "--port", "0"], cwd=ROOT, env=surroundings, stdout=subprocess.PIPE, text=True
        ) as serving:
            assert serving.stdout is not None
            address = next(line for line in serving.stdout if "http://" in line).split()[3]
            with urllib.request.urlopen(address, timeout=30) as answer:
                answer.read()
            taken = time.perf_counter() - begun
            serving.send_signal(signal.SIGINT)
        return taken
