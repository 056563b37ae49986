"""Packages sealed, signed and zipped: every change is found, and no more is said than is known."""

from __future__ import annotations

import shutil
import subprocess
import sys
import zipfile
from collections.abc import Iterator
from pathlib import Path

import pytest

from archivist.catalogue.archive import Archive
from archivist.catalogue.events import releases
from archivist.errors import SelectionError
from archivist.hooks import ExporterDescription
from archivist.keys import new_key, read_signer
from archivist.plugins import load_plugins
from archivist.release import release as release_module
from archivist.release.register import recognised
from archivist.release.sealing import zip_folder
from archivist.release.verifying import Standing, in_words, verify, verify_package
from archivist.signing import (
    PUBLIC_KEY_FILE,
    SIGNATURE_FILES,
    SIGNED_FILE,
    Signer,
)
from tests.archives import add_photograph, jpeg, new_archive, piece, save
from tests.release.conftest import everything, exporter, plugins_of, released

PLUGINS = load_plugins()


@pytest.fixture(scope="module")
def signer(tmp_path_factory: pytest.TempPathFactory) -> Signer:
    path = tmp_path_factory.mktemp("key") / "key.pem"
    new_key(path)
    return read_signer(path)


@pytest.fixture(scope="module")
def small(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Archive]:
    """One piece with one picture, so that every file of its package can be changed in turn."""
    folder = tmp_path_factory.mktemp("small")
    with new_archive(folder / "archive") as made:
        record = piece("T 1", "Bowl", (1700, 1750))
        save(made.catalogue, record)
        add_photograph(made, jpeg(folder / "old" / "1.jpg"), (record,))
        yield made


MEANS_THE_SAME = frozenset({PUBLIC_KEY_FILE, "tagmanifest-sha512.txt"})


def packed(archive: Archive, to: Path, **more: object) -> Path:
    report = released(archive, PLUGINS, to, "bagit", "dublin-core", audience="buyer", **more)
    assert report.whole, (report.problems, report.failures)
    assert report.place is not None
    return report.place


def standing(path: Path, expected: str = "") -> Standing:
    return verify(PLUGINS, path, expected=(expected,) if expected else ()).standing


def files_of(bag: Path) -> list[Path]:
    return sorted(path for path in bag.rglob("*") if path.is_file())


def flipped(data: bytes) -> bytes:
    """The same bytes but for one bit in the middle."""
    middle = len(data) // 2
    return data[:middle] + bytes((data[middle] ^ 1,)) + data[middle + 1 :]


def test_an_unsigned_package_is_undamaged_and_never_unaltered(
    small: Archive, tmp_path: Path
) -> None:
    bag = packed(small, tmp_path)
    verdict = verify_package(PLUGINS, bag)
    assert verdict.standing is Standing.UNDAMAGED
    assert verdict.good
    words = " ".join(in_words(verdict))
    assert "undamaged" in words
    assert "not signed" in words
    assert "unaltered" not in words


def test_a_signed_package_is_unaltered_and_names_the_fingerprint_of_its_key(
    small: Archive, tmp_path: Path, signer: Signer
) -> None:
    bag = packed(small, tmp_path, signer=signer)
    verdict = verify_package(PLUGINS, bag, expected=(signer.fingerprint.upper().replace(" ", ":"),))
    assert verdict.standing is Standing.UNALTERED
    assert verdict.signer == signer.fingerprint
    assert verdict.report.remarks == (), "the files of the signature are nothing to remark on"
    assert "by another way" in " ".join(in_words(verdict))


def test_every_change_to_a_file_of_a_signed_package_is_found(
    small: Archive, tmp_path: Path, signer: Signer
) -> None:
    bag = packed(small, tmp_path, signer=signer)
    for path in files_of(bag):
        before = path.read_bytes()
        # A line end more or less changes nothing in a key, nor in a manifest that nothing lists.
        ends = () if path.name in MEANS_THE_SAME else (before[:-1], before + b"\n")
        for after in (flipped(before), *ends):
            path.write_bytes(after)
            assert not verify_package(PLUGINS, bag).good, (path, len(after) - len(before))
        path.unlink()
        assert not verify_package(PLUGINS, bag).good, path
        path.write_bytes(before)
    assert standing(bag) is Standing.UNALTERED


def test_every_change_to_a_listed_file_of_an_unsigned_package_is_found(
    small: Archive, tmp_path: Path
) -> None:
    bag = packed(small, tmp_path)
    for path in files_of(bag):
        before = path.read_bytes()
        path.write_bytes(flipped(before))
        assert standing(bag) is Standing.DAMAGED, path
        path.write_bytes(before)
    assert standing(bag) is Standing.UNDAMAGED


def test_files_and_manifests_altered_together_are_found_by_the_signature_alone(
    small: Archive, tmp_path: Path, signer: Signer
) -> None:
    import bagit

    for one, found in ((None, Standing.UNDAMAGED), (signer, Standing.NOT_AS_SIGNED)):
        bag = packed(small, tmp_path / found.name, signer=one)
        victim = next((bag / "data").rglob("record.json"))
        victim.write_bytes(victim.read_bytes().replace(b"Bowl", b"Jar "))
        bagit.Bag(str(bag)).save(manifests=True)
        assert standing(bag) is found
    assert "altered it after it was signed" in " ".join(in_words(verify_package(PLUGINS, bag)))


def test_a_file_that_somebody_added_is_found_or_named(
    small: Archive, tmp_path: Path, signer: Signer
) -> None:
    bag = packed(small, tmp_path, signer=signer)
    (bag / "note.txt").write_text("please read", encoding="utf-8")
    verdict = verify_package(PLUGINS, bag)
    assert verdict.report.unlisted == ("note.txt",)
    assert "Nothing can be said of files that no digest covers: note.txt" in in_words(verdict)[-1]
    (bag / "data" / "more.jpg").write_bytes(b"x")
    assert standing(bag) is Standing.DAMAGED


def test_a_signature_taken_away_or_made_by_another_is_found_by_whoever_knows_the_key(
    small: Archive, tmp_path: Path, signer: Signer
) -> None:
    bag = packed(small, tmp_path, signer=signer)
    new_key(tmp_path / "other.pem")
    other = read_signer(tmp_path / "other.pem")
    other.seal(bag)
    assert standing(bag) is Standing.UNALTERED, "it cannot tell whose key that is"
    assert standing(bag, signer.fingerprint) is Standing.OTHER_SIGNER
    for name in SIGNATURE_FILES:
        (bag / name).unlink()
        assert standing(bag, signer.fingerprint) is not Standing.UNALTERED
    assert standing(bag) is Standing.UNDAMAGED
    verdict = verify_package(PLUGINS, bag, expected=(signer.fingerprint,))
    assert verdict.standing is Standing.OTHER_SIGNER
    assert "nobody signed it" in in_words(verdict)[0]


def test_a_public_key_of_another_kind_is_no_signature(
    small: Archive, tmp_path: Path, signer: Signer
) -> None:
    bag = packed(small, tmp_path, signer=signer)
    (bag / PUBLIC_KEY_FILE).write_bytes(b"-----BEGIN PUBLIC KEY-----\nAAAA\n")
    verdict = verify_package(PLUGINS, bag)
    assert verdict.standing is Standing.NOT_AS_SIGNED
    assert "no public key" in verdict.trouble


# The zip


def rewritten(source: Path, target: Path, name: str, content: bytes) -> None:
    """The zip with one member replaced, its checksums made to fit."""
    with zipfile.ZipFile(source) as old, zipfile.ZipFile(target, "w") as new:
        for member in old.infolist():
            new.writestr(member, content if member.filename == name else old.read(member))


def test_a_zip_is_the_same_package_and_judged_by_what_is_in_it(
    small: Archive, tmp_path: Path, signer: Signer
) -> None:
    bag = packed(small, tmp_path, signer=signer, zips=True)
    archive = bag.with_name(f"{bag.name}.zip")
    with zipfile.ZipFile(archive) as opened:
        assert opened.testzip() is None
        held = {name: opened.read(name) for name in opened.namelist()}
    assert held == {
        f"{bag.name}/{path.relative_to(bag).as_posix()}": path.read_bytes()
        for path in files_of(bag)
    }
    assert verify_package(PLUGINS, archive).digest == verify_package(PLUGINS, bag).digest
    assert standing(archive, signer.fingerprint) is Standing.UNALTERED
    # Packed anew by somebody else it is other bytes, and still the same package.
    again = tmp_path / "again.zip"
    with zipfile.ZipFile(again, "w", zipfile.ZIP_DEFLATED) as packed_anew:
        for name in sorted(held, reverse=True):
            packed_anew.writestr(name, held[name])
    assert standing(again, signer.fingerprint) is Standing.UNALTERED
    for name, content in held.items():
        changed = tmp_path / "changed.zip"
        rewritten(archive, changed, name, flipped(content))
        assert not verify_package(PLUGINS, changed).good, name


def test_the_same_files_give_the_same_zip_to_the_byte(small: Archive, tmp_path: Path) -> None:
    bag = packed(small, tmp_path)
    made = "2026-01-15T09:00:00Z"
    zip_folder(bag, tmp_path / "one.zip", made)
    copy = tmp_path / "elsewhere" / bag.name
    shutil.copytree(bag, copy, copy_function=shutil.copyfile)
    for path in sorted(files_of(copy), reverse=True):
        path.touch()
    zip_folder(copy, tmp_path / "two.zip", made)
    assert (tmp_path / "one.zip").read_bytes() == (tmp_path / "two.zip").read_bytes()


def test_a_zip_unpacks_into_one_folder_with_the_tools_there_are(
    small: Archive, tmp_path: Path
) -> None:
    bag = packed(small, tmp_path, zips=True)
    archive = bag.with_name(f"{bag.name}.zip")
    command = [sys.executable, "-m", "zipfile", "-e", str(archive), str(tmp_path / "out")]
    subprocess.run(command, check=True)
    (folder,) = (tmp_path / "out").iterdir()
    assert standing(folder) is Standing.UNDAMAGED
    tool = shutil.which("sha256sum")
    if tool is not None:
        for manifest in ("manifest-sha256.txt", "tagmanifest-sha256.txt"):
            done = subprocess.run(
                [tool, "--strict", "-c", manifest], cwd=folder, capture_output=True, check=False
            )
            assert done.returncode == 0, done.stderr


def test_every_bag_of_its_own_gets_a_zip_of_its_own(archive: Archive, tmp_path: Path) -> None:
    report = released(
        archive,
        PLUGINS,
        tmp_path,
        "bagit",
        options={"bagit": {"one_each": "true"}},
        zips=True,
    )
    assert report.place is not None
    assert len(report.zips) == 3
    for path in report.zips:
        assert path.parent == report.place
        assert standing(path) is Standing.UNDAMAGED


def test_a_package_never_takes_the_name_of_a_zip_that_is_there(
    small: Archive, tmp_path: Path
) -> None:
    first = packed(small, tmp_path, zips=True)
    shutil.rmtree(first)
    second = packed(small, tmp_path, zips=True)
    assert second.name == f"{first.name}-2"


def test_a_zip_for_which_there_is_no_room_leaves_the_package_and_says_so(
    small: Archive, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(place: Path, made: str, compare: object) -> tuple[Path, ...]:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(release_module, "zip_packages", full)
    report = released(small, PLUGINS, tmp_path, "bagit", zips=True)
    assert report.place is not None
    assert standing(report.place) is Standing.UNDAMAGED
    assert "could not be written: No space left on device" in report.problems[0]
    assert not report.whole


# Signing where there is nothing to sign


def test_what_cannot_be_signed_is_refused_or_told(
    small: Archive, tmp_path: Path, signer: Signer
) -> None:
    with pytest.raises(SelectionError, match="A signature covers a package"):
        released(small, PLUGINS, tmp_path / "web", "dublin-core", signer=signer)
    assert not (tmp_path / "web").exists()
    plugins = plugins_of(exporter("words", immutable=True))
    report = released(small, plugins, tmp_path / "o", "words", signer=signer)
    assert "nothing was signed" in report.problems[0]


# The register


def test_a_package_seen_again_is_known_by_its_folder_its_zip_and_its_dossier(
    small: Archive, tmp_path: Path, signer: Signer
) -> None:
    first = packed(small, tmp_path / "1", zips=True)
    report = released(
        small, PLUGINS, tmp_path / "2", "bagit", "dossier", audience="museum", signer=signer
    )
    second = report.place
    assert second is not None
    facts = releases(small.catalogue)[-2:]
    assert [f.audience for f in facts] == ["buyer", "museum"]
    moved = tmp_path / "found at the fair"
    shutil.move(first, moved)
    for path, expected in (
        (moved, facts[0]),
        (first.with_name(f"{first.name}.zip"), facts[0]),
        (second, facts[1]),
        (next(second.rglob("*.pdf")), facts[1]),
    ):
        digest, found = recognised(small, PLUGINS, path)
        assert found == [expected], path
        assert digest in expected.digests


def test_a_package_that_was_altered_is_not_taken_for_one_of_ours(
    small: Archive, tmp_path: Path
) -> None:
    bag = packed(small, tmp_path)
    (bag / SIGNED_FILE).write_bytes(flipped((bag / SIGNED_FILE).read_bytes()))
    assert recognised(small, PLUGINS, bag)[1] == []
    with pytest.raises(SelectionError, match="neither a package with a seal nor a file"):
        recognised(small, PLUGINS, tmp_path / "gone")


def test_each_of_several_bags_of_one_release_is_known(archive: Archive, tmp_path: Path) -> None:
    options = {"bagit": {"one_each": "true"}}
    report = released(archive, PLUGINS, tmp_path, "bagit", options=options)
    assert report.place is not None
    (facts,) = releases(archive.catalogue)
    assert len(facts.digests) == 3
    assert facts.objects == everything(archive)
    for bag in report.place.iterdir():
        assert recognised(archive, PLUGINS, bag)[1] == [facts]


def test_every_format_that_opens_packages_tells_what_seals_them() -> None:
    described = PLUGINS.of("exporter", ExporterDescription)
    assert all(hasattr(d.opens, "seal") for d in described if d.opens is not None)
