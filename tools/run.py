"""Behind ./start, ./check and ./evidence; on any system: python tools/run.py start (or check, or evidence).

Needs nothing but Python 3.11 or newer: the rest is set up in .venv on first use, and again whenever the
locks, the build or the front end changed. Exit code 3: something that only an administrator can install is missing.
"""

import sys

OLDEST = (3, 11)

if __name__ == "__main__":
    if sys.version_info < OLDEST:
        found = ".".join(str(part) for part in sys.version_info[:3])
        sys.exit(f"Python 3.11 or newer is needed, this is {found}. Name a newer one, as in: PYTHON=python3.12 ./start")

    from commands import main

    sys.exit(main(sys.argv[1:]))
