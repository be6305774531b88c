"""The command answers at once: it loads nothing heavy before it is asked to work."""

from __future__ import annotations

import json
import subprocess
import sys

import pytest
from click.testing import CliRunner

from kettleglass import __version__
from kettleglass.cli.main import COMMANDS, main

HEAVY = {"numpy", "scipy", "sqlalchemy", "alembic", "starlette", "uvicorn", "jinja2", "pydantic", "asyncio"}

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
