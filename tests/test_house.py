"""The house keeps its own rules: form, types, arrows, and what stands at the top level."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
TOP_LEVEL = {
    ".ci",
    ".gitignore",
    "CHANGELOG.md",
    "DEVELOPERS.md",
    "LICENSE",
    "README.md",
    "archivist",
    "demo_collection",
    "plugins",
    "pyproject.toml",
    "schemas",
    "tests",
}


def run(*command: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", *command], cwd=ROOT, capture_output=True, text=True, check=False
    )


@pytest.mark.parametrize(
    "command",
    [
        pytest.param(("ruff", "format", "--check", "."), id="formatting"),
        pytest.param(("ruff", "check", "."), id="linting"),
        pytest.param(("mypy",), id="types"),
    ],
)
def test_the_code_keeps_its_form(command: tuple[str, ...]) -> None:
    done = run(*command)
    assert done.returncode == 0, done.stdout + done.stderr


def test_arrows_between_rooms_run_one_way() -> None:
    done = subprocess.run(
        [sys.executable, "-c", "from importlinter.cli import lint_imports_command as c; c()"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stdout + done.stderr
    assert "KEPT" in done.stdout


def test_the_top_level_holds_what_it_should_and_nothing_else() -> None:
    listed = subprocess.run(
        ["git", "ls-files", "-z"], cwd=ROOT, capture_output=True, text=True, check=False
    )
    if listed.returncode != 0:
        pytest.skip("not a git checkout, so what belongs to it is not known")
    assert {line.split("/")[0] for line in listed.stdout.split("\0") if line} == TOP_LEVEL
