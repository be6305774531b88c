"""Runs a long proof and writes down what it found: ./evidence NAME [--seed N] writes docs/evidence/NAME.md.

A proof is a module beside this file with `report(seed: int) -> str`, which returns Markdown, and one row of
`PROOFS`. It must find the same with the same seed and commit, times apart.
"""

from __future__ import annotations

import argparse
import platform
import subprocess
import sys
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from importlib import import_module
from pathlib import Path
from types import MappingProxyType

ROOT = Path(__file__).resolve().parents[2]
sys.path.append(str(ROOT / "tools"))

import environment  # noqa: E402 - beside this folder, not in it

WRITTEN = ROOT / "docs" / "evidence"


@dataclass(frozen=True, slots=True)
class Proof:
    """A proof that is not loaded yet: its module, what it shows, and whether it compares with other libraries."""

    module: str
    title: str
    compares: bool = False


PROOFS: Mapping[str, Proof] = MappingProxyType(
    {
        "boiling": Proof("boiling", "Boiling and flash points beside another library's", compares=True),
        "draught": Proof("draught", "What weighed kettles teach about the next"),
        "drying": Proof("drying", "What a drying piece is forecast to do, and what it does"),
        "safety": Proof("safety", "Restores and imports that are killed in the middle"),
        "start-up": Proof("start_up", "How soon the command answers and the first page stands"),
    }
)


def main(arguments: Sequence[str]) -> int:
    """Run the proof that is named; without a name, list them."""
    parser = argparse.ArgumentParser(prog="./evidence", description="Run a long proof and write down what it found.")
    parser.add_argument("name", nargs="?", choices=sorted(PROOFS), help="the proof to run; none lists them")
    parser.add_argument("--seed", type=int, default=1, help="seed of everything random (default 1)")
    asked = parser.parse_args(arguments)
    if asked.name is None:
        print("\n".join(f"{name:20} {proof.title}" for name, proof in sorted(PROOFS.items())))
        return 0
    if PROOFS[asked.name].compares:
        try:
            compare()
        except environment.Missing as missing:
            print(missing, file=sys.stderr)
            return 3
    found = import_module(PROOFS[asked.name].module).report(asked.seed)
    target = WRITTEN / f"{asked.name}.md"
    WRITTEN.mkdir(parents=True, exist_ok=True)
    target.write_text(page(asked.name, asked.seed, found), encoding="utf-8")
    print(f"{found}\nWritten to {target.relative_to(ROOT).as_posix()}")
    return 0


def compare() -> None:
    """Let the proof find the libraries it compares with, set up beside this environment; raises `Missing`."""
    sys.path.append(str(environment.beside("evidence")))


def page(name: str, seed: int, found: str) -> str:
    """The page: what was run, on which commit and machine, and what it found."""
    made_on = f"Python {platform.python_version()}, {platform.system()} {platform.machine()}"
    repeat = f"Repeat with `./evidence {name} --seed {seed}`. Commit {commit()}; {made_on}."
    return f"# {PROOFS[name].title}\n\n{repeat}\n\n{found.strip()}\n"


def commit() -> str:
    """The commit of the working copy, and whether anything in it had changed since."""
    outputs = [
        subprocess.run(["git", *words], cwd=ROOT, capture_output=True, text=True, check=True).stdout.strip()
        for words in (["rev-parse", "--short=12", "HEAD"], ["status", "--porcelain", "--untracked-files=no"])
    ]
    return f"`{outputs[0]}`" + (" with uncommitted changes" if outputs[1] else "")


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
