"""Renews the locks in requirements/: python tools/lock.py, in the environment for checking.

The locks hold versions and hashes, and no addresses: where packages come from is the business of the machine.
What runs and what checks is resolved together, so that both environments hold the same versions.
"""

from __future__ import annotations

import subprocess
import tomllib
from collections.abc import Sequence
from pathlib import Path

from environment import ROOT, program

REQUIREMENTS = ROOT / "requirements"
SHAPE = ("--universal", "--python-version", "3.11", "--generate-hashes", "--no-header", "--no-annotate", "--quiet")
ADDRESS = "://"
COMPARED = ("thermo>=0.6",)
"""What only long proofs and benchmarks compare with; never needed to run or to check."""


def main() -> None:
    """Write all locks anew, each package as new as the bounds in pyproject.toml allow."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    names = ("test", "app", "build", "uv", "evidence")
    test, app, build, installer, evidence = locks = [REQUIREMENTS / f"{name}.txt" for name in names]
    compile_lock(test, "pyproject.toml", "--extra", "test", "--upgrade")
    compile_lock(app, "pyproject.toml", "--constraints", str(test.relative_to(ROOT)))
    compile_lock(build, "-", "--upgrade", said="\n".join(project["build-system"]["requires"]))
    compile_lock(installer, "-", "--upgrade", said="uv")
    compile_lock(evidence, "-", "--upgrade", "--constraints", str(test.relative_to(ROOT)), said="\n".join(COMPARED))
    for lock in locks:
        if ADDRESS in lock.read_text(encoding="utf-8"):
            raise SystemExit(f"{lock.name} holds an address: see what your uv settings add.")
    print("The locks are new. Now run ./check, and look at what changed: git diff --stat")


def compile_lock(lock: Path, source: str, *options: str, said: str | None = None) -> None:
    """Resolve one source (`-` is what is `said`) into one lock."""
    command: Sequence[str] = [program("uv"), "pip", "compile", *SHAPE, *options, source, "--output-file", str(lock)]
    subprocess.run(command, cwd=ROOT, input=said, text=True, check=True)


if __name__ == "__main__":
    main()
