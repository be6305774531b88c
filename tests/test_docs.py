"""Nothing undocumented: every command, option, setting, example and page of the documentation is where it should be."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import click
import pytest

from kettleglass.cli.main import main
from kettleglass.settings import READERS

ROOT = Path(__file__).parents[1]
DOCS = ROOT / "docs"
COMMAND_LINE = (DOCS / "command-line.md").read_text(encoding="utf-8")
README = (ROOT / "README.md").read_text(encoding="utf-8")
EVERYWHERE = {"help", "version", "wants_json"}


def commands(group: click.Group, path: tuple[str, ...] = ()) -> Iterator[tuple[str, click.Command]]:
    """Every command below a group, with its whole name."""
    context = click.Context(group)
    for name in group.list_commands(context):
        command = group.get_command(context, name)
        assert command is not None
        if isinstance(command, click.Group):
            yield from commands(command, (*path, name))
        else:
            yield " ".join((*path, name)), command


COMMANDS = dict(commands(main))


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_and_its_options_are_documented(name: str) -> None:
    row = next((text for text in COMMAND_LINE.splitlines() if f"`kettleglass {name}" in text), "")
    assert row, f"docs/command-line.md lacks {name}"
    for parameter in COMMANDS[name].params:
        if isinstance(parameter, click.Option) and parameter.name not in EVERYWHERE:
            assert any(option in COMMAND_LINE or option in README for option in parameter.opts), parameter.opts


@pytest.mark.parametrize("name", COMMANDS)
def test_every_answer_can_be_had_as_json(name: str) -> None:
    if name != "app":
        assert any("--json" in parameter.opts for parameter in COMMANDS[name].params)


@pytest.mark.parametrize("name", sorted(READERS))
def test_every_setting_is_documented(name: str) -> None:
    assert f"`{name}`" in README


@pytest.mark.parametrize("page", sorted(DOCS.glob("*.md")), ids=lambda page: page.name)
def test_every_page_is_reached_from_the_readme(page: Path) -> None:
    assert f"docs/{page.name}" in README


@pytest.mark.parametrize("page", [ROOT / "README.md", *sorted(DOCS.rglob("*.md"))], ids=lambda page: page.name)
def test_every_link_leads_somewhere(page: Path) -> None:
    for target in re.findall(r"\]\(([^)#\s]+)", page.read_text(encoding="utf-8")):
        if "://" not in target:
            assert (page.parent / target).exists(), target
