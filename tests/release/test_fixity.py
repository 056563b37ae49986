"""A fixity check names all that is missing, changed, extra or unreadable, and is recorded."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from archivist.catalogue.archive import Archive
from archivist.catalogue.events import EventType, Outcome, events
from archivist.catalogue.holdings import originals
from archivist.errors import SelectionError
from archivist.hooks import FixityState
from archivist.plugins import load_plugins
from archivist.release.fixity import check_originals, check_package
from tests.release.conftest import released


def paths(archive: Archive) -> list[Path]:
    return [archive.store.path_of(o.sha256, o.extension) for o in originals(archive.catalogue)]


def found(archive: Archive) -> list[tuple[FixityState, str]]:
    report = check_originals(archive, lambda size: None)
    return [(problem.state, problem.path.split("/")[-1]) for problem in report.problems]


def test_an_archive_as_it_should_be_has_no_problems_and_that_is_recorded(archive: Archive) -> None:
    passed: list[int] = []
    report = check_originals(archive, passed.append)
    assert report.problems == ()
    assert report.files == 3
    assert report.size == sum(passed) == sum(path.stat().st_size for path in paths(archive))
    event = events(archive.catalogue)[-1]
    # PREMIS event vocabularies, id.loc.gov/vocabulary/preservation/eventType and eventOutcome.
    assert (event.type, event.outcome) == (EventType.FIXITY_CHECK, Outcome.SUCCESS)
    assert event.type == "fixity check"


def test_everything_that_is_wrong_is_named_at_once(archive: Archive) -> None:
    missing, changed, cut = paths(archive)
    for path in (missing, changed, cut):
        path.chmod(0o644)
    missing.unlink()
    data = bytearray(changed.read_bytes())
    data[100] ^= 1
    changed.write_bytes(data)
    cut.write_bytes(cut.read_bytes()[:-1])
    extras = [archive.store.folder / name for name in ("note.txt", "ab/x.jpg", "incoming-1")]
    for extra in extras:
        extra.parent.mkdir(exist_ok=True)
        extra.write_bytes(b"x")
    assert sorted(found(archive)) == sorted(
        [
            (FixityState.MISSING, missing.name),
            (FixityState.CHANGED, changed.name),
            (FixityState.CHANGED, cut.name),
            *((FixityState.EXTRA, extra.name) for extra in extras),
        ]
    )
    event = events(archive.catalogue)[-1]
    assert event.outcome == Outcome.FAIL
    for name in (missing.name, changed.name, cut.name, "note.txt"):
        assert name in event.report


def test_a_file_that_cannot_be_read_is_named_and_the_others_are_checked(archive: Archive) -> None:
    unreadable, changed, _ = paths(archive)
    unreadable.unlink()
    unreadable.mkdir()
    changed.chmod(0o644)
    changed.write_bytes(b"x")
    assert set(found(archive)) == {
        (FixityState.UNREADABLE, unreadable.name),
        (FixityState.CHANGED, changed.name),
    }


def test_a_check_of_an_archive_that_cannot_be_written_says_that_it_is_not_recorded(
    archive: Archive,
) -> None:
    archive.catalogue.writable = False
    report = check_originals(archive, lambda size: None)
    assert "not recorded" in report.remarks[0]
    assert events(archive.catalogue) == ()


def test_ctrl_c_ends_a_check_and_records_nothing(archive: Archive) -> None:
    def stop(_: int) -> None:
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        check_originals(archive, stop)
    assert events(archive.catalogue) == ()


def test_a_package_is_checked_with_or_without_an_archive(archive: Archive, tmp_path: Path) -> None:
    plugins = load_plugins()
    place = released(archive, plugins, tmp_path / "o", "bagit").place
    assert place is not None
    assert check_package(plugins, place, lambda size: None).problems == ()
    before = len(events(archive.catalogue))
    victim = next(path for path in (place / "data").rglob("*.jpg"))
    victim.write_bytes(b"x")
    report = check_package(plugins, place, lambda size: None, archive=archive)
    assert victim.relative_to(place).as_posix() in [p.path for p in report.problems]
    assert len(events(archive.catalogue)) == before + 1
    assert str(place) in events(archive.catalogue)[-1].detail


def test_what_is_no_package_is_refused_and_what_could_be_opened_is_named(tmp_path: Path) -> None:
    for path in (tmp_path, tmp_path / "gone", Path(os.devnull)):
        with pytest.raises(SelectionError, match="is no package that"):
            check_package(load_plugins(), path, lambda size: None)
