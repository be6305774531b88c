"""The set-up: when it runs again, what the locks hold, and what a person is told when something is missing."""

from __future__ import annotations

import importlib.util
import os
import re
import subprocess
import sys
from pathlib import Path

import chromium
import environment
import pytest

ROOT = Path(__file__).parents[1]
LOCKS = sorted((ROOT / "requirements").glob("*.txt"))
NEEDED = ("requirements/uv.txt", "requirements/build.txt", "requirements/app.txt", "requirements/test.txt")


@pytest.fixture
def project(tmp_path, monkeypatch):
    """A small project folder that the set-up takes for the real one, already set up for running."""
    for name in (*NEEDED, "pyproject.toml", "hatch_build.py", "src/kettleglass/__init__.py", "frontend/src/app.ts"):
        path = tmp_path / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(name)
    scripts = tmp_path / ".venv" / "bin"
    scripts.mkdir(parents=True)
    (scripts / "python").symlink_to(sys.executable)
    static = tmp_path / "static-stamp"
    static.touch()
    monkeypatch.setattr(environment, "ROOT", tmp_path)
    monkeypatch.setattr(environment, "VENV", tmp_path / ".venv")
    monkeypatch.setattr(environment, "SCRIPTS", scripts)
    monkeypatch.setattr(environment, "STATIC_STAMP", static)
    environment.stamp("app").write_text(environment.state("app"))
    return tmp_path


def test_what_stands_is_left_alone(project, monkeypatch):
    monkeypatch.setattr(environment, "make_venv", lambda: pytest.fail("was set up again"))
    environment.ready("app")


def test_an_environment_for_checking_serves_for_running(project, monkeypatch):
    environment.stamp("app").unlink()
    environment.stamp("test").write_text(environment.state("test"))
    monkeypatch.setattr(environment, "make_venv", lambda: pytest.fail("was set up again"))
    environment.ready("app")


@pytest.mark.parametrize("name", ["requirements/app.txt", "pyproject.toml", "hatch_build.py", "frontend/src/app.ts"])
def test_a_change_sets_up_again(project, name):
    assert environment.stands("app")
    (project / name).write_text("changed")
    assert not environment.stands("app")


def test_a_new_file_of_the_front_end_sets_up_again_but_an_installed_package_does_not(project):
    (project / "frontend/node_modules/some").mkdir(parents=True)
    (project / "frontend/node_modules/some/index.js").touch()
    assert environment.stands("app")
    (project / "frontend/src/new.ts").touch()
    assert not environment.stands("app")


def test_missing_pages_set_up_again(project):
    environment.STATIC_STAMP.unlink()
    assert not environment.stands("app")


def test_a_moved_folder_sets_up_again(project, monkeypatch):
    monkeypatch.setattr(environment, "VENV", project / "elsewhere")
    assert environment.state("app") != (project / ".venv/made-for-app").read_text()


def test_a_failed_step_tells_what_was_run_and_what_it_said(project):
    with pytest.raises(environment.Missing) as told:
        environment.run("the moon", [sys.executable, "-c", "import sys; sys.exit('no moon tonight')"])
    assert "Setting up the moon failed" in str(told.value)
    assert "no moon tonight" in str(told.value)


def test_what_is_compared_with_stands_beside_and_is_made_once(project, monkeypatch):
    lock = project / "requirements/evidence.txt"
    lock.write_text("what to compare with")
    made = []
    monkeypatch.setattr(environment, "run", lambda what, command: (made.append(command), folder.mkdir(parents=True)))
    folder = environment.beside_folder("evidence")
    assert environment.beside("evidence") == environment.beside("evidence") == folder
    assert len(made) == 1 and "--require-hashes" in made[0] and str(folder) in made[0]
    lock.write_text("something newer")
    environment.beside("evidence")
    assert len(made) == 2


def test_without_a_package_index_a_comparison_says_what_is_missing(project, monkeypatch):
    (project / "requirements/evidence.txt").write_text("what to compare with")
    monkeypatch.setattr(environment, "program", lambda name: sys.executable)
    with pytest.raises(environment.Missing, match=r"compare with failed[\s\S]*package index reachable"):
        environment.beside("evidence")
    assert not (environment.beside_folder("evidence") / "made-for").exists()


def test_what_is_compared_with_neither_runs_nor_checks():
    """And where both hold a library, as numpy, it is the same version."""
    extra, test = pins(ROOT / "requirements/evidence.txt"), pins(ROOT / "requirements/test.txt")
    names, tested = ({pin.split("==")[0] for pin in lock} for lock in (extra, test))
    assert {"thermo", "chemicals", "fluids"} <= names and not {"thermo", "chemicals", "fluids"} & tested
    assert {pin for pin in extra if pin.split("==")[0] in tested} <= set(test)


def test_an_ordinary_user_is_told_the_one_command(monkeypatch):
    monkeypatch.setattr(environment.shutil, "which", lambda name: "/usr/bin/apt-get")
    monkeypatch.setattr(environment.os, "geteuid", lambda: 1000)
    with pytest.raises(environment.Missing, match=r"sudo sh -c 'apt-get update && apt-get install .* chromium'"):
        environment.install_package("chromium", "Chromium")


def test_a_machine_without_debian_packages_is_told_what_is_missing(monkeypatch):
    monkeypatch.setattr(environment.shutil, "which", lambda name: None)
    with pytest.raises(environment.Missing, match="Chromium is missing"):
        environment.install_package("chromium", "Chromium")


def test_root_installs_from_the_system_packages(monkeypatch, tmp_path):
    told = tmp_path / "told"
    apt = tmp_path / "apt-get"
    apt.write_text(f'#!/bin/sh\necho "$@" >> {told}\n')
    apt.chmod(0o755)
    monkeypatch.setattr(environment.shutil, "which", lambda name: str(apt))
    monkeypatch.setattr(environment.os, "geteuid", lambda: 0)
    environment.install_package("chromium", "Chromium")
    assert told.read_text().splitlines() == ["update", "install --yes --no-install-recommends chromium"]


def test_a_browser_that_is_named_must_be_there(monkeypatch, tmp_path):
    monkeypatch.setenv(chromium.VARIABLE, str(tmp_path / "none"))
    with pytest.raises(environment.Missing, match="there is no such file"):
        chromium.find_or_install()
    (tmp_path / "none").touch()
    assert chromium.find_or_install() == str(tmp_path / "none")


def test_an_old_python_is_told_so():
    source = (ROOT / "tools/run.py").read_text(encoding="utf-8").replace("(3, 11)", "(99, 0)")
    done = subprocess.run([sys.executable, "-c", source], capture_output=True, text=True, check=False)
    assert done.returncode == 1
    assert "Python 3.11 or newer is needed, this is 3." in done.stderr


def test_an_unknown_command_shows_the_usage():
    done = subprocess.run(
        [sys.executable, "tools/run.py", "stir"], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert done.returncode == 2
    assert "start|check|evidence" in done.stderr


@pytest.mark.parametrize("name", ["start", "check", "evidence", ".ci/run"])
def test_the_commands_can_be_run(name):
    assert os.access(ROOT / name, os.X_OK)


def test_continuous_integration_runs_the_check_and_nothing_else():
    lines = (ROOT / ".ci/run").read_text(encoding="utf-8").splitlines()
    orders = [line for line in lines if line and not line.startswith("#")]
    assert orders == ['cd "$(dirname "$0")/.." && exec ./check']


def pins(lock: Path) -> dict[str, str]:
    """Each package of a lock with its version, marker and hashes."""
    text = lock.read_text(encoding="utf-8")
    return dict(re.findall(r"^([a-z0-9][\w.-]*==\S+)((?:.*\\\n)(?:    --hash=\S+(?: \\)?\n)+)", text, re.MULTILINE))


@pytest.mark.parametrize("lock", LOCKS, ids=lambda lock: lock.stem)
def test_locks_hold_hashes_and_no_addresses(lock):
    text = lock.read_text(encoding="utf-8")
    assert "://" not in text
    assert "index-url" not in text
    names = re.findall(r"^[a-z0-9][\w.-]*==", text, re.MULTILINE)
    assert len(pins(lock)) == len(names) > 0


def test_what_runs_is_what_was_checked():
    app, test = pins(ROOT / "requirements/app.txt"), pins(ROOT / "requirements/test.txt")
    assert len(app) > 10
    assert app.items() <= test.items()


def test_the_lock_of_the_front_end_holds_hashes_and_no_addresses():
    text = (ROOT / "frontend/package-lock.json").read_text(encoding="utf-8")
    assert "://" not in re.sub(r'"url": "[^"]+"', "", text)  # where a package asks for donations
    assert '"resolved"' not in text
    assert text.count('"integrity"') > 20


def test_evidence_tells_commit_and_seed():
    where = ROOT / "tools/evidence/__main__.py"
    spec = importlib.util.spec_from_file_location("evidence_main", where)
    evidence = importlib.util.module_from_spec(spec)
    sys.modules["evidence_main"] = evidence
    spec.loader.exec_module(evidence)
    page = evidence.page("start-up", 7, "It stood.")
    head = subprocess.run(["git", "rev-parse", "HEAD"], cwd=ROOT, capture_output=True, text=True, check=True).stdout
    assert f"Commit `{head[:12]}`" in page
    assert "`./evidence start-up --seed 7`" in page
    assert page.endswith("It stood.\n")
    for proof in evidence.PROOFS.values():
        assert (where.parent / f"{proof.module}.py").is_file()
