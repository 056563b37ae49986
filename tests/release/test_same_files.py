"""A file of a publication that comes out the same is left as it lies."""

from __future__ import annotations

from pathlib import Path

from archivist.digests import digest_file
from archivist.hooks import WrittenFile
from archivist.release.destinations import Publication
from archivist.release.running import Unit


def settle(folder: Path, fingerprint: str, contents: dict[str, str]) -> None:
    unit = Unit("words", "collection", fingerprint)
    with Publication(folder, "public") as publication:
        assert publication.settled(unit) is None
        files = []
        for name, text in contents.items():
            location = publication.workplace(unit) / name
            location.parent.mkdir(parents=True, exist_ok=True)
            location.write_text(text, encoding="utf-8", newline="\n")
            digests = digest_file(location)
            files.append(
                WrittenFile(f"words/{name}", location, digests.size, digests.sha256, digests.sha512)
            )
        publication.settle(unit, tuple(files))
        publication.finish({"words"})


def test_of_a_unit_done_again_only_what_differs_is_written(tmp_path: Path) -> None:
    folder = tmp_path / "out"
    settle(folder, "1", {"same.txt": "same", "other.txt": "old"})
    before = (folder / "words/same.txt").stat()
    settle(folder, "2", {"same.txt": "same", "other.txt": "new"})
    after = (folder / "words/same.txt").stat()
    assert (after.st_mtime_ns, after.st_ino) == (before.st_mtime_ns, before.st_ino)
    assert (folder / "words/other.txt").read_text(encoding="utf-8") == "new"
    assert not list(folder.glob(".unfinished*"))


def test_a_file_that_was_cut_is_written_again_though_its_unit_says_the_same(tmp_path: Path) -> None:
    folder = tmp_path / "out"
    settle(folder, "1", {"same.txt": "same"})
    (folder / "words/same.txt").write_text("cut", encoding="utf-8")
    settle(folder, "2", {"same.txt": "same"})
    assert (folder / "words/same.txt").read_text(encoding="utf-8") == "same"
