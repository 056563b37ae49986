"""Opening bags: recognising them, their payload, and bags in zips."""

from __future__ import annotations

import hashlib
import io
import shutil
import stat
import zipfile
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from archivist.errors import PackageError
from archivist.hooks import FixityReport, PayloadFile
from archivist.testing import export, sample_selection
from archivist_plugins.bagit import BagOptions, archivist_exporters
from archivist_plugins.bagit.format import BagFormat

MakeBag = Callable[..., Path]
Check = Callable[[Path], FixityReport]
Problems = Callable[[Path], dict[str, list[str]]]

FILES = {"data/a.txt": b"alpha", "data/b/c%.txt": b"gamma"}
LISTED = {"data/b/c%.txt": "data/b/c%25.txt"}


def zipped(bag: Path, *, at: str = "bag/") -> Path:
    """The bag as a zip, its files below `at`."""
    path = bag.with_suffix(".zip")
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        for file in sorted(bag.rglob("*")):
            archive.write(file, at + file.relative_to(bag).as_posix())
    return path


def test_a_bag_is_recognised_also_when_it_lost_its_declaration(
    make_bag: MakeBag, tmp_path: Path
) -> None:
    bag = make_bag(FILES)
    assert BagFormat().recognises(bag)
    assert BagFormat().recognises(zipped(bag))
    (bag / "bagit.txt").unlink()
    assert BagFormat().recognises(bag)
    shutil.rmtree(bag / "data")
    assert not BagFormat().recognises(bag)
    assert not BagFormat().recognises(tmp_path / "nowhere")
    other = tmp_path / "other.zip"
    other.write_bytes(b"PK\x03\x04 not a zip")
    assert not BagFormat().recognises(other)


def test_the_payload_comes_with_decoded_paths_and_recorded_digests(make_bag: MakeBag) -> None:
    bag = make_bag(FILES, listed=LISTED, algorithms=["sha256", "sha512"])
    files = list(BagFormat().payload(bag))
    assert [file.path for file in files] == ["a.txt", "b/c%.txt"]
    for file in files:
        assert file.source is not None
        content = file.source.read_bytes()
        assert content == FILES[f"data/{file.path}"]
        assert file.sha256 == hashlib.sha256(content).hexdigest()
        assert file.sha512 == hashlib.sha512(content).hexdigest()


def test_the_payload_of_a_zip_comes_as_bytes(make_bag: MakeBag) -> None:
    bag = make_bag(FILES, listed=LISTED)
    files = {file.path: file.content for file in BagFormat().payload(zipped(bag))}
    assert files == {"a.txt": b"alpha", "b/c%.txt": b"gamma"}


@pytest.mark.parametrize("path", ["data/../../evil", "/evil", "~/evil", "C:\\evil"])
def test_a_bag_that_lists_an_unsafe_path_gives_no_file_at_all(make_bag: MakeBag, path: str) -> None:
    bag = make_bag({"data/0.txt": b""})
    with (bag / "manifest-sha256.txt").open("a", encoding="utf-8", newline="\n") as manifest:
        manifest.write(f"{hashlib.sha256(b'').hexdigest()}  {path}\n")
    given: list[PayloadFile] = []
    with pytest.raises(PackageError, match="evil"):
        given.extend(BagFormat().payload(bag))
    assert given == []


def test_a_missing_file_fails_when_it_is_opened_and_the_others_come(make_bag: MakeBag) -> None:
    bag = make_bag(FILES, listed=LISTED)
    (bag / "data/a.txt").unlink()
    missing, there = BagFormat().payload(bag)
    assert missing.source is not None
    assert not missing.source.exists()
    assert missing.sha256
    assert there.source is not None
    assert there.source.exists()


def test_files_that_no_manifest_lists_are_no_payload(make_bag: MakeBag) -> None:
    bag = make_bag(FILES, listed=LISTED)
    (bag / "data/extra.txt").write_bytes(b"")
    assert "extra.txt" not in [file.path for file in BagFormat().payload(bag)]


@pytest.mark.parametrize("at", ["bag/", "", "Grün 大/"])
def test_a_zip_is_judged_by_what_it_holds(make_bag: MakeBag, check: Check, at: str) -> None:
    bag = make_bag(FILES, listed=LISTED)
    assert check(zipped(bag, at=at)).problems == ()
    (bag / "data/a.txt").write_bytes(b"alphA")
    (problem,) = check(zipped(bag, at=at)).problems
    assert (problem.state, problem.path) == ("changed", "data/a.txt")


def test_our_own_bag_is_valid_in_a_zip(tmp_path: Path, check: Check) -> None:
    export(archivist_exporters(), sample_selection(tmp_path / "p"), tmp_path, BagOptions())
    report = check(zipped(tmp_path / "bagit", at="the-tidewell-papers/"))
    assert report.problems == ()
    assert report.files == 15


def test_a_damaged_zip_names_the_file(make_bag: MakeBag, problems: Problems) -> None:
    bag = make_bag({"data/a.txt": bytes(range(256)) * 40})
    path = bag.with_suffix(".zip")
    with zipfile.ZipFile(path, "w", zipfile.ZIP_STORED) as archive:
        for file in sorted(bag.rglob("*")):
            archive.write(file, f"bag/{file.relative_to(bag).as_posix()}")
    content = path.read_bytes()
    at = content.index(bytes(range(256)))
    path.write_bytes(content[:at] + b"?" + content[at + 1 :])
    assert problems(path) == {"unreadable": ["data/a.txt"]}


@pytest.fixture(scope="module")
def our_zip(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    folder = tmp_path_factory.mktemp("zip")
    export(archivist_exporters(), sample_selection(folder / "p"), folder)
    return zipped(folder / "bagit").read_bytes()


@settings(max_examples=150, deadline=None)
@given(data=st.data())
def test_a_damaged_zip_breaks_nothing_and_is_never_sound_with_other_contents(
    our_zip: bytes, tmp_path_factory: pytest.TempPathFactory, data: st.DataObject
) -> None:
    at = data.draw(st.integers(0, len(our_zip) - 1))
    length = data.draw(st.integers(0, 40))
    damaged = our_zip[:at] + data.draw(st.binary(max_size=40)) + our_zip[at + length :]
    path = tmp_path_factory.getbasetemp() / "damaged.zip"
    path.write_bytes(damaged)
    BagFormat().recognises(path)
    with suppress(PackageError):
        sound = not _verify(path).problems
        given = {file.path: file.content for file in BagFormat().payload(path)}
        assert not sound or given == _contents(our_zip)


def _contents(zip_bytes: bytes) -> dict[str, bytes]:
    with zipfile.ZipFile(io.BytesIO(zip_bytes)) as archive:
        names = [n for n in archive.namelist() if n.startswith("bag/data/") and n[-1] != "/"]
        return {name.removeprefix("bag/data/"): archive.read(name) for name in names}


def _verify(path: Path) -> FixityReport:
    return BagFormat().verify(path, progress=lambda size: None)


def test_a_zip_that_would_write_outside_or_holds_links_is_invalid(
    make_bag: MakeBag, problems: Problems
) -> None:
    path = zipped(make_bag(FILES, listed=LISTED))
    link = zipfile.ZipInfo("bag/data/link")
    link.external_attr = (stat.S_IFLNK | 0o777) << 16
    with zipfile.ZipFile(path, "a") as archive:
        archive.writestr("bag/../../evil.txt", b"x")
        archive.writestr(link, "/etc/passwd")
    assert problems(path) == {"invalid": ["bag/../../evil.txt", "data/link"]}


def test_a_name_that_a_zip_holds_twice_is_invalid(make_bag: MakeBag, problems: Problems) -> None:
    path = zipped(make_bag(FILES, listed=LISTED))
    with (
        zipfile.ZipFile(path, "a") as archive,
        pytest.warns(UserWarning, match="Duplicate name"),
    ):
        archive.writestr("bag/data/a.txt", b"something else")
    assert problems(path) == {"invalid": ["data/a.txt"]}


def test_a_file_that_is_no_bag_says_so(tmp_path: Path) -> None:
    (tmp_path / "notes.zip").write_bytes(b"no zip")
    for path in (tmp_path / "notes.zip", tmp_path / "nowhere"):
        with pytest.raises(PackageError, match="cannot be opened as a bag"):
            BagFormat().verify(path, progress=lambda size: None)
    with zipfile.ZipFile(tmp_path / "other.zip", "w") as archive:
        archive.writestr("a.txt", b"")
    with pytest.raises(PackageError, match="holds no bag"):
        BagFormat().verify(tmp_path / "other.zip", progress=lambda size: None)


def test_a_second_opinion_on_a_zip_is_said_not_to_be_had(make_bag: MakeBag) -> None:
    path = zipped(make_bag(FILES, listed=LISTED))
    report = BagFormat().verify(path, progress=lambda size: None, second_opinion=True)
    assert "reads no zips" in report.remarks[-1]


def test_a_bag_of_another_program_says_nothing_of_an_audience(make_bag: MakeBag) -> None:
    facts = BagFormat().facts(make_bag(FILES, tag_files={"bag-info.txt": b"Bagging-Date: 2008\n"}))
    assert (facts.audience, facts.scope, facts.made) == ("", "", "2008")
