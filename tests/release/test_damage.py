"""Nothing that is damaged is given out, by whichever exporter, and what is whole goes on."""

from __future__ import annotations

import json
import shutil
from dataclasses import replace
from pathlib import Path

import pytest

from archivist.catalogue.archive import Archive
from archivist.errors import ArchivistError, FixityError
from archivist.hooks import ExporterDescription, Piece
from archivist.model import ObjectRecord, Photograph, View
from archivist.plugins import load_plugins
from archivist.testing import export, sample_piece, sample_selection
from tests.archives import add_photograph, jpeg, new_archive, piece, run, save

PLUGINS = load_plugins()
EXPORTERS = [d.name for d in PLUGINS.of("exporter", ExporterDescription)]
OPTIONS = {"comparison": ("--option", "comparison.view=overall")}


def flip(path: Path, at: int = -40) -> None:
    """Changes one bit of a file that may be read-only."""
    data = bytearray(path.read_bytes())
    data[at] ^= 1
    path.chmod(0o644)
    path.write_bytes(data)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Three pieces, each with a picture of the whole."""
    with new_archive(tmp_path / "archive") as made:
        for number, title in enumerate(("Bowl", "Jar", "Vase")):
            record = piece(f"T {number}", title, (1700 + number, 1750))
            save(made.catalogue, record)
            add_photograph(made, jpeg(tmp_path / "old" / f"{number}.jpg", tone=number), (record,))
    return tmp_path / "archive"


def first_original(folder: Path) -> Path:
    """The original of the first piece."""
    with Archive.open(folder) as archive:
        (record,) = archive.catalogue.keyed(ObjectRecord, "T 0")
        (photograph,) = archive.catalogue.photographs_of(record.id)
        return archive.original_path(photograph.sha256)


def files(folder: Path) -> dict[str, bytes]:
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in folder.rglob("*")
        if path.is_file()
    }


@pytest.mark.parametrize("audience", ["owner", "buyer"])
@pytest.mark.parametrize("exporter", EXPORTERS)
def test_a_damaged_original_is_left_out_by_every_exporter_named_and_the_rest_goes_on(
    folder: Path, tmp_path: Path, exporter: str, audience: str
) -> None:
    original = first_original(folder)
    flip(original)
    to = tmp_path / "out"
    done = run(
        folder, "release", exporter, "--for", audience, "--to", to, *OPTIONS.get(exporter, ())
    )
    assert done.exit_code == 1, done.output
    assert "T 0" in done.stderr
    assert original.name in done.stderr
    assert "archivist restore" in done.stderr
    given = files(to)
    assert given, "the rest goes on"
    damaged = original.read_bytes()
    assert damaged not in given.values()
    told = [name for name, content in given.items() if original.stem.encode() in content]
    if exporter == "bagit" and audience == "owner":
        assert any(name.endswith("left-out.txt") for name in told)
    else:
        assert not told, "nothing tells of a picture that is not there"


@pytest.mark.parametrize("how", ["flipped", "cut", "emptied", "gone", "of another"])
def test_however_an_original_is_damaged_the_bag_of_pieces_holds_none_of_it(
    folder: Path, tmp_path: Path, how: str
) -> None:
    original = first_original(folder)
    original.chmod(0o644)
    if how == "flipped":
        flip(original)
    elif how == "cut":
        original.write_bytes(original.read_bytes()[:-100])
    elif how == "emptied":
        original.write_bytes(b"")
    elif how == "of another":
        other = next(p for p in (folder / "originals").rglob("*.jpg") if p != original)
        shutil.copy(other, original)
    else:
        original.unlink()
    done = run(folder, "release", "bagit", "--for", "owner", "--to", tmp_path / "out")
    assert done.exit_code == 1, done.output
    (bag,) = (tmp_path / "out").iterdir()
    assert "not whole" in run(folder, "verify", bag).output
    assert original.name in (bag / "left-out.txt").read_text(encoding="utf-8")
    assert len(list((bag / "data/originals").rglob("*.jpg"))) == 2


class _Changed:
    """The sample piece, whose pictures are changed after they were disclosed."""

    def __init__(self, folder: Path, change: str) -> None:
        self.piece: Piece = sample_piece(folder, views=(View.OVERALL,))
        (self.photograph,) = self.piece.photographs
        if change == "gone":
            self.photograph.path.unlink()
        else:
            flip(self.photograph.path)


@pytest.mark.parametrize("exporter", EXPORTERS)
def test_bytes_that_change_after_they_were_disclosed_are_compared_again_where_they_are_used(
    tmp_path: Path, exporter: str
) -> None:
    description = PLUGINS.named("exporter", exporter, ExporterDescription)
    outcomes = []
    for change in ("gone", "flipped"):
        changed = _Changed(tmp_path / change, change)
        selection = sample_selection(tmp_path, [changed.piece])
        try:
            export(description, selection, tmp_path / change / "out")
            outcomes.append("written")
        except FixityError:
            outcomes.append("refused")
    assert outcomes[0] == outcomes[1], "whoever needs the file, notices that it is another"


def test_those_that_hand_pictures_on_are_found_by_the_test_before() -> None:
    """Should it find none, it tests nothing."""
    assert {"iptc", "iiif", "dossier", "ro-crate", "reference-library"} <= set(EXPORTERS)
    assert isinstance(FixityError("x"), ArchivistError)


def test_what_a_stranger_copies_is_compared_without_his_doing(tmp_path: Path) -> None:
    from archivist.hooks import Exporter, Package, Selection

    class Copies(Exporter):
        def export_piece(self, piece: Piece, selection: Selection, package: Package) -> None:
            package.copy("picture.jpg", piece.photographs[0].path)

    stranger = ExporterDescription("stranger", "stranger", lambda options: Copies())
    changed = _Changed(tmp_path / "p", "flipped")
    with pytest.raises(FixityError, match="is damaged"):
        export(stranger, sample_selection(tmp_path, [changed.piece]), tmp_path / "out")
    assert not list((tmp_path / "out").rglob("*.jpg"))


@pytest.fixture
def copies(folder: Path, tmp_path: Path) -> list[Path]:
    """The clean copies kept of an archive from which something was released once."""
    assert (
        run(folder, "release", "ro-crate", "--for", "buyer", "--to", tmp_path / "1").exit_code == 0
    )
    return sorted((folder / "derivatives").glob("copies-*/*/*.jpg"))


def test_a_damaged_clean_copy_is_made_again(
    folder: Path, tmp_path: Path, copies: list[Path]
) -> None:
    for copy in copies:
        flip(copy)
    done = run(folder, "release", "ro-crate", "--for", "buyer", "--to", tmp_path / "2")
    assert done.exit_code == 0, done.output
    pictures = [
        {n: c for n, c in files(tmp_path / to).items() if n.endswith(".jpg")} for to in ("1", "2")
    ]
    assert pictures[0] == pictures[1] != {}


@pytest.mark.parametrize("what", ["pictures", "facts", "both"])
def test_clean_copies_that_lie_in_each_others_place_are_made_again(
    folder: Path, tmp_path: Path, copies: list[Path], what: str
) -> None:
    one, two = copies[:2]
    suffixes = {"pictures": (".jpg",), "facts": (".json",), "both": (".jpg", ".json")}[what]
    for suffix in suffixes:
        a, b = one.with_suffix(suffix), two.with_suffix(suffix)
        first, second = a.read_bytes(), b.read_bytes()
        a.write_bytes(second)
        b.write_bytes(first)
    done = run(folder, "release", "ro-crate", "--for", "buyer", "--to", tmp_path / "2")
    assert done.exit_code == 0, done.output
    for name, content in files(tmp_path / "1").items():
        if name.endswith(".jpg"):
            assert files(tmp_path / "2")[name] == content, name


def test_the_safe_copy_goes_on_says_what_it_lacks_and_can_be_restored(
    folder: Path, tmp_path: Path
) -> None:
    original = first_original(folder)
    flip(original)
    done = run(folder, "release", "bagit", "--archive", "--for", "owner", "--to", tmp_path / "out")
    assert done.exit_code == 1, done.output
    assert original.name in done.stderr
    (bag,) = (tmp_path / "out").iterdir()
    listed = (bag / "left-out.txt").read_text(encoding="utf-8")
    assert listed.startswith(f"data/originals/{original.parent.name}/{original.name}  ")
    told = run(folder, "verify", bag)
    assert told.exit_code == 1
    assert "not whole" in told.output
    assert "hole and undamaged" not in told.output
    assert original.name in told.output
    judged = run(folder, "fixity", bag)
    assert judged.exit_code == 1
    assert "not whole" in judged.output
    again = run(folder, "restore", bag, "--into", tmp_path / "again")
    assert again.exit_code == 1
    assert original.name in again.output
    with Archive.open(tmp_path / "again") as restored:
        assert restored.catalogue.count("object") == 3
        assert restored.catalogue.count("photograph") == 3


def damage_words(folder: Path, number: str, *, bad_unicode: bool = False) -> str:
    """Changes a letter of a record's words in the database file; its UUID."""
    with Archive.open(folder) as archive:
        (record,) = archive.catalogue.keyed(ObjectRecord, number)
        connection = archive.catalogue.connection
        words = "CAST(replace(CAST(json AS BLOB), X'426F776C', X'42FF776C') AS TEXT)"
        plain = "replace(json, 'Bowl', 'Cowl')"
        connection.execute(
            f"UPDATE version SET json = {words if bad_unicode else plain} WHERE entity = ?",
            (record.id,),
        )
        return record.id


@pytest.mark.parametrize("bad_unicode", [False, True])
def test_a_record_whose_words_are_damaged_is_not_given_out_and_the_rest_is(
    folder: Path, tmp_path: Path, bad_unicode: bool
) -> None:
    damaged = damage_words(folder, "T 0", bad_unicode=bad_unicode)
    for audience in ("owner", "buyer"):
        done = run(folder, "release", "ro-crate", "--for", audience, "--to", tmp_path / audience)
        assert done.exit_code == 1, done.output
        assert damaged in done.stderr
        everything = b"".join(files(tmp_path / audience).values())
        assert b"Cowl" not in everything
        assert b"Vase" in everything
    told = run(folder, "show", "T 0")
    assert told.exit_code == 1
    assert "is damaged" in told.output
    listed = run(folder, "show")
    assert "Vase" in listed.output
    assert damaged in listed.output, "a list that lacks something says so"


@pytest.mark.parametrize("bad_unicode", [False, True])
def test_the_safe_copy_of_an_archive_with_a_damaged_record_can_be_restored(
    folder: Path, tmp_path: Path, bad_unicode: bool
) -> None:
    damaged = damage_words(folder, "T 0", bad_unicode=bad_unicode)
    done = run(folder, "release", "bagit", "--archive", "--for", "owner", "--to", tmp_path / "out")
    assert done.exit_code == 1, done.output
    assert damaged in done.stderr
    (bag,) = (tmp_path / "out").iterdir()
    assert damaged in (bag / "left-out.txt").read_text(encoding="utf-8")
    (kept,) = (bag / "data/archive/damaged/version.jsonl").read_text().splitlines()
    assert json.loads(kept)["entity"] == damaged
    again = run(folder, "restore", bag, "--into", tmp_path / "again")
    assert again.exit_code == 1, again.output
    assert damaged in again.output
    with Archive.open(tmp_path / "again") as restored:
        assert restored.catalogue.count("object") == 2
        assert len(list(restored.catalogue.all(Photograph))) == 3


def test_words_that_lie_in_the_place_of_anothers_are_not_taken_for_them(folder: Path) -> None:
    with Archive.open(folder) as archive:
        one, two = (archive.catalogue.keyed(ObjectRecord, n)[0] for n in ("T 0", "T 1"))
        rows = {
            e: archive.catalogue.connection.execute(
                "SELECT json, sha256 FROM version WHERE entity = ?", (e,)
            ).fetchone()
            for e in (one.id, two.id)
        }
        for entity, other in ((one.id, two.id), (two.id, one.id)):
            archive.catalogue.connection.execute(
                "UPDATE version SET json = ?, sha256 = ? WHERE entity = ?",
                (*rows[other], entity),
            )
        with pytest.raises(FixityError, match="its words are those of"):
            archive.catalogue.get(one.id, ObjectRecord)


def test_of_a_file_in_a_package_that_changed_since_it_was_verified_nothing_is_restored(
    folder: Path, tmp_path: Path
) -> None:
    from archivist.release.fixity import format_of
    from archivist.release.payload import content_of

    run(folder, "release", "bagit", "--archive", "--for", "owner", "--to", tmp_path / "out")
    (bag,) = (tmp_path / "out").iterdir()
    for file in format_of(PLUGINS, bag).payload(bag):
        content_of(file)
        assert file.source is not None
        if not file.source.stat().st_size:
            continue
        flip(file.source, at=0)
        with pytest.raises(FixityError, match="is damaged"):
            content_of(file)
        with pytest.raises(FixityError, match="is damaged"):
            content_of(replace(file, source=None, content=file.source.read_bytes()))
