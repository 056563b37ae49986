"""Bags made by hand, rule by rule, without the writer that is under test."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path

import pytest

from archivist.hooks import FixityProblem, FixityReport
from archivist_plugins.bagit.format import BagFormat

MakeBag = Callable[..., Path]
Check = Callable[[Path], FixityReport]

DECLARATION = "BagIt-Version: {}\nTag-File-Character-Encoding: UTF-8\n"


@pytest.fixture
def make_bag(tmp_path: Path) -> MakeBag:
    """Makes a bag of `files` (path -> bytes); everything else can be said otherwise.

    `listed` replaces the names that manifests give for files, `manifests` whole manifests,
    `tag_files` adds or replaces files beside data/.
    """

    def make(
        files: Mapping[str, bytes],
        *,
        name: str = "bag",
        version: str = "1.0",
        algorithms: Sequence[str] = ("sha256",),
        listed: Mapping[str, str] | None = None,
        manifests: Mapping[str, str] | None = None,
        tag_files: Mapping[str, bytes] | None = None,
    ) -> Path:
        folder = tmp_path / name
        (folder / "data").mkdir(parents=True)
        for path, content in files.items():
            place = folder / path
            place.parent.mkdir(parents=True, exist_ok=True)
            place.write_bytes(content)
        names = listed or {}
        written = {"bagit.txt": DECLARATION.format(version).encode()}
        for algorithm in algorithms:
            lines = [
                f"{hashlib.new(algorithm, content).hexdigest()}  {names.get(path, path)}\n"
                for path, content in files.items()
            ]
            written[f"manifest-{algorithm}.txt"] = "".join(lines).encode()
        written |= {name: text.encode() for name, text in (manifests or {}).items()}
        written |= tag_files or {}
        for path, content in written.items():
            (folder / path).write_bytes(content)
        return folder

    return make


@pytest.fixture
def check() -> Check:
    """Verifies a bag and forgets the progress."""
    return lambda path: BagFormat().verify(path, progress=lambda size: None)


@pytest.fixture
def problems(check: Check) -> Callable[[Path], dict[str, list[str]]]:
    """The paths that a check names, by state."""

    def named(path: Path) -> dict[str, list[str]]:
        found: dict[str, list[str]] = {}
        problem: FixityProblem
        for problem in check(path).problems:
            found.setdefault(problem.state.value, []).append(problem.path)
        return found

    return named
