"""Runs the command as a person does, in this process."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from archivist.catalogue.archive import Archive
from archivist.cli.main import group
from tests.archives import add_photograph, jpeg, new_archive, piece, save

Run = Callable[..., Result]


@pytest.fixture
def run() -> Run:
    """`run("history", "--json")` runs that command; errors that nobody caught reach the test."""

    def run_it(*words: object) -> Result:
        return CliRunner().invoke(group, [str(word) for word in words], prog_name="archivist")

    return run_it


@pytest.fixture
def archive(tmp_path: Path) -> Iterator[Archive]:
    """An archive with two pieces and a picture of each."""
    with new_archive(tmp_path / "archive") as made:
        for number, title in enumerate(("Bowl", "Jar")):
            record = piece(f"T {number}", title, (1700, 1750))
            save(made.catalogue, record)
            add_photograph(made, jpeg(tmp_path / "old" / f"{number}.jpg", tone=number), (record,))
        yield made
