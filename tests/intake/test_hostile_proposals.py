"""A proposal that somebody altered writes nothing outside the archive and takes nothing from
outside its source."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from tests.archives import jpeg, new_archive, run

Change = Callable[[dict[str, Any]], None]


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """An archive with a proposal of a sheet and one of a photograph."""
    new_archive(tmp_path / "place" / "archive").catalogue.close()
    folder = tmp_path / "place" / "archive"
    (tmp_path / "stock.csv").write_text("Number,Title\nT 1,Bowl\n", encoding="utf-8")
    jpeg(tmp_path / "photographs" / "T 1" / "a.jpg")
    jpeg(tmp_path / "private" / "b.jpg", tone=7)
    assert run(folder, "survey", tmp_path / "stock.csv", tmp_path / "photographs").exit_code == 0
    return folder


def altered(folder: Path, change: Change) -> None:
    (path,) = (folder / "proposals").glob("*.json")
    proposal = json.loads(path.read_text(encoding="utf-8"))
    change(proposal)
    path.write_text(json.dumps(proposal), encoding="utf-8")


def every_file(tmp_path: Path) -> set[Path]:
    return {p for p in tmp_path.rglob("*") if p.is_file() and "place/archive" not in p.as_posix()}


def _files(proposal: dict[str, Any]) -> list[dict[str, Any]]:
    return [item for item in proposal["items"] if item["what"] == "keep file"]


def _extension(proposal: dict[str, Any]) -> None:
    for item in _files(proposal):
        item["file"]["extension"] = "/../../../../../evil"


def _digest(proposal: dict[str, Any]) -> None:
    for item in _files(proposal):
        item["file"]["sha256"] = "../../../../evil"


def _mapping(proposal: dict[str, Any]) -> None:
    for source in proposal["sources"]:
        if source.get("mapping"):
            source["mapping"] = "../../evil.toml"


@pytest.mark.parametrize("change", [_extension, _digest, _mapping])
def test_nothing_is_written_outside_and_it_is_said(
    folder: Path, tmp_path: Path, change: Change
) -> None:
    altered(folder, change)
    before = every_file(tmp_path)
    done = run(folder, "apply")
    assert done.exit_code in (1, 2), done.output
    assert "Do not trust" in done.output
    assert every_file(tmp_path) == before
    assert not list(tmp_path.rglob("*evil*"))


@pytest.mark.parametrize("how", ["up", "absolute", "bytes"])
def test_a_file_outside_the_source_is_not_taken_in(folder: Path, tmp_path: Path, how: str) -> None:
    import base64
    import hashlib

    private = tmp_path / "private" / "b.jpg"
    content = private.read_bytes()

    def outside(proposal: dict[str, Any]) -> None:
        item = next(i for i in _files(proposal) if i["file"]["path"].endswith("a.jpg"))
        item["file"]["sha256"] = hashlib.sha256(content).hexdigest()
        item["file"]["size"] = len(content)
        path = "../private/b.jpg" if how != "absolute" else str(private)
        item["file"]["path"] = path
        if how == "bytes":
            item["file"]["path_bytes"] = base64.b64encode(b"../private/b.jpg").decode()

    altered(folder, outside)
    done = run(folder, "apply")
    assert done.exit_code == 1, done.output
    assert "does not lie in" in done.output
    originals = [p for p in (folder / "originals").rglob("*") if p.is_file()]
    assert content not in [p.read_bytes() for p in originals]
