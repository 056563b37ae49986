"""Two releases at one time into one place: one goes on, the other is told, nothing is lost."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import msgspec
import pytest

from archivist.catalogue.archive import Archive
from archivist.errors import ArchiveError
from archivist.hooks import Exporter, Piece
from archivist.locking import LOCK, Holder, locked
from archivist.release.destinations import NewPackage
from tests.release.conftest import exporter, plugins_of, released, tree

WORDS = exporter("words")


def ended_process() -> int:
    """The number of a process that has ended."""
    done = subprocess.Popen([sys.executable, "-c", ""])
    done.wait()
    return done.pid


def left_by(folder: Path, **changes: object) -> Path:
    """A lock that a release left in `folder`, with something about it changed."""
    with locked(folder):
        mine = msgspec.json.decode((folder / LOCK).read_bytes(), type=Holder)
    path = folder / LOCK
    path.write_bytes(msgspec.json.encode(msgspec.structs.replace(mine, **changes)))
    return path


def test_a_second_release_into_a_folder_is_refused_while_the_first_is_at_work(
    archive: Archive, tmp_path: Path
) -> None:
    refused: list[str] = []

    class Meanwhile(Exporter):
        def export_piece(self, piece: Piece, selection: object, package: object) -> None:
            package.write(f"{piece.slug}.txt", "x")  # type: ignore[attr-defined]
            try:
                released(archive, plugins_of(WORDS), tmp_path / "to", "words")
            except ArchiveError as problem:
                refused.append(str(problem))

    plugins = plugins_of(exporter("slow", Meanwhile))
    assert released(archive, plugins, tmp_path / "to", "slow").whole
    assert len(refused) == 3
    assert f"Another release is at work in {tmp_path / 'to'} (process {os.getpid()}" in refused[0]
    assert "Nothing was changed. Wait until it is done" in refused[0]
    assert "delete the file" in refused[0]
    assert not (tmp_path / "to" / LOCK).exists()
    assert len(tree(tmp_path / "to")) == 3


def test_what_a_killed_release_on_this_computer_left_is_taken_over(
    archive: Archive, tmp_path: Path
) -> None:
    to = tmp_path / "to"
    released(archive, plugins_of(WORDS), to, "words")
    path = left_by(to, process=ended_process())
    if os.name == "posix":
        assert released(archive, plugins_of(WORDS), to, "words").whole
        assert not path.exists()
    else:
        with pytest.raises(ArchiveError, match="delete the file"):
            released(archive, plugins_of(WORDS), to, "words")


@pytest.mark.parametrize(
    ("change", "told"),
    [
        (lambda path: left_by(path, computer="another"), "on another computer, since 20"),
        (lambda path: (path / LOCK).write_bytes(b""), "at work in"),
        (lambda path: left_by(path, process=1), "on this computer, since 20"),
    ],
    ids=["another computer", "unreadable", "still running"],
)
def test_a_lock_of_which_it_is_not_certain_is_left_and_told(
    archive: Archive, tmp_path: Path, change: Callable[[Path], object], told: str
) -> None:
    to = tmp_path / "to"
    released(archive, plugins_of(WORDS), to, "words")
    change(to)
    before = tree(to)
    with pytest.raises(ArchiveError, match="Another release") as caught:
        released(archive, plugins_of(WORDS), to, "words")
    assert told in caught.value.message
    assert tree(to) == before


def test_the_lock_names_neither_person_nor_computer(tmp_path: Path) -> None:
    """The folder may be one that the public sees."""
    import getpass
    import platform

    with locked(tmp_path):
        content = (tmp_path / LOCK).read_text(encoding="utf-8")
    assert set(msgspec.json.decode(content)) == {"process", "computer", "since"}
    for name in (platform.node(), getpass.getuser()):
        assert f'"{name}"' not in content


def test_a_release_that_fails_leaves_no_lock(tmp_path: Path) -> None:
    with pytest.raises(RuntimeError), locked(tmp_path):
        raise RuntimeError
    with locked(tmp_path):
        pass
    assert list(tmp_path.iterdir()) == []


def test_packages_that_want_one_name_at_one_moment_each_get_a_name(tmp_path: Path) -> None:
    def made(number: int) -> Path | None:
        with NewPackage(tmp_path / "bowl", ("words",)) as package:
            part = package._work / "parts" / "words"
            part.mkdir(parents=True)
            (part / "file.txt").write_text(f"{number}", encoding="utf-8")
            return package.finish({"words"})

    with ThreadPoolExecutor(8) as pool:
        places = list(pool.map(made, range(40)))
    assert len(set(places)) == 40
    assert None not in places
    held = {place / "file.txt" for place in places if place is not None}
    assert {path.read_text(encoding="utf-8") for path in held} == {str(n) for n in range(40)}


def test_two_commands_at_once_leave_one_whole_publication(archive: Archive, tmp_path: Path) -> None:
    archive.catalogue.close()
    to = tmp_path / "to"
    command = [sys.executable, "-m", "archivist", "-a", str(archive.folder), "release"]
    command += ["dublin-core", "iiif", "--for", "public", "--to", str(to)]
    both = [
        subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
        for _ in range(2)
    ]
    said = [process.communicate() for process in both]
    codes = sorted(process.returncode for process in both)
    assert codes[0] == 0, said
    assert codes[1] in (0, 2), said
    if codes[1] == 2:
        assert any("Another release is at work" in err or "locked" in err for _, err in said), said
    alone = subprocess.run(
        [*command[:-1], str(tmp_path / "alone")], capture_output=True, check=False
    )
    assert alone.returncode == 0
    assert set(tree(to)) == set(tree(tmp_path / "alone"))


def test_copies_of_photographs_are_made_at_one_time_by_several_releases(
    archive: Archive, tmp_path: Path
) -> None:
    """Each command makes the same clean copies in the archive's derivatives."""
    archive.catalogue.close()
    command = [sys.executable, "-m", "archivist", "-a", str(archive.folder), "release", "bagit"]
    command += ["--for", "public", "--to", str(tmp_path / "to")]
    several = [
        subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
        for _ in range(4)
    ]
    said = [process.communicate() for process in several]
    assert [process.returncode for process in several] == [0] * 4, said
    assert len(list((tmp_path / "to").iterdir())) == 4
    left = [p for p in archive.derivatives.rglob("*") if p.suffix in (".part", ".new")]
    assert left == []
