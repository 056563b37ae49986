"""An erasure finishes what a sudden end left, and later surveys do not bring the name back."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from archivist.catalogue import erasure
from archivist.catalogue.archive import Archive
from archivist.model import ObjectRecord, Party
from tests.archives import jpeg, new_archive, run

NAME = "Ottoline Quennell"
WORDS = (b"quennell", b"ottoline")


@pytest.fixture
def sources(tmp_path: Path) -> tuple[Path, Path]:
    """A stock book that names a buyer, also in running words, and photographs."""
    sheet = tmp_path / "in" / "Stock of Ottoline Quennell.csv"
    sheet.parent.mkdir()
    sheet.write_text(
        "Number,Title,Buyer,Notes\n"
        "T 1,Bowl,Ottoline Quennell,seen with Mrs. Quennell in May\n"
        "T 2,Jar,Leopold Ashgrove,none\n",
        encoding="utf-8",
    )
    folder = tmp_path / "in" / "photographs"
    jpeg(folder / "T 1" / "for Ottoline Quennell.jpg")
    return sheet, folder


@pytest.fixture
def folder(tmp_path: Path, sources: tuple[Path, Path]) -> Path:
    new_archive(tmp_path / "archive").catalogue.close()
    folder = tmp_path / "archive"
    assert run(folder, "survey", *sources).exit_code == 0
    assert run(folder, "apply").exit_code == 0
    with Archive.open(folder) as archive:
        assert archive.catalogue.keyed(Party, NAME)
    assert holding(folder), "the name stands in files before"
    return folder


def holding(folder: Path) -> list[str]:
    """The files of the archive that hold the name, or are called by it; originals may."""
    found = []
    for path in folder.rglob("*"):
        name = path.relative_to(folder).as_posix()
        original = name.startswith("originals/") and name.count("/") == 2
        content = path.read_bytes() if path.is_file() and not original else b""
        if any(w in content.lower() or w in name.lower().encode() for w in WORDS):
            found.append(name)
    return found


def test_every_byte_of_the_archive_is_free_of_the_name(folder: Path) -> None:
    done = run(folder, "erase", NAME, "--yes")
    assert done.exit_code == 0, done.output
    assert holding(folder) == []
    assert run(folder, "fixity").exit_code == 0


@pytest.mark.parametrize(
    "at",
    [
        "clean",
        "other_names",
        "remove_tree",
        "rename_files",
        "index_everything",
        "write_inventory",
        "_rewrite",
    ],
)
def test_wherever_it_was_ended_the_next_command_or_the_same_one_finishes_it(
    folder: Path, monkeypatch: pytest.MonkeyPatch, at: str
) -> None:
    def ended(*_: object, **__: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(erasure, at, ended)
    assert run(folder, "erase", NAME, "--yes").exit_code == 130
    monkeypatch.undo()
    run(folder, "show")
    if holding(folder):
        again = run(folder, "erase", NAME, "--yes")
        assert again.exit_code == 0, again.output
    assert holding(folder) == []
    assert run(folder, "erase", NAME, "--yes").exit_code == 0, "it can be repeated"


def test_a_later_survey_of_the_same_and_of_other_papers_does_not_bring_it_back(
    folder: Path, tmp_path: Path, sources: tuple[Path, Path]
) -> None:
    assert run(folder, "erase", NAME, "--yes").exit_code == 0
    other = tmp_path / "in" / "other.csv"
    other.write_text(
        "Number,Title,Buyer\nT 3,Cup,Lady Quennell\nT 4,Dish,O. Quennell\n", encoding="utf-8"
    )
    told = run(folder, "survey", *sources, other)
    assert "somebody who was erased" in told.output
    run(folder, "apply")
    with Archive.open(folder) as archive:
        names = {r.stock_number for r in archive.catalogue.all(ObjectRecord)}
        assert names == {"T 1", "T 2", "T 3", "T 4"}, "the pieces come"
        parties = [p.name for p in archive.catalogue.all(Party)]
        assert "Leopold Ashgrove" in parties, "and other people"
    # A new file lies under its own path until it is taken in; what is known of it afterwards not.
    left = [n for n in holding(folder) if not n.startswith("proposals/")]
    assert left == []


def test_the_list_of_the_erased_travels_with_the_copy(
    folder: Path, tmp_path: Path, sources: tuple[Path, Path]
) -> None:
    assert run(folder, "erase", NAME, "--yes").exit_code == 0
    assert (
        run(folder, "release", "bagit", "--archive", "--for", "owner", "--to", tmp_path / "o")
    ).exit_code == 0
    (bag,) = (tmp_path / "o").iterdir()
    again = tmp_path / "again"
    assert run(folder, "restore", bag, "--into", again).exit_code == 0
    shutil.rmtree(folder)
    told = run(again, "survey", *sources)
    assert "somebody who was erased" in told.output
    run(again, "apply")
    with Archive.open(again) as archive:
        assert not archive.catalogue.keyed(Party, NAME)


def test_a_name_that_was_never_erased_is_not_touched(folder: Path, tmp_path: Path) -> None:
    assert run(folder, "erase", NAME, "--yes").exit_code == 0
    other = tmp_path / "in" / "other.csv"
    other.write_text("Number,Title,Buyer\nT 3,Cup,Lady Quillfeather\n", encoding="utf-8")
    told = run(folder, "survey", other)
    assert "erased" not in told.output
    run(folder, "apply")
    with Archive.open(folder) as archive:
        assert any("Quillfeather" in p.name for p in archive.catalogue.all(Party))
