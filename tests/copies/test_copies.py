"""Copies are kept, compared and mended from; nothing good is ever written over."""

from __future__ import annotations

import shutil
import sqlite3
from pathlib import Path

import pytest

from archivist.catalogue.archive import Archive
from archivist.copies.generation import KEPT, generations
from archivist.model import ObjectRecord
from tests.archives import add_photograph, jpeg, new_archive, piece, run, save, sold_to


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    with new_archive(tmp_path / "archive") as made:
        for number, title in enumerate(("Bowl", "Jar")):
            record = piece(f"T {number}", title, (1700, 1750))
            save(made.catalogue, record)
            add_photograph(made, jpeg(tmp_path / "old" / f"{number}.jpg", tone=number), (record,))
    return tmp_path / "archive"


@pytest.fixture
def place(folder: Path, tmp_path: Path) -> Path:
    done = run(folder, "copies", "add", tmp_path / "disk" / "copy")
    assert done.exit_code == 0, done.output
    return tmp_path / "disk" / "copy"


def originals(folder: Path) -> list[Path]:
    return sorted((folder / "originals").glob("*/*.jpg"))


def flip(path: Path) -> None:
    data = bytearray(path.read_bytes())
    data[60] ^= 1
    path.chmod(0o644)
    path.write_bytes(data)


def test_a_copy_is_whole_and_up_to_date_and_says_that_it_lies_on_the_same_disk(
    folder: Path, place: Path
) -> None:
    checked = run(folder, "copies", "check")
    assert checked.exit_code == 0, checked.output
    assert "whole and up to date" in checked.output
    again = run(folder, "copies", "add", place)
    assert "same disk" in again.output
    assert "0 originals copied" in again.output


def test_what_was_changed_since_makes_it_behind_and_adding_brings_it_up_to_date(
    folder: Path, place: Path
) -> None:
    run(folder, "edit", "T 0", "--set", "title=Large bowl")
    assert "1 actions behind" in run(folder, "copies", "check").output
    assert run(folder, "copies", "add", place).exit_code == 0
    assert run(folder, "copies", "check").exit_code == 0


def test_three_generations_are_kept_and_none_is_written_over(folder: Path, place: Path) -> None:
    seen: dict[str, bytes] = {}
    for number in range(KEPT + 2):
        run(folder, "edit", "T 0", "--set", f"title=Bowl {number}")
        run(folder, "copies", "add", place)
        for path in (place / "generations").rglob("*"):
            if path.is_file():
                name = path.relative_to(place).as_posix()
                assert seen.setdefault(name, path.read_bytes()) == path.read_bytes()
    assert len(generations(place)) == KEPT


@pytest.mark.parametrize("where", ["archive", "copy"])
@pytest.mark.parametrize("how", ["flipped", "gone"])
def test_a_damaged_original_is_mended_from_where_it_is_whole(
    folder: Path, place: Path, where: str, how: str
) -> None:
    victim = originals(folder if where == "archive" else place)[0]
    content = victim.read_bytes()
    if how == "gone":
        victim.unlink()
    else:
        flip(victim)
    damaged = victim.read_bytes() if victim.exists() else b""
    assert (
        run(
            folder,
            "fixity" if where == "archive" else "copies",
            *(() if where == "archive" else ("check",)),
        ).exit_code
        == 1
    )
    done = run(folder, "copies", "mend")
    assert done.exit_code == 0, done.output
    assert victim.read_bytes() == content
    assert run(folder, "fixity").exit_code == 0
    run(folder, "copies", "add", place)
    assert run(folder, "copies", "check").exit_code == 0
    if where == "copy" and how == "flipped":
        kept = [p.read_bytes() for p in (place / "damaged").iterdir()]
        assert kept == [damaged], "what was damaged is kept aside"


def test_damaged_in_both_it_is_named_kept_and_nothing_wins(folder: Path, place: Path) -> None:
    one, two = originals(folder)[0], originals(place)[0]
    flip(one)
    flip(two)
    before = (one.read_bytes(), two.read_bytes())
    done = run(folder, "copies", "mend")
    assert done.exit_code == 1
    assert "whole in no copy" in done.output
    assert (one.read_bytes(), two.read_bytes()) == before


def test_facts_are_mended_from_a_copy(folder: Path, place: Path) -> None:
    for damaging in (
        "UPDATE version SET json = replace(json, 'Bowl', 'Cowl')",
        "UPDATE action SET who = 'nobody'",
        "DELETE FROM action WHERE number = 1",
        "DELETE FROM occurrence",
    ):
        connection = sqlite3.connect(folder / "catalogue.sqlite")
        connection.execute(damaging)
        connection.commit()
        connection.close()
        assert run(folder, "fixity").exit_code == 1, damaging
        done = run(folder, "copies", "mend")
        assert done.exit_code == 0, (damaging, done.output)
        run(folder, "fixity")
        assert run(folder, "fixity").exit_code == 0, damaging


@pytest.mark.parametrize("how", ["gone", "empty", "no database"])
def test_a_lost_catalogue_is_put_back_from_a_copy_and_the_broken_one_kept(
    folder: Path, place: Path, how: str
) -> None:
    catalogue = folder / "catalogue.sqlite"
    broken = {"gone": None, "empty": b"", "no database": b"x" * 5000}[how]
    catalogue.unlink()
    if broken is not None:
        catalogue.write_bytes(broken)
    assert run(folder, "show").exit_code == 2
    done = run(folder, "copies", "mend", "--from", place)
    assert done.exit_code == 0, done.output
    assert run(folder, "fixity").exit_code == 0
    with Archive.open(folder) as archive:
        assert {r.title for r in archive.catalogue.all(ObjectRecord)} == {"Bowl", "Jar"}
    if broken is not None:
        assert (folder / "catalogue.sqlite.damaged-1").read_bytes() == broken


def test_an_old_catalogue_is_told_and_not_copied_over_the_newer(
    folder: Path, place: Path, tmp_path: Path
) -> None:
    shutil.copy(folder / "catalogue.sqlite", tmp_path / "old.sqlite")
    run(folder, "edit", "T 0", "--set", "title=Large bowl")
    run(folder, "copies", "add", place)
    before = {p.name for p in (place / "generations").iterdir()}
    shutil.copy(tmp_path / "old.sqlite", folder / "catalogue.sqlite")
    told = run(folder, "copies", "add", place)
    assert told.exit_code == 1
    assert "further on than the archive" in told.output
    assert {p.name for p in (place / "generations").iterdir()} == before
    assert run(folder, "copies", "mend", "--from", place).exit_code == 0
    with Archive.open(folder) as archive:
        assert archive.catalogue.keyed(ObjectRecord, "T 0")[0].title == "Large bowl"


def test_histories_that_parted_are_a_question_and_nothing_is_written(
    folder: Path, place: Path, tmp_path: Path
) -> None:
    shutil.copytree(folder, tmp_path / "other")
    run(tmp_path / "other", "edit", "T 0", "--set", "title=Other bowl")
    assert run(tmp_path / "other", "copies", "add", place).exit_code == 0
    run(folder, "edit", "T 0", "--set", "title=Large bowl")
    before = sorted(p.as_posix() for p in place.rglob("*"))
    told = run(folder, "copies", "add", place)
    assert told.exit_code == 1
    assert "have parted" in told.output
    assert sorted(p.as_posix() for p in place.rglob("*")) == before


def test_an_empty_mount_is_not_there_and_is_never_filled(folder: Path, place: Path) -> None:
    shutil.move(place, place.with_name("elsewhere"))
    place.mkdir()
    checked = run(folder, "copies", "check")
    assert checked.exit_code == 1
    assert "not there" in checked.output
    assert "not there" in run(folder, "copies", "mend").output
    refused = run(folder, "copies", "add", place)
    assert refused.exit_code == 2
    assert "mounted" in refused.output
    assert list(place.iterdir()) == []


def test_a_generation_that_does_not_prove_counts_for_nothing(folder: Path, place: Path) -> None:
    run(folder, "edit", "T 0", "--set", "title=Large bowl")
    run(folder, "copies", "add", place)
    newest, older = generations(place)
    flip(newest.catalogue)
    assert generations(place) == (older,)
    assert "is damaged" in run(folder, "copies", "check").output
    run(folder, "copies", "add", place)
    assert generations(place)[0].number > newest.number


def test_an_erasure_reaches_the_copies_and_owes_the_absent(tmp_path: Path) -> None:
    folder = sold_to("Ottoline Quennell", tmp_path)
    here, away = tmp_path / "here", tmp_path / "away"
    for place in (here, away):
        assert run(folder, "copies", "add", place).exit_code == 0
    shutil.move(away, tmp_path / "safe")
    done = run(folder, "erase", "Ottoline Quennell", "--yes")
    assert done.exit_code == 0, done.output
    assert str(away) in done.output
    assert str(here) not in done.output
    shutil.move(tmp_path / "safe", away)
    assert run(folder, "copies", "add", away).exit_code == 0
    for place in (here, away):
        assert generations(place)
        for path in place.rglob("*"):
            name = path.relative_to(place).as_posix()
            if path.is_file() and not name.startswith("originals/"):
                assert b"quennell" not in path.read_bytes().lower(), (place, name)


def test_a_copy_within_the_archive_or_of_another_is_refused(
    folder: Path, place: Path, tmp_path: Path
) -> None:
    assert run(folder, "copies", "add", folder / "copy").exit_code == 2
    new_archive(tmp_path / "other").catalogue.close()
    told = run(tmp_path / "other", "copies", "add", place)
    assert told.exit_code == 2
    assert "which is another" in told.output
