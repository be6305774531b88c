"""All benchmarks, one after another: python benchmarks/run.py. Each prints its ratios against a named baseline."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path


def main() -> int:
    """Run every ``bench_*.py`` beside this file; the number of those that failed."""
    failed = 0
    for script in sorted(Path(__file__).parent.glob("bench_*.py")):
        print(f"== {script.stem.removeprefix('bench_')}", flush=True)
        failed += subprocess.run([sys.executable, str(script)], check=False).returncode != 0
    return failed


if __name__ == "__main__":
    sys.exit(main())
