"""A disk that is full or cannot be written is told as that, and nothing half done is left."""

from __future__ import annotations

import errno
import os
from pathlib import Path
from typing import Any

import pytest

import archivist.durable
import archivist.intake.proposal
from archivist.cli import main as main_module
from archivist.release import fixity
from tests.archives import add_photograph, jpeg, new_archive, piece, run, save


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    with new_archive(tmp_path / "archive") as made:
        record = piece("T 1", "Bowl", (1700, 1750))
        save(made.catalogue, record)
        add_photograph(made, jpeg(tmp_path / "old" / "1.jpg"), (record,))
    (tmp_path / "stock.csv").write_text("Number,Title\nT 2,Jar\n", encoding="utf-8")
    return tmp_path / "archive"


def full(*_: object) -> None:
    raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))


def test_a_survey_on_a_full_disk_leaves_no_proposal_and_goes_on_later(
    folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(archivist.intake.proposal, "sync", full)
    told = run(folder, "survey", tmp_path / "stock.csv")
    assert told.exit_code == 2
    assert "No space left" in told.output
    assert "Make room" in told.output
    assert list((folder / "proposals").glob("*.json*")) == []
    monkeypatch.undo()
    assert run(folder, "survey", tmp_path / "stock.csv").exit_code == 0
    assert run(folder, "apply").exit_code == 0


def test_an_empty_proposal_of_a_killed_survey_is_none_and_goes(folder: Path) -> None:
    (folder / "proposals" / "2026-01-15-stock-1.json").write_bytes(b"")
    assert "No proposal is waiting" in run(folder, "apply").output
    assert run(folder, "fixity").exit_code == 0
    assert list((folder / "proposals").glob("*.json")) == []


def test_damage_is_told_although_the_check_cannot_be_recorded(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from archivist.errors import ArchiveError

    (original,) = (folder / "originals").glob("*/*.jpg")
    original.chmod(0o644)
    original.write_bytes(b"other")

    def refused(*_: Any) -> None:
        raise ArchiveError("The catalogue cannot be written: database or disk is full.")

    monkeypatch.setattr(fixity, "record_event", refused)
    told = run(folder, "fixity")
    assert told.exit_code == 1
    assert original.name in told.output
    assert "not recorded" in told.output


def test_a_library_that_wraps_what_the_system_said_is_understood() -> None:
    inner = OSError(errno.ENOSPC, "No space left on device", "/disk/a.xlsx")
    assert main_module._os_error_in(RuntimeError(inner)) is inner
    assert main_module._os_error_in(ValueError("x")) is None


@pytest.mark.parametrize(
    ("code", "words"),
    [
        (errno.ENOSPC, "Make room"),
        (errno.EROFS, "cannot be written to"),
        (errno.EIO, "The disk fails"),
    ],
)
def test_what_the_system_says_is_told_with_what_to_do(
    folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, code: int, words: str
) -> None:
    def fails(*_: object) -> None:
        raise OSError(code, os.strerror(code), "/disk/file")

    monkeypatch.setattr(archivist.intake.proposal, "sync", fails)
    told = run(folder, "survey", tmp_path / "stock.csv")
    assert told.exit_code == 2
    assert words in told.output
    assert "fault of the program" not in told.output
