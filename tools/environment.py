"""The environment in .venv: made from hashed locks, with the pages' script and style built on the way.

A stamp in .venv says for which locks, build and front end it stands, so that the next start costs nothing.
"""

from __future__ import annotations

import hashlib
import importlib.util
import os
import shutil
import ssl
import subprocess
import sys
import time
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Literal

ROOT = Path(__file__).resolve().parent.parent
VENV = ROOT / ".venv"
SCRIPTS = VENV / ("Scripts" if sys.platform == "win32" else "bin")
STATIC_STAMP = ROOT / "src/kettleglass/web/static/.stamp"

Profile = Literal["app", "test"]


class Missing(Exception):
    """Something is not there and cannot be put there from here; the text says what to do."""


def program(name: str) -> str:
    """The path of a program in the environment."""
    return str(SCRIPTS / (name + (".exe" if sys.platform == "win32" else "")))


def ready(profile: Profile) -> None:
    """Make the environment for running (`app`) or for checking (`test`) unless it stands already.

    Raises Missing where a step cannot be done. An environment for checking serves for running too.
    """
    if any(stands(enough) for enough in ("test", profile)):
        return
    print(f"Setting up in {VENV.name} (about a minute the first time)", flush=True)
    begun = time.monotonic()
    make_venv()
    stamp(profile).unlink(missing_ok=True)
    install_uv = [program("python"), "-m", "pip", "install", "--quiet", "--disable-pip-version-check"]
    run("the installer", [*install_uv, "--require-hashes", "-r", "requirements/uv.txt"])
    uv = [program("uv"), "pip", "install", "--quiet", *trust(), "--python", program("python")]
    run("the libraries", [*uv, "--compile-bytecode", "--require-hashes", "-r", f"requirements/{profile}.txt"])
    project = ["--no-deps", "--build-constraints", "requirements/build.txt", "--editable", "."]
    run("Kettleglass and its pages", [*uv, *project])
    stamp(profile).write_text(state(profile), encoding="ascii")
    print(f"Set up in {time.monotonic() - begun:.0f} s", flush=True)


def stands(profile: Profile) -> bool:
    """Whether the environment was made from what the folder holds now."""
    made = stamp(profile)
    if not (made.is_file() and STATIC_STAMP.is_file() and Path(program("python")).exists()):
        return False
    return made.read_text(encoding="ascii") == state(profile)


def stamp(profile: Profile) -> Path:
    """The file that says what the environment was made from."""
    return VENV / f"made-for-{profile}"


def state(profile: Profile) -> str:
    """A hash of everything that the environment is made from, and of where it stands."""
    digest = hashlib.sha256(f"{VENV}\0".encode())
    for path in sources(profile):
        digest.update(f"{path.relative_to(ROOT).as_posix()}\0".encode() + path.read_bytes())
    return digest.hexdigest()


def sources(profile: Profile) -> Iterator[Path]:
    """The files that decide what is installed and built."""
    yield from (ROOT / "requirements" / f"{name}.txt" for name in ("uv", "build", profile))
    yield from (ROOT / name for name in ("pyproject.toml", "hatch_build.py", "src/kettleglass/__init__.py"))
    for folder, names, files in os.walk(ROOT / "frontend"):
        names[:] = sorted(set(names) - {"node_modules"})
        yield from (Path(folder) / file for file in sorted(files))


def beside(name: str) -> Path:
    """The folder of the libraries of requirements/NAME.txt, put there unless they are; not seen by what runs or checks.

    For comparisons in long proofs and benchmarks: append it to `sys.path`. Raises Missing where it cannot be made.
    """
    lock, folder = ROOT / "requirements" / f"{name}.txt", beside_folder(name)
    made = folder / "made-for"
    wanted = hashlib.sha256(lock.read_bytes()).hexdigest()
    if not (made.is_file() and made.read_text(encoding="ascii") == wanted):
        print(f"Setting up what is compared with, in {folder.relative_to(ROOT).as_posix()}", flush=True)
        shutil.rmtree(folder, ignore_errors=True)
        uv = [program("uv"), "pip", "install", "--quiet", *trust(), "--python", program("python")]
        run("the libraries to compare with", [*uv, "--target", str(folder), "--require-hashes", "-r", str(lock)])
        made.write_text(wanted, encoding="ascii")
    return folder


def beside_folder(name: str) -> Path:
    """Where `beside` puts those libraries."""
    return VENV / f"beside-{name}"


def make_venv() -> None:
    """An empty environment, unless one with a working Python stands there."""
    if Path(program("python")).exists():
        works = subprocess.run([program("python"), "-m", "pip", "--version"], capture_output=True, check=False)
        if works.returncode == 0 and (VENV / "made-at").exists() and (VENV / "made-at").read_text() == str(VENV):
            return
    if importlib.util.find_spec("ensurepip") is None:
        install_package("python3-venv", "Python's venv module")
    shutil.rmtree(VENV, ignore_errors=True)
    run("an empty environment", [sys.executable, "-m", "venv", str(VENV)])
    (VENV / "made-at").write_text(str(VENV))


def trust() -> list[str]:
    """The option that lets uv trust the certificates that this machine trusts, if it has any; else uv's own serve."""
    return ["--system-certs"] if ssl.create_default_context().cert_store_stats()["x509_ca"] else []


def run(what: str, command: Sequence[str]) -> None:
    """Run one step of the set-up; raises Missing with what it said if it fails."""
    print(f"  {what}", flush=True)
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False, stdin=subprocess.DEVNULL)
    if done.returncode:
        raise Missing(
            f"Setting up {what} failed. The command was:\n  {' '.join(command)}\nIt said:\n{done.stdout}{done.stderr}\n"
            "Is the package index reachable, and is there room on the disk? Then run the same command again."
        )


def install_package(package: str, what: str) -> None:
    """Install a Debian package as root; otherwise raise Missing with the one command that does."""
    apt = shutil.which("apt-get")
    command = f"apt-get update && apt-get install --yes --no-install-recommends {package}"
    if apt is None:
        raise Missing(f"{what} is missing. Install it with your system's package manager, then run this again.")
    if os.geteuid() != 0:
        raise Missing(f"{what} is missing. Run this once, then try again:\n  sudo sh -c '{command}'")
    print(f"  {what} from the system's packages", flush=True)
    os.environ.setdefault("DEBIAN_FRONTEND", "noninteractive")
    for step in (["update"], ["install", "--yes", "--no-install-recommends", package]):
        done = subprocess.run([apt, *step], capture_output=True, text=True, check=False, stdin=subprocess.DEVNULL)
        if done.returncode:
            raise Missing(f"{what} could not be installed ({command}):\n{done.stdout[-2000:]}{done.stderr}")
