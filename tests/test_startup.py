"""The command answers at once: it loads nothing heavy before it is asked to work."""

from __future__ import annotations

import json
import resource
import subprocess
import sys

import pytest
from click.testing import CliRunner

from kettleglass import __version__
from kettleglass.cli.main import COMMANDS, main

HEAVY = {"numpy", "scipy", "sqlalchemy", "alembic", "starlette", "uvicorn", "jinja2", "pydantic", "asyncio"}
HELP_LIMIT_S = 0.3
"""CPU time for `kettleglass --help`, interpreter included."""

TELL_MODULES = """
import atexit, json, runpy, sys
atexit.register(lambda: print(json.dumps(sorted({name.split(".")[0] for name in sys.modules})), file=sys.stderr))
sys.argv[0] = "kettleglass"
runpy.run_module("kettleglass", run_name="__main__", alter_sys=True)
"""


def modules_loaded_by(*arguments: str) -> set[str]:
    """Top-level names of the modules that a run of the command has loaded when it ends."""
    command = [sys.executable, "-c", TELL_MODULES, *arguments]
    done = subprocess.run(command, capture_output=True, text=True, check=True)
    return set(json.loads(done.stderr.splitlines()[-1]))


@pytest.mark.parametrize("arguments", [["--help"], ["--version"], ["app", "--help"]], ids=" ".join)
def test_nothing_heavy_is_loaded_to_answer_a_question(arguments):
    loaded = modules_loaded_by(*arguments)
    assert "click" in loaded
    assert loaded & HEAVY == set()


def test_a_heavy_library_would_be_seen():
    command = [sys.executable, "-c", "import numpy\n" + TELL_MODULES, "--version"]
    done = subprocess.run(command, capture_output=True, text=True, check=True)
    assert "numpy" in json.loads(done.stderr.splitlines()[-1])


@pytest.mark.alone
def test_help_takes_little_time():
    def cpu_s() -> float:
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        subprocess.run([sys.executable, "-m", "kettleglass", "--help"], capture_output=True, check=True)
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
        return after.ru_utime - before.ru_utime + after.ru_stime - before.ru_stime

    assert min(cpu_s() for _ in range(5)) < HELP_LIMIT_S


def test_the_version_is_that_of_the_package():
    done = subprocess.run(
        [sys.executable, "-m", "kettleglass", "--version"], capture_output=True, text=True, check=True
    )
    assert done.stdout == f"kettleglass {__version__}\n"


def test_the_list_of_commands_says_what_each_command_says():
    for name, entry in COMMANDS.items():
        command = main.get_command(None, name)
        assert command is not None
        assert command.name == name
        first_line = (command.help or "").splitlines()[0]
        assert first_line == entry.summary


def test_an_unknown_command_is_answered_with_the_nearest():
    done = CliRunner().invoke(main, ["apk"])
    assert done.exit_code == 2
    assert "There is no command “apk”. Did you mean “app”?" in done.output
    assert "kettleglass --help" in CliRunner().invoke(main, ["qqqq"]).output
