"""What each command does once its environment stands."""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Mapping, Sequence

from chromium import find_or_install
from environment import ROOT, Missing, program, ready

USAGE = "Usage: python tools/run.py start|check|evidence [arguments]"
TESTS = "tests"


def main(arguments: Sequence[str]) -> int:
    """Run one of the commands; its exit code."""
    commands = {"start": start, "check": check, "evidence": evidence}
    if not arguments or arguments[0] not in commands:
        print(USAGE, file=sys.stderr)
        return 2
    os.chdir(ROOT)
    try:
        return commands[arguments[0]](arguments[1:])
    except Missing as missing:
        print(missing, file=sys.stderr)
        return 3
    except KeyboardInterrupt:
        return 130


def start(arguments: Sequence[str]) -> int:
    """Open the workbench; the arguments are those of `kettleglass app`."""
    ready("app")
    return become([program("kettleglass"), "app", *arguments])


def evidence(arguments: Sequence[str]) -> int:
    """Run a long proof and write it down, or list the proofs."""
    ready("test")
    return become([program("python"), "tools/evidence", *arguments])


def check(arguments: Sequence[str]) -> int:
    """Everything that must pass; 0 if all did. Arguments go to pytest."""
    ready("test")
    with tempfile.TemporaryDirectory(prefix="kettleglass-check-") as home:
        surroundings = {**os.environ, "KETTLEGLASS_CHROMIUM": find_or_install(), "KETTLEGLASS_HOME": home}
        codes = {name: outcome(name, step, surroundings) for name, step in steps(arguments).items()}
    failed = [name for name, code in codes.items() if code]
    if failed:
        print(f"\n./check found faults: {', '.join(failed)}.", file=sys.stderr)
    return 1 if failed else 0


def steps(arguments: Sequence[str]) -> dict[str, list[str]]:
    """The commands that check something, by name. What takes time is measured elsewhere: `./evidence`, benchmarks."""
    pytest = [program("python"), "-m", "pytest", *arguments]
    workers = str(min(os.cpu_count() or 1, 4))
    return {
        "ruff check": [program("ruff"), "check"],
        "ruff format": [program("ruff"), "format", "--check"],
        "mypy": [program("mypy")],
        TESTS: [*pytest, "-n", workers, "--dist", "worksteal"],
    }


def outcome(name: str, step: Sequence[str], surroundings: Mapping[str, str]) -> int:
    """Run one step and say how long it took; its exit code."""
    print(f"\n== {name}", flush=True)
    begun = time.monotonic()
    code = subprocess.run(step, env=surroundings, stdin=subprocess.DEVNULL, check=False).returncode
    verdict = "FAILED" if code else "passed"
    print(f"== {name}: {verdict} in {time.monotonic() - begun:.1f} s", flush=True)
    return code


def become(command: Sequence[str]) -> int:
    """Hand this process over to the command; where that is not possible (Windows), run it to its end."""
    sys.stdout.flush()
    if os.name != "nt":
        os.execv(command[0], list(command))  # noqa: S606 - no shell is wanted: the arguments go on as they are
    return subprocess.run(command, check=False).returncode
