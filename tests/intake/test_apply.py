"""Applying is whole or not at all, goes on where it stopped, and names what could not be done."""

from __future__ import annotations

import errno
import os
import signal
import sqlite3
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import msgspec
import pytest

from archivist.catalogue.archive import CATALOGUE, Archive
from archivist.catalogue.events import events
from archivist.catalogue.holdings import originals
from archivist.catalogue.undoing import last_undoable, undo
from archivist.digests import digest_file
from archivist.errors import ArchiveError, SelectionError
from archivist.intake.apply import apply, size_of
from archivist.intake.changed import changed_record
from archivist.intake.choose import newest_proposal
from archivist.intake.proposal import CreateObject, read_proposal
from archivist.model import Note, ObjectRecord, Party, Photograph

Look = Callable[..., Any]
ROOT = Path(__file__).resolve().parents[2]
ROWS = [["Stock No", "What it is", "Buyer"], *([f"T {n:03}", f"bowl {n}", ""] for n in range(20))]


def source_of(folder: Path, picture: Look, sheet: Look, pictures: int = 5) -> Path:
    source = folder / "old things"
    for number in range(pictures):
        picture(source / f"T {number:03}/front.jpg")
    sheet(ROWS).rename(source / "stock.xlsx")
    return source


def test_what_is_copied_in_is_whole_listed_and_recorded(
    archive: Archive, tmp_path: Path, picture: Look, sheet: Look, take_in: Look
) -> None:
    source = source_of(tmp_path, picture, sheet)
    done = take_in(source)
    assert (done.records, done.photographs, done.files) == (20, 5, 6)
    listed = (archive.store.folder / "manifest-sha256.txt").read_text(encoding="utf-8")
    assert listed.count("\n") == 6
    inventory = (archive.store.folder / "inventory.csv").read_text(encoding="utf-8-sig")
    assert "T 003/front.jpg" in inventory
    (event,) = events(archive.catalogue)
    assert (event.type, event.outcome) == ("ingestion", "success")
    assert "20 records, 5 photographs, 6 files" in event.detail


def test_a_file_that_is_gone_is_named_and_the_others_are_taken_in(
    archive: Archive, tmp_path: Path, picture: Look, sheet: Look, look: Look
) -> None:
    source = source_of(tmp_path, picture, sheet)
    told = look(source)
    (source / "T 001/front.jpg").unlink()
    done = apply(archive, told.proposal, told.path.name, "Ines")
    assert (done.records, done.photographs, done.files) == (20, 4, 5)
    (failure,) = done.failures
    assert "T 001" in failure
    assert events(archive.catalogue)[0].outcome == "warning"


def test_a_file_that_changed_since_the_survey_is_not_taken_in_as_what_it_was(
    archive: Archive, tmp_path: Path, picture: Look, sheet: Look, look: Look
) -> None:
    source = source_of(tmp_path, picture, sheet)
    told = look(source)
    picture(source / "T 001/front.jpg")
    done = apply(archive, told.proposal, told.path.name, "Ines")
    assert "changed between the survey and now" in done.failures[0]
    assert archive.catalogue.count("photograph") == 4
    take = look(source)
    apply(archive, take.proposal, take.path.name, "Ines")
    assert archive.catalogue.count("photograph") == 5


def test_a_full_disk_stops_before_the_catalogue_changes_and_it_goes_on_later(
    archive: Archive,
    tmp_path: Path,
    picture: Look,
    sheet: Look,
    look: Look,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    told = look(source_of(tmp_path, picture, sheet))
    synced = 0
    real = os.fsync

    def full(descriptor: int) -> None:
        nonlocal synced
        synced += 1
        if synced > 3:
            raise OSError(errno.ENOSPC, "No space left on device")
        real(descriptor)

    with monkeypatch.context() as patched:
        patched.setattr(os, "fsync", full)
        with pytest.raises(ArchiveError, match="is full"):
            apply(archive, told.proposal, told.path.name, "Ines")
    assert archive.catalogue.actions() == ()
    assert len(list(archive.store.files())) == 3
    copied = 0

    def count(amount: int) -> None:
        nonlocal copied
        copied += amount

    left = size_of(archive, told.proposal)
    done = apply(archive, told.proposal, told.path.name, "Ines", count)
    assert (done.records, done.photographs) == (20, 5)
    assert copied == left, "what was copied before was not copied again"


MOMENTS = ["copy 1", "copy 4", "save 1", "save 23", "commit", "inventory"]

KILLED = """
import os, signal, sys
from importlib.metadata import EntryPoint
from pathlib import Path
from archivist.catalogue.archive import Archive
from archivist.intake import apply as module
from archivist.intake.proposal import read_proposal

# Whoever runs the tests in the background may have let them ignore Ctrl-C.
signal.signal(signal.SIGINT, signal.default_int_handler)
folder, proposal, moment, how = sys.argv[1:]
what, _, count = moment.partition(" ")
left = int(count or 1)

def stop_at(function):
    def stopping(*arguments, **options):
        global left
        left -= 1
        if not left:
            os.kill(os.getpid(), getattr(signal, how))
        return function(*arguments, **options)
    return stopping

if what == "copy":
    from archivist.catalogue import originals
    originals.OriginalStore._settle = stop_at(originals.OriginalStore._settle)
elif what == "save":
    from archivist.catalogue.action import Action
    Action.save = stop_at(Action.save)
elif what == "commit":
    module.record_event = stop_at(module.record_event)
else:
    module.write_inventory = stop_at(module.write_inventory)
path = Path(proposal)
with Archive.open(Path(folder)) as archive:
    module.apply(archive, read_proposal(path), path.name, "Ines")
"""


@pytest.mark.parametrize("moment", MOMENTS)
@pytest.mark.parametrize("how", ["SIGINT", "SIGKILL"])
@pytest.mark.skipif(sys.platform == "win32", reason="Windows has no such signals")
def test_stopped_at_any_moment_the_archive_is_whole_and_goes_on(
    archive: Archive, tmp_path: Path, picture: Look, sheet: Look, look: Look, moment: str, how: str
) -> None:
    told = look(source_of(tmp_path, picture, sheet))
    archive.catalogue.close()
    paths = os.pathsep.join(str(ROOT / part) for part in ("", "plugins", "schemas"))
    command = [sys.executable, "-c", KILLED, str(archive.folder), str(told.path), moment, how]
    done = subprocess.run(
        command,
        env={**os.environ, "PYTHONPATH": paths},
        capture_output=True,
        text=True,
        check=False,
    )
    killed = -signal.SIGKILL if how == "SIGKILL" else -signal.SIGINT
    assert done.returncode in (killed, 1, 130), done.stderr
    with Archive.open(archive.folder) as opened:
        connection = opened.catalogue.connection
        assert connection.execute("PRAGMA integrity_check").fetchone()[0] == "ok"
        assert connection.execute("PRAGMA foreign_key_check").fetchall() == []
        assert opened.catalogue.count("object") in (0, 20), "whole or not at all"
        assert opened.catalogue.count("photograph") == opened.catalogue.count("object") // 4
        for path in opened.store.files():
            if not path.name.startswith("incoming-"):
                assert path.stem == digest_file(path).sha256, "no file is half copied"
        apply(opened, read_proposal(told.path), told.path.name, "Ines")
        assert (opened.catalogue.count("object"), opened.catalogue.count("photograph")) == (20, 5)
        assert len(opened.catalogue.actions()) == 1
        assert len(list(originals(opened.catalogue))) == 6
        manifest = (opened.store.folder / "manifest-sha256.txt").read_text(encoding="utf-8")
        assert manifest.count("\n") == 6
        assert not list(opened.store.folder.glob("incoming-*"))
    assert not Path(f"{archive.folder / CATALOGUE}-journal").exists()


def test_the_newest_proposal_that_was_not_applied_is_meant(
    archive: Archive, sheet: Look, look: Look
) -> None:
    first = look(sheet(ROWS[:3]))
    second = look(sheet(ROWS, "other.xlsx"))
    assert newest_proposal(archive) == second.path
    apply(archive, second.proposal, second.path.name, "Ines")
    assert newest_proposal(archive) == first.path
    undo(archive.catalogue, last_undoable(archive.catalogue), "Ines")
    assert newest_proposal(archive) == second.path, "what was taken back waits again"


def test_parties_of_one_name_in_two_proposals_are_one(
    archive: Archive, sheet: Look, look: Look
) -> None:
    rows = [["Stock No", "Title", "Buyer"], ["T 1", "bowl", "Mrs Odile Farrant-Lowe"]]
    other = [["Stock No", "Title", "Buyer"], ["T 2", "dish", "Mrs  Odile FARRANT-LOWE"]]
    for told in [look(sheet(rows)), look(sheet(other, "other.xlsx"))]:
        apply(archive, told.proposal, told.path.name, "Ines")
    (party,) = archive.catalogue.all(Party)
    buyers = {s.party for r in archive.catalogue.all(ObjectRecord) for s in r.sales}
    assert buyers == {party.id}


def test_two_names_that_a_person_says_are_one_become_one_also_afterwards(
    archive: Archive, sheet: Look, look: Look
) -> None:
    rows = [
        ["Stock No", "Title", "Buyer"],
        ["T 1", "bowl", "Dr Casimir Brunnick"],
        ["T 2", "dish", "Dr Brunnick"],
    ]
    told = look(sheet(rows))
    apply(archive, told.proposal, told.path.name, "Ines")
    (question,) = told.proposal.questions
    assert question.asks == "Is 'Dr Brunnick' the same as 'Dr Casimir Brunnick'?"
    same = msgspec.structs.replace(question, answer="Dr Casimir Brunnick")
    apply(
        archive,
        msgspec.structs.replace(told.proposal, questions=(same,)),
        told.path.name,
        "Ines",
    )
    records = {r.stock_number: r.sales[0] for r in archive.catalogue.all(ObjectRecord)}
    assert records["T 1"].party == records["T 2"].party
    assert records["T 2"].as_stated == "Dr Brunnick", "the words stay"
    party = archive.catalogue.get(records["T 1"].party, Party)
    assert party is not None
    assert party.also_known_as == ("Dr Brunnick",)


def test_an_edited_proposal_is_applied_as_it_was_edited(
    archive: Archive, sheet: Look, look: Look
) -> None:
    told = look(sheet(ROWS[:2]))
    text = told.path.read_text(encoding="utf-8")
    assert '"accept": true' in text
    told.path.write_text(text.replace('"bowl 0"', '"Bowl, the first"'), encoding="utf-8-sig")
    apply(archive, read_proposal(told.path), told.path.name, "Ines")
    assert archive.catalogue.object_named("T 000").title == "Bowl, the first"


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ('"accept": true,', '"accept": true', "no longer proper JSON"),
        ('"accept": true', '"accept": "yes"', "does not fit"),
        ('"accept"', '"akzept"', "does not fit"),
        ('"create object"', '"make object"', "does not fit"),
    ],
)
def test_a_proposal_edited_into_something_else_is_refused_and_the_place_named(
    sheet: Look, look: Look, old: str, new: str, says: str
) -> None:
    told = look(sheet(ROWS[:2]))
    text = told.path.read_text(encoding="utf-8")
    told.path.write_text(text.replace(old, new, 1), encoding="utf-8")
    with pytest.raises(SelectionError, match=says):
        read_proposal(told.path)


def test_an_answer_that_is_no_choice_changes_nothing(
    archive: Archive, sheet: Look, look: Look
) -> None:
    rows = [["No", "Buyer"], ["T 1", "Dr Casimir Brunnick"], ["T 2", "Dr Brunnick"]]
    told = look(sheet(rows))
    wrong = msgspec.structs.replace(told.proposal.questions[0], answer="perhaps")
    with pytest.raises(SelectionError, match="none of the choices"):
        apply(
            archive,
            msgspec.structs.replace(told.proposal, questions=(wrong,)),
            told.path.name,
            "Ines",
        )
    assert archive.catalogue.actions() == ()


def test_a_photograph_of_a_refused_record_is_kept_without_it(
    archive: Archive, tmp_path: Path, picture: Look, sheet: Look, look: Look
) -> None:
    told = look(source_of(tmp_path, picture, sheet, pictures=1))
    items = tuple(
        msgspec.structs.replace(i, accept=not isinstance(i, CreateObject))
        for i in told.proposal.items
    )
    proposal = msgspec.structs.replace(told.proposal, items=items)
    apply(archive, proposal, told.path.name, "Ines")
    (photograph,) = archive.catalogue.all(Photograph)
    assert photograph.depictions == ()
    assert list(archive.catalogue.unassigned_photographs()) == [photograph]


def test_an_apply_can_be_undone_whole(
    archive: Archive, tmp_path: Path, picture: Look, sheet: Look, take_in: Look
) -> None:
    take_in(source_of(tmp_path, picture, sheet))
    undo(archive.catalogue, last_undoable(archive.catalogue), "Ines")
    assert (archive.catalogue.count("object"), archive.catalogue.count("photograph")) == (0, 0)
    assert len(list(archive.store.files())) == 6, "originals stay"


def test_changes_of_a_record_can_be_repeated_and_never_overwrite_later_ones() -> None:
    old, new, later = (Note(as_stated=words) for words in ("old", "new", "later"))
    record = ObjectRecord(id="x", notes=(Note(as_stated="first"), old, Note(as_stated="last")))
    removes, adds = ObjectRecord(id="x", notes=(old,)), ObjectRecord(id="x", notes=(new,))
    changed = changed_record(record, removes, adds)
    assert changed is not None
    assert [n.as_stated for n in changed.notes] == ["first", "new", "last"]
    assert changed_record(changed, removes, adds) == changed
    touched = msgspec.structs.replace(record, notes=(record.notes[0], later))
    assert changed_record(touched, removes, adds) is None


def test_the_catalogue_is_one_file_afterwards(archive: Archive, sheet: Look, take_in: Look) -> None:
    take_in(sheet(ROWS))
    archive.catalogue.close()
    left = {p.name for p in archive.folder.iterdir() if p.name.startswith(CATALOGUE)}
    assert left == {CATALOGUE}
    assert sqlite3.connect(archive.folder / CATALOGUE).execute("SELECT 1").fetchone() == (1,)
