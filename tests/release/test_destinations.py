"""A publication changes only where its pieces did; a package is new each time, and whole."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
from pathlib import Path

import msgspec
import pytest

from archivist.catalogue.archive import Archive
from archivist.catalogue.events import EventType, Outcome, events, releases
from archivist.errors import ArchiveError, SelectionError
from archivist.hooks import Exporter, Package, Piece, Selection
from archivist.model import ObjectRecord, Title
from archivist.plugins import load_plugins
from archivist.release import estimate
from archivist.release import release as release_module
from archivist.release.journal import JOURNAL
from tests.archives import new_archive, piece, save
from tests.release.conftest import everything, exporter, plugins_of, released, tree

PLUGINS = plugins_of(
    exporter("words"),
    exporter("more"),
    exporter("bag", immutable=True, takes_in=True, after=("*",)),
)


def retitled(record: ObjectRecord, title: str) -> ObjectRecord:
    return msgspec.structs.replace(record, titles=(Title(value=title),))


def stamps(folder: Path) -> dict[str, tuple[int, int]]:
    return {
        path: ((s := (folder / path).stat()).st_ino, s.st_mtime_ns) for path in sorted(tree(folder))
    }


def test_a_second_run_touches_nothing(archive: Archive, tmp_path: Path) -> None:
    out = tmp_path / "out"
    first = released(archive, PLUGINS, out, "words", "more")
    before = stamps(out)
    second = released(archive, PLUGINS, out, "words", "more")
    assert (first.written, first.unchanged) == (8, 0)
    assert (second.written, second.unchanged) == (0, 8)
    assert stamps(out) == before
    assert len(releases(archive.catalogue)) == 1, "what changed nothing is not registered again"


def test_only_the_files_of_what_changed_are_written(archive: Archive, tmp_path: Path) -> None:
    out = tmp_path / "out"
    released(archive, PLUGINS, out, "words")
    before = stamps(out)
    save(archive.catalogue, retitled(archive.catalogue.object_named("T 1"), "Covered jar"))
    report = released(archive, PLUGINS, out, "words")
    changed = {path for path, stamp in stamps(out).items() if before.get(path) != stamp}
    assert {path[:10] for path in changed} == {"words/t-1-", "words/all."}
    assert report.written == 2
    assert b"Covered jar" in tree(out)["words/all.txt"]


def test_a_piece_that_is_gone_disappears_with_its_folders(archive: Archive, tmp_path: Path) -> None:
    out = tmp_path / "out"
    released(archive, PLUGINS, out, "words", "more")
    kept = everything(archive)[:2]
    released(archive, PLUGINS, out, "words", objects=kept)
    assert sum(path.startswith("words/t-") for path in tree(out)) == 2
    assert sum(path.startswith("more/t-") for path in tree(out)) == 3, "of the other exporter all"


def test_a_piece_with_another_number_leaves_no_file_under_the_old_one(
    archive: Archive, tmp_path: Path
) -> None:
    out = tmp_path / "out"
    released(archive, PLUGINS, out, "words")
    record = archive.catalogue.object_named("T 1")
    save(archive.catalogue, msgspec.structs.replace(record, stock_number="X 1"))
    released(archive, PLUGINS, out, "words")
    assert not any("t-1-" in path for path in tree(out))
    assert any("x-1-" in path for path in tree(out))


def test_a_file_that_somebody_removed_or_cut_is_written_again(
    archive: Archive, tmp_path: Path
) -> None:
    out = tmp_path / "out"
    released(archive, PLUGINS, out, "words")
    whole = tree(out)
    paths = sorted(whole)
    (out / paths[1]).unlink()
    (out / paths[2]).write_bytes(b"")
    released(archive, PLUGINS, out, "words")
    assert tree(out) == whole


def test_files_of_others_in_the_folder_are_left(archive: Archive, tmp_path: Path) -> None:
    out = tmp_path / "out"
    released(archive, PLUGINS, out, "words")
    (out / "words" / "mine.txt").write_text("mine", encoding="utf-8")
    released(archive, PLUGINS, out, "words", objects=everything(archive)[:1])
    assert (out / "words" / "mine.txt").is_file()


def test_a_folder_of_other_files_is_refused(archive: Archive, tmp_path: Path) -> None:
    (tmp_path / "out").mkdir()
    (tmp_path / "out" / "letter.txt").write_text("mine", encoding="utf-8")
    with pytest.raises(SelectionError, match="holds files that no release put there"):
        released(archive, PLUGINS, tmp_path / "out", "words")
    assert [path.name for path in (tmp_path / "out").iterdir()] == ["letter.txt"]


def test_a_folder_made_for_another_audience_is_refused(archive: Archive, tmp_path: Path) -> None:
    out = tmp_path / "out"
    released(archive, PLUGINS, out, "words", audience="public")
    before = tree(out)
    with pytest.raises(SelectionError, match="holds a release for 'public', not for 'owner'"):
        released(archive, PLUGINS, out, "words", audience="owner")
    assert tree(out) == before


def test_a_journal_that_lists_a_path_outside_is_refused(archive: Archive, tmp_path: Path) -> None:
    out = tmp_path / "out"
    released(archive, PLUGINS, out, "words")
    victim = tmp_path / "victim"
    victim.write_text("x", encoding="utf-8")
    line = {"unit": "words/x", "audience": "public", "files": [["../victim", 1, "", ""]]}
    with (out / JOURNAL).open("a", encoding="utf-8") as journal:
        journal.write(json.dumps(line) + "\n")
    with pytest.raises(Exception, match="victim"):
        released(archive, PLUGINS, out, "words")
    assert victim.is_file()


class SameName(Exporter):
    """Two pieces, one path."""

    def export_piece(self, piece: Piece, selection: Selection, package: Package) -> None:
        package.write("same.txt", piece.record.title)


@pytest.mark.parametrize("immutable", [False, True])
def test_two_pieces_that_want_one_path_are_told_and_the_first_stays(
    archive: Archive, tmp_path: Path, immutable: bool
) -> None:
    plugins = plugins_of(exporter("same", SameName, immutable=immutable))
    for _ in range(2):
        report = released(archive, plugins, tmp_path / "out", "same")
        assert [failure.subject for failure in report.failures] == ["T 1", "T 2"]
        assert report.place is not None
        assert list(tree(report.place).values()) == [b"Bowl"]


STOPPED = """
import os, signal, sys
from pathlib import Path
from archivist.catalogue.archive import Archive
from archivist.release import destinations
from tests.release.conftest import exporter, plugins_of, released

left = int(sys.argv[3])
place = destinations.Publication._place

def place_and_die(self, file):
    global left
    if left == 0:
        os.kill(os.getpid(), signal.SIGKILL)
    left -= 1
    return place(self, file)

destinations.Publication._place = place_and_die
with Archive.open(Path(sys.argv[1])) as archive:
    released(archive, plugins_of(exporter("words")), Path(sys.argv[2]), "words")
"""


@pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="no SIGKILL on this system")
@pytest.mark.parametrize("after", [0, 2])
def test_a_publication_that_was_cut_off_is_whole_after_the_next_run(
    tmp_path: Path, after: int
) -> None:
    out = tmp_path / "out"
    with new_archive(tmp_path / "archive") as archive:
        for number in range(4):
            save(archive.catalogue, piece(f"T {number}", f"Bowl {number}"))
        released(archive, PLUGINS, out, "words")
        for record in list(archive.catalogue.all(ObjectRecord)):
            save(archive.catalogue, retitled(record, f"{record.title}, revised"))
    command = [sys.executable, "-c", STOPPED, str(tmp_path / "archive"), str(out), str(after)]
    ended = subprocess.run(command, cwd=Path(__file__).parents[2], check=False)
    assert ended.returncode == -signal.SIGKILL
    with Archive.open(tmp_path / "archive") as archive:
        report = released(archive, PLUGINS, out, "words")
        assert report.written == 5 - after
        released(archive, PLUGINS, tmp_path / "fresh", "words")
    assert tree(out) == tree(tmp_path / "fresh")
    assert [p.name for p in out.iterdir() if p.name.startswith(".")] == []


def test_ctrl_c_leaves_a_publication_that_goes_on(archive: Archive, tmp_path: Path) -> None:
    out = tmp_path / "out"

    def stop(_: int) -> None:
        raise KeyboardInterrupt

    from archivist.release.request import Request

    request = Request(("words",), "public", out, everything(archive))
    with pytest.raises(KeyboardInterrupt):
        release_module.release(archive, PLUGINS, request, stop)
    assert [p.name for p in out.iterdir() if p.name.startswith(".")] == []
    assert len(releases(archive.catalogue)) == 1, "what lies there is known to have gone out"
    assert events(archive.catalogue)[-1].outcome == Outcome.WARNING
    report = released(archive, PLUGINS, out, "words")
    assert (report.written, report.unchanged) == (3, 1)


def test_a_package_is_new_each_time_and_never_touched_again(
    archive: Archive, tmp_path: Path
) -> None:
    places = [released(archive, PLUGINS, tmp_path / "o", "bag").place for _ in range(3)]
    assert [place.name for place in places if place] == [
        "the-tidewell-papers-public-20260115",
        "the-tidewell-papers-public-20260115-2",
        "the-tidewell-papers-public-20260115-3",
    ]
    assert len(releases(archive.catalogue)) == 3
    assert events(archive.catalogue)[-1].type == EventType.DISSEMINATION


def test_what_a_package_takes_in_does_not_stand_beside_it(archive: Archive, tmp_path: Path) -> None:
    alone = released(archive, PLUGINS, tmp_path / "o", "bag", "words").place
    assert alone is not None
    assert all(path.startswith(("t-", "all.txt")) for path in tree(alone))


def test_packages_that_do_not_take_in_the_others_hold_a_folder_of_each(
    archive: Archive, tmp_path: Path
) -> None:
    plugins = plugins_of(exporter("words"), exporter("dossier", immutable=True))
    place = released(archive, plugins, tmp_path / "o", "words", "dossier").place
    assert place is not None
    assert {path.split("/")[0] for path in tree(place)} == {"words", "dossier"}


def test_ctrl_c_leaves_nothing_of_a_package(archive: Archive, tmp_path: Path) -> None:
    class Stopped(Exporter):
        def export_piece(self, piece: Piece, selection: Selection, package: Package) -> None:
            package.write("a.txt", "x")
            raise KeyboardInterrupt

    plugins = plugins_of(exporter("bag", Stopped, immutable=True))
    with pytest.raises(KeyboardInterrupt):
        released(archive, plugins, tmp_path / "new" / "out", "bag")
    assert not (tmp_path / "new").exists()
    assert releases(archive.catalogue) == ()


def test_what_a_killed_release_left_is_removed_a_week_later(
    archive: Archive, tmp_path: Path
) -> None:
    old, new = tmp_path / "o" / ".unfinished-old", tmp_path / "o" / ".unfinished-new"
    for left in (old, new):
        (left / "parts").mkdir(parents=True)
    os.utime(old, (0, 0))
    released(archive, PLUGINS, tmp_path / "o", "bag")
    assert not old.exists()
    assert new.exists(), "another release may be at work there"


def test_a_package_that_does_not_fit_is_not_begun(
    archive: Archive, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(estimate, "_free", lambda place: 10)
    with pytest.raises(ArchiveError, match="has 10 bytes free; this release takes about"):
        released(archive, PLUGINS, tmp_path / "o", "bag")
    assert not (tmp_path / "o").exists()
    assert released(archive, PLUGINS, tmp_path / "o", "words").whole, "words take little room"


@pytest.mark.parametrize("name", ["originals", "derivatives/web", "proposals"])
def test_nothing_is_released_into_the_archive_itself(archive: Archive, name: str) -> None:
    before = tree(archive.folder)
    with pytest.raises(SelectionError, match="keeps for itself"):
        released(archive, PLUGINS, archive.folder / name, "words")
    assert tree(archive.folder) == before


@pytest.mark.parametrize("below", ["", "more/of/it"])
def test_nothing_is_released_into_a_file(archive: Archive, tmp_path: Path, below: str) -> None:
    file = tmp_path / "a file"
    file.write_bytes(b"mine")
    for immutable in (False, True):
        plugins = plugins_of(exporter("words", immutable=immutable))
        with pytest.raises(SelectionError, match="is a file, and a release goes into a folder"):
            released(archive, plugins, file / below, "words")
    assert file.read_bytes() == b"mine"


def test_asking_for_nothing_releases_nothing(archive: Archive, tmp_path: Path) -> None:
    out = tmp_path / "out"
    released(archive, PLUGINS, out, "words")
    before = tree(out)
    with pytest.raises(SelectionError, match="nothing was released"):
        released(archive, PLUGINS, out, "words", objects=())
    assert tree(out) == before


def test_the_whole_archive_goes_to_the_owner_alone(archive: Archive, tmp_path: Path) -> None:
    with pytest.raises(SelectionError, match="cannot go to 'public'"):
        released(archive, PLUGINS, tmp_path / "o", "bag", whole_archive=True)


def test_every_installed_exporter_changes_nothing_on_a_second_run(
    archive: Archive, tmp_path: Path
) -> None:
    plugins = load_plugins()
    names = [
        offer.description.name
        for offer in plugins.offers
        if offer.kind == "exporter" and not getattr(offer.description, "immutable", True)
    ]
    released(archive, plugins, tmp_path / "o", *names)
    before = stamps(tmp_path / "o")
    report = released(archive, plugins, tmp_path / "o", *names)
    assert report.written == 0, report
    assert stamps(tmp_path / "o") == before


def test_pieces_without_a_number_are_called_by_enough_of_their_identifier() -> None:
    from archivist.release.naming import piece_slug

    slugs = {piece_slug(piece("")) for _ in range(1000)}
    assert len(slugs) == 1000
    assert {len(slug) for slug in slugs} == {24}
    assert piece_slug(piece("箱 7")).startswith("7-")
