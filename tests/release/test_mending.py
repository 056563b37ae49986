"""What is damaged is mended from an owner's bag or by taking the file in again, and nothing else
is changed by that."""

from __future__ import annotations

import os
import shutil
import signal
import sqlite3
import subprocess
import sys
import time
from pathlib import Path

import pytest

from archivist.catalogue.archive import Archive
from archivist.model import ObjectRecord
from tests.archives import add_photograph, jpeg, new_archive, piece, run, save, sold_to


def originals(folder: Path) -> list[Path]:
    return sorted((folder / "originals").glob("*/*.jpg"))


def damage(path: Path, how: str) -> None:
    path.chmod(0o644)
    data = path.read_bytes()
    if how == "flipped":
        path.write_bytes(data[:50] + bytes([data[50] ^ 1]) + data[51:])
    elif how == "cut":
        path.write_bytes(data[: len(data) // 2])
    elif how == "a folder":
        path.unlink()
        path.mkdir()
    else:
        path.unlink()


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """An archive that took a folder of photographs in, and has its safe copy beside it."""
    new_archive(tmp_path / "archive").catalogue.close()
    for number in range(3):
        jpeg(tmp_path / "old" / f"T {number}" / "a.jpg", tone=number * 9)
    sheet = tmp_path / "stock.csv"
    sheet.write_text("Number,Title\nT 0,Bowl\nT 1,Jar\nT 2,Vase\n", encoding="utf-8")
    folder = tmp_path / "archive"
    assert run(folder, "survey", sheet, tmp_path / "old").exit_code == 0
    assert run(folder, "apply").exit_code == 0
    done = run(folder, "release", "bagit", "--archive", "--for", "owner", "--to", tmp_path / "safe")
    assert done.exit_code == 0, done.output
    return folder


@pytest.fixture
def bag(folder: Path, tmp_path: Path) -> Path:
    (bag,) = (tmp_path / "safe").iterdir()
    return bag


@pytest.mark.parametrize("how", ["flipped", "cut", "gone", "a folder"])
def test_restoring_over_an_archive_mends_its_originals_and_moves_no_other(
    folder: Path, bag: Path, how: str
) -> None:
    first, *others = originals(folder)
    content = first.read_bytes()
    before = [path.stat().st_ino for path in others]
    damage(first, how)
    assert run(folder, "fixity").exit_code == 1
    done = run(folder, "restore", bag, "--into", folder)
    assert done.exit_code == 0, done.output
    assert "Mended: 1" in done.output
    assert first.read_bytes() == content
    assert [path.stat().st_ino for path in others] == before
    assert run(folder, "fixity").exit_code == 0


@pytest.mark.parametrize("how", ["flipped", "cut", "gone"])
@pytest.mark.parametrize("found_by", ["fixity", "release"])
def test_taking_the_file_in_again_mends_its_original(
    folder: Path, tmp_path: Path, how: str, found_by: str
) -> None:
    first = originals(folder)[0]
    content = first.read_bytes()
    damage(first, how)
    if found_by == "fixity":
        assert run(folder, "fixity").exit_code == 1
    else:
        done = run(folder, "release", "iptc", "--for", "owner", "--to", tmp_path / "o")
        assert done.exit_code == 1
    done = run(folder, "survey", tmp_path / "old")
    assert done.exit_code == 0, done.output
    done = run(folder, "apply")
    assert done.exit_code == 0, done.output
    assert first.read_bytes() == content
    assert run(folder, "fixity").exit_code == 0
    with Archive.open(folder) as archive:
        assert archive.catalogue.count("photograph") == 3, "nothing is doubled"


@pytest.mark.parametrize(
    "damaging",
    [
        "UPDATE version SET json = replace(json, 'Bowl', 'Cowl')",
        "UPDATE version SET sha256 = replace(sha256, 'a', 'b')",
        "UPDATE version SET json = CAST(X'FF' AS TEXT) WHERE kind = 'object'",
        "DELETE FROM version WHERE kind = 'photograph'",
        "UPDATE action SET who = 'nobody'",
        "UPDATE imported SET text = 'other'",
        "UPDATE occurrence SET path = 'other'",
        "UPDATE source SET location = '/elsewhere'",
        "UPDATE original SET sha512 = '0'",
        "UPDATE original SET extension = '.png'",
        "DELETE FROM action WHERE number = 1",
        "UPDATE digest SET sha256 = '0' WHERE facts = 'action'",
        "DELETE FROM digest",
    ],
)
def test_restoring_over_an_archive_mends_its_facts(folder: Path, bag: Path, damaging: str) -> None:
    before = facts(folder)
    connection = sqlite3.connect(folder / "catalogue.sqlite")
    connection.execute(damaging)
    connection.commit()
    connection.close()
    if "FROM digest" not in damaging and "UPDATE digest" not in damaging:
        assert facts(folder) != before
    assert run(folder, "fixity").exit_code == 1
    done = run(folder, "restore", bag, "--into", folder)
    assert "Mended" in done.output, done.output
    checked = run(folder, "fixity")
    again = run(folder, "fixity")
    assert again.exit_code == 0, (checked.output, again.output)
    assert facts(folder) == before


def facts(folder: Path) -> dict[str, list[tuple[object, ...]]]:
    """Every row of the tables of facts that the safe copy holds."""
    connection = sqlite3.connect(folder / "catalogue.sqlite")
    connection.text_factory = bytes
    try:
        return {
            table: sorted(connection.execute(f"SELECT * FROM {table}").fetchall(), key=repr)
            for table in ("version", "occurrence", "imported", "source", "original")
        } | {
            "action": connection.execute(
                "SELECT * FROM action WHERE kind != 'restore' ORDER BY number"
            ).fetchall()
        }
    finally:
        connection.close()


def test_what_was_changed_since_the_copy_stays_as_it_was_changed(folder: Path, bag: Path) -> None:
    edited = run(folder, "edit", "T 0", "--set", "title=Large bowl")
    assert edited.exit_code == 0, edited.output
    damage(originals(folder)[0], "flipped")
    assert "Mended: 1" in run(folder, "restore", bag, "--into", folder).output
    with Archive.open(folder) as archive:
        assert archive.catalogue.keyed(ObjectRecord, "T 0")[0].title == "Large bowl"


def test_a_restore_does_not_bring_back_who_was_erased(tmp_path: Path) -> None:
    folder = sold_to("Ottoline Quennell", tmp_path)
    run(folder, "release", "bagit", "--archive", "--for", "owner", "--to", tmp_path / "safe")
    (bag,) = (tmp_path / "safe").iterdir()
    assert run(folder, "erase", "Ottoline Quennell", "--yes").exit_code == 0
    done = run(folder, "restore", bag, "--into", folder)
    assert done.exit_code == 1, "what differs is asked about"
    for path in folder.rglob("*"):
        kept = path.relative_to(folder).as_posix()
        if path.is_file() and not (kept.startswith("originals/") and kept.count("/") == 2):
            assert b"quennell" not in path.read_bytes().lower(), kept


def test_what_a_killed_command_left_is_removed_by_the_next(folder: Path, tmp_path: Path) -> None:
    left = [
        folder / "originals" / "incoming-0123",
        folder / "originals" / "inventory.csv.new",
        folder / "proposals" / "a.json.new",
        folder / "derivatives" / "copies-2" / "ab" / "x.part",
    ]
    for path in left:
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(b"half")
    assert run(folder, "fixity").exit_code == 0
    assert [path for path in left if path.exists()] == []


def test_a_release_removes_what_a_killed_one_left_and_not_what_another_is_at(
    folder: Path, tmp_path: Path
) -> None:
    from archivist.locking import locked

    to = tmp_path / "out"
    killed, working = to / ".unfinished-killed", to / ".unfinished-working"
    process = subprocess.Popen([sys.executable, "-c", "import time; time.sleep(60)"])
    for work in (killed, working):
        work.mkdir(parents=True)
    ended = subprocess.Popen([sys.executable, "-c", ""])
    ended.wait()
    with locked(killed):
        lock = next(killed.iterdir())
        words = lock.read_text()
    try:
        mine = f'"process":{os.getpid()}'
        assert mine in words
        (killed / lock.name).write_text(words.replace(mine, f'"process":{ended.pid}'))
        (working / lock.name).write_text(words.replace(mine, f'"process":{process.pid}'))
        assert run(folder, "release", "bagit", "--for", "buyer", "--to", to).exit_code == 0
        assert not killed.exists()
        assert working.exists()
    finally:
        process.kill()
        process.wait()


@pytest.mark.skipif(os.name == "nt", reason="a process is killed by a signal")
def test_two_at_once_the_second_says_who_is_at_work(folder: Path) -> None:
    with Archive.open(folder) as archive, archive.at_work():
        command = [sys.executable, "-m", "archivist", "-a", str(folder)]
        for words in (("apply",), ("erase", "Nobody", "--yes")):
            done = subprocess.run([*command, *words], capture_output=True, text=True, check=False)
            if "No proposal is waiting" not in done.stdout and "0 parties" not in done.stderr:
                assert done.returncode == 2
                assert "is at work in" in done.stderr
                assert str(os.getpid()) in done.stderr


@pytest.mark.skipif(os.name == "nt", reason="a process is killed by a signal")
def test_two_applies_of_one_proposal_at_once_end_well_or_say_who_is_at_work(
    tmp_path: Path,
) -> None:
    new_archive(tmp_path / "archive").catalogue.close()
    folder = tmp_path / "archive"
    for number in range(30):
        jpeg(tmp_path / "old" / f"T {number}" / "a.jpg", tone=number)
    assert run(folder, "survey", tmp_path / "old").exit_code == 0
    command = [sys.executable, "-m", "archivist", "-a", str(folder), "apply"]
    both = [
        subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
        for _ in range(2)
    ]
    outcomes = [(p.communicate(timeout=120), p.returncode) for p in both]
    for (out, err), code in outcomes:
        assert code == 0 or "is at work in" in err, (out, err)
    assert run(folder, "apply").exit_code == 0
    assert run(folder, "fixity").exit_code == 0
    with Archive.open(folder) as archive:
        assert archive.catalogue.count("photograph") == 30


@pytest.mark.skipif(os.name == "nt", reason="a process is killed by a signal")
def test_a_killed_restore_leaves_nothing_after_the_next(bag: Path, tmp_path: Path) -> None:
    into = tmp_path / "again"
    for wait in (0.3, 0.6, 0.9):
        process = subprocess.Popen(
            [sys.executable, "-m", "archivist", "restore", str(bag), "--into", str(into)],
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )
        time.sleep(wait)
        process.send_signal(signal.SIGKILL)
        process.wait()
        if into.exists():
            shutil.rmtree(into)
    done = run(tmp_path, "restore", bag, "--into", into)
    assert done.exit_code == 0, done.output
    assert [p.name for p in tmp_path.iterdir() if p.name.startswith(".")] == []
    assert run(into, "fixity").exit_code == 0


def test_an_original_that_the_disk_gives_back_otherwise_is_not_taken_in(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from archivist.catalogue import originals as store_module
    from archivist.errors import ArchiveError

    with new_archive(tmp_path / "archive") as archive:
        source = jpeg(tmp_path / "a.jpg")

        def lose(descriptor: int) -> bool:
            os.ftruncate(descriptor, 10)
            return True

        monkeypatch.setattr(store_module, "forget_cached", lose)
        with pytest.raises(ArchiveError, match="gives back other bytes"):
            archive.store.take_in(source, ".jpg")
        assert list((tmp_path / "archive" / "originals").glob("*/*")) == []


def test_a_failed_sync_fails_the_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from archivist.catalogue import originals as store_module
    from archivist.errors import ArchiveError

    def fails(descriptor: int) -> None:
        raise OSError(5, "Input/output error")

    with new_archive(tmp_path / "archive") as archive:
        record = piece("T 1", "Bowl")
        save(archive.catalogue, record)
        monkeypatch.setattr(store_module, "sync", fails)
        with pytest.raises(ArchiveError, match="cannot be written"):
            add_photograph(archive, jpeg(tmp_path / "a.jpg"), (record,))
        monkeypatch.undo()
        assert [p for p in archive.store.files() if p.is_file()] == []


def test_wherever_in_the_file_a_name_is_damaged_it_is_found_and_mended(
    folder: Path, bag: Path, tmp_path: Path
) -> None:
    """In the row itself, and in the indexes that hold it once more."""
    whole = (folder / "catalogue.sqlite").read_bytes()
    name = b"T 0/a.jpg"
    places = [n for n in range(len(whole)) if whole.startswith(name, n)]
    assert len(places) > 1
    for number, place in enumerate(places):
        copy = tmp_path / f"copy-{number}"
        shutil.copytree(folder, copy)
        damaged = bytearray(whole)
        damaged[place + 4] ^= 1
        (copy / "catalogue.sqlite").write_bytes(damaged)
        assert run(copy, "fixity").exit_code == 1, place
        run(copy, "restore", bag, "--into", copy)
        run(copy, "fixity")
        last = run(copy, "fixity")
        assert last.exit_code == 0, last.output
