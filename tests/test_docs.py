"""What the documents say is true: commands exist, included files are as they are."""

from __future__ import annotations

import re
import shlex
from pathlib import Path

import click
import pytest

from archivist.cli.main import group

ROOT = Path(__file__).resolve().parent.parent
README = (ROOT / "README.md").read_text(encoding="utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")

_SHELL = re.compile(r"^```sh\n(.*?)^```$", re.MULTILINE | re.DOTALL)
_INCLUDE = re.compile(r"<!-- include (\S+) -->\n```\w+\n(.*?)^```$", re.MULTILINE | re.DOTALL)
_HELP_EXAMPLE = re.compile(r"^ +archivist .*$", re.MULTILINE)


def shell_lines(text: str) -> list[str]:
    """The command lines that begin with `archivist`, comments removed."""
    lines = [line for block in _SHELL.findall(text) for line in block.splitlines()]
    return [line for line in lines if line.startswith("archivist ")]


def parse(line: str) -> None:
    """Parses a command line as the program would, without running it."""
    name, *rest = shlex.split(line, comments=True)[1:]
    context = click.Context(group, info_name="archivist")
    command = group.get_command(context, name)
    assert command is not None, f"there is no command '{name}'"
    command.make_context(name, rest, parent=context)


@pytest.mark.parametrize("line", shell_lines(README))
def test_every_command_in_the_readme_is_one_the_program_takes(line: str) -> None:
    try:
        parse(line)
    except click.exceptions.BadParameter as problem:
        if "does not exist" not in str(problem):  # a folder of the reader's own
            raise


def test_every_command_has_an_example_in_its_help() -> None:
    context = click.Context(group, info_name="archivist")
    for name in group.list_commands(context):
        command = group.get_command(context, name)
        assert command is not None
        assert _HELP_EXAMPLE.search(command.help or ""), f"{name} --help has no example"


@pytest.mark.parametrize(("path", "content"), _INCLUDE.findall(DEVELOPERS))
def test_files_shown_in_the_developers_guide_are_as_they_are(path: str, content: str) -> None:
    assert content == (ROOT / path).read_text(encoding="utf-8")


def test_every_dependency_has_its_reason_in_the_developers_guide() -> None:
    project = (ROOT / "pyproject.toml").read_text(encoding="utf-8")
    block = project[project.index("dependencies = [") : project.index("[project.scripts]")]
    for name in re.findall(r'^ +"([A-Za-z0-9_-]+)', block, re.MULTILINE):
        assert re.search(rf"\b{re.escape(name)}\b", DEVELOPERS), f"{name} has no reason"
