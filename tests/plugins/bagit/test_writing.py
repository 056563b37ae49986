"""Bags as they are written: what is in them, for whom, and what a failure leaves."""

from __future__ import annotations

import errno
import hashlib
import json
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from archivist.errors import PackageError, SelectionError
from archivist.hooks import (
    Exporter,
    ExporterDescription,
    FixityReport,
    Package,
    PayloadFile,
    Piece,
    Selection,
    WrittenFile,
)
from archivist.model import ObjectRecord, canonical_json, from_json
from archivist.release.package import FolderPackage
from archivist.testing import BOWL, export, sample_photograph, sample_piece, sample_selection
from archivist_plugins.bagit import BagOptions, archivist_exporters
from archivist_plugins.bagit.builder import readable_size
from archivist_plugins.bagit.tags import read_tags

(BAGIT,) = archivist_exporters()
SLUG = "t-0417-0b9a4c1e"
Check = Callable[[Path], FixityReport]


class _Card(Exporter):
    """A companion that writes a card a piece and an index."""

    def export_piece(self, piece: Piece, selection: Selection, package: Package) -> None:
        package.write(f"cards/{piece.slug}.txt", f"{piece.record.stock_number}\n")

    def export_selection(self, selection: Selection, package: Package) -> None:
        package.write("index.txt", f"{selection.count}\n")


CARD = ExporterDescription(name="card", title="Card", make=lambda options: _Card())


def write(selection: Selection, folder: Path, *, one_each: bool = False) -> Path:
    """The bag of a selection, or of its first piece."""
    export((BAGIT, CARD), selection, folder, BagOptions(one_each=one_each))
    return folder / "bagit" / SLUG if one_each else folder / "bagit"


def payload(bag: Path) -> set[str]:
    return {p.relative_to(bag).as_posix() for p in (bag / "data").rglob("*") if p.is_file()}


def info(bag: Path) -> dict[str, str]:
    tags, faults = read_tags((bag / "bag-info.txt").read_text(encoding="utf-8"))
    assert faults == ()
    return dict(tags)


@pytest.mark.parametrize("one_each", [False, True])
@pytest.mark.parametrize("audience", ["owner", "buyer", "public"])
def test_every_bag_is_valid_without_a_remark(
    tmp_path: Path, check: Check, audience: str, one_each: bool
) -> None:
    bag = write(sample_selection(tmp_path / "p", audience=audience), tmp_path, one_each=one_each)
    report = check(bag)
    assert report.problems == ()
    assert report.remarks == ()
    assert report.files == len(payload(bag)) + 6  # and six tag files that tag manifests list


def test_others_than_the_owner_get_no_originals(tmp_path: Path) -> None:
    for audience in ("buyer", "public", "family"):
        bag = write(sample_selection(tmp_path / "p", audience=audience), tmp_path / audience)
        assert not (bag / "data" / "originals").exists()
        pictures = {p for p in payload(bag) if p.startswith("data/photographs/")}
        assert pictures == {f"data/photographs/{SLUG}/{name}.jpg" for name in ("overall", "mark")}


def test_the_owner_gets_the_original_named_by_its_digest(tmp_path: Path) -> None:
    selection = sample_selection(tmp_path / "p", audience="owner")
    photo = next(selection.pieces()).photographs[0]
    bag = write(selection, tmp_path)
    original = bag / "data/originals" / photo.sha256[:2] / f"{photo.sha256}.jpg"
    assert original.read_bytes() == photo.path.read_bytes()
    assert not (bag / "data/photographs").exists()


def test_a_copy_for_the_owner_is_never_called_an_original(tmp_path: Path) -> None:
    piece = sample_piece(tmp_path / "p")
    copies = tuple(replace(p, original_sha256="0" * 64, how="crop") for p in piece.photographs)
    selection = sample_selection(tmp_path, [replace(piece, photographs=copies)], audience="owner")
    bag = write(selection, tmp_path)
    assert not (bag / "data/originals").exists()
    assert (bag / f"data/photographs/{SLUG}/overall.jpg").is_file()


def test_the_record_stands_in_the_bag_as_canonical_json(tmp_path: Path) -> None:
    bag = write(sample_selection(tmp_path / "p"), tmp_path)
    data = (bag / f"data/objects/{SLUG}/record.json").read_bytes()
    assert data == canonical_json(BOWL)
    assert from_json(data, ObjectRecord) == BOWL
    parties = json.loads((bag / f"data/objects/{SLUG}/parties.json").read_bytes())
    assert [party["name"] for party in parties] == ["private collection, Wales"]


@pytest.mark.parametrize("audience", ["owner", "public"])
def test_pictures_json_leads_from_every_photograph_to_its_file(
    tmp_path: Path, audience: str
) -> None:
    bag = write(sample_selection(tmp_path / "p", audience=audience), tmp_path)
    folder = bag / f"data/objects/{SLUG}"
    pictures = json.loads((folder / "pictures.json").read_bytes())
    known = {p["id"] for p in json.loads((folder / "photographs.json").read_bytes())}
    assert [p["view"] for p in pictures] == ["overall", "mark"]
    for picture in pictures:
        assert (bag / picture["file"]).stat().st_size == picture["size"]
        assert picture["photograph"] in known


def test_what_other_exporters_wrote_is_taken_in_byte_for_byte(tmp_path: Path) -> None:
    bag = write(sample_selection(tmp_path / "p"), tmp_path)
    assert (bag / f"data/card/cards/{SLUG}.txt").read_bytes() == b"T 0417\n"
    assert (bag / "data/card/index.txt").read_bytes() == b"1\n"


def test_the_bag_of_one_piece_takes_in_what_was_written_for_that_piece(tmp_path: Path) -> None:
    bag = write(sample_selection(tmp_path / "p"), tmp_path, one_each=True)
    assert {p for p in payload(bag) if p.startswith("data/card/")} == {
        f"data/card/cards/{SLUG}.txt"
    }
    assert not (tmp_path / "bagit" / "bagit.txt").exists()


def test_what_was_written_of_all_pieces_gets_a_bag_beside_those_of_the_pieces(
    tmp_path: Path, check: Check
) -> None:
    write(sample_selection(tmp_path / "p"), tmp_path, one_each=True)
    beside = tmp_path / "bagit" / "collection"
    assert payload(beside) == {"data/card/index.txt"}
    assert info(beside)["Archivist-Scope"] == "collection"
    report = check(beside)
    assert report.problems == ()
    assert report.remarks == ()


def test_bag_info_says_what_the_bag_is_and_who_it_is_for(tmp_path: Path) -> None:
    tags = info(write(sample_selection(tmp_path / "p", audience="buyer"), tmp_path, one_each=True))
    assert tags["Source-Organization"] == "Ines Tidewell"
    assert tags["Bagging-Date"] == "2026-01-15"
    assert tags["Archivist-Audience"] == "buyer"
    assert tags["Archivist-Identifier"] == BOWL.id
    assert tags["Internal-Sender-Identifier"] == "T 0417"
    assert tags["External-Identifier"].endswith(BOWL.id)
    facts = BAGIT.opens
    assert facts is not None
    said = facts.facts(tmp_path / "bagit" / SLUG)
    assert (said.audience, said.scope, said.identifier) == ("buyer", "object", BOWL.id)


def test_payload_oxum_counts_bytes_and_files(tmp_path: Path) -> None:
    bag = write(sample_selection(tmp_path / "p"), tmp_path)
    files = payload(bag)
    size = sum((bag / path).stat().st_size for path in files)
    assert info(bag)["Payload-Oxum"] == f"{size}.{len(files)}"


def test_an_owner_whose_name_breaks_lines_adds_no_tag(tmp_path: Path) -> None:
    selection = sample_selection(tmp_path / "p")
    facts = replace(selection.archive, owner="Ines\nArchivist-Audience: owner\r\rX: y")
    bag = write(replace(selection, archive=facts), tmp_path)
    text = (bag / "bag-info.txt").read_text(encoding="utf-8")
    assert info(bag)["Archivist-Audience"] == "public"
    assert [line for line in text.splitlines() if line.startswith("Archivist-Audience")] == [
        "Archivist-Audience: public"
    ]


@pytest.mark.parametrize("audience", ["owner", "public"])
def test_about_txt_says_what_is_where_and_how_to_check(tmp_path: Path, audience: str) -> None:
    bag = write(sample_selection(tmp_path / "p", audience=audience), tmp_path)
    text = (bag / "about.txt").read_text(encoding="utf-8")
    for path in (bag / "data").iterdir():
        assert f"data/{path.name}/\n" in text
    for words in ("sha256sum -c manifest-sha256.txt", "shasum -a 256", "Get-FileHash"):
        assert words in text
    assert ("WHAT IS NOT HERE" in text) == (audience != "owner")
    assert max(map(len, text.splitlines())) <= 100


def test_the_history_of_a_piece_goes_with_it(tmp_path: Path) -> None:
    history = PayloadFile(path="tables/version.jsonl", content=b"{}\n")
    piece = replace(sample_piece(tmp_path / "p"), preserved=(history,))
    bag = write(sample_selection(tmp_path, [piece], audience="owner"), tmp_path, one_each=True)
    assert (bag / f"data/objects/{SLUG}/tables/version.jsonl").read_bytes() == b"{}\n"


def test_two_pieces_on_one_photograph_share_one_original(tmp_path: Path, check: Check) -> None:
    piece = sample_piece(tmp_path / "p")
    other = replace(piece, slug="other", record=replace_id(BOWL))
    bag = write(sample_selection(tmp_path, [piece, other], audience="owner"), tmp_path)
    originals = {p for p in payload(bag) if p.startswith("data/originals/")}
    assert len(originals) == len({p.sha256 for p in piece.photographs})
    assert check(bag).problems == ()


def replace_id(record: ObjectRecord) -> ObjectRecord:
    import msgspec

    return msgspec.structs.replace(record, id="0b9a4c1e-4a86-4d6c-9f62-5d6f4e0b7a02")


def test_two_different_pictures_of_one_name_are_refused_and_none_is_lost(tmp_path: Path) -> None:
    piece = sample_piece(tmp_path / "p")
    larger = replace(sample_photograph(tmp_path / "larger", size=200), name="mark.jpg")
    clash = replace(piece, photographs=(*piece.photographs, larger))
    with pytest.raises(PackageError, match=r"mark\.jpg"):
        write(sample_selection(tmp_path, [clash]), tmp_path)


def test_a_picture_that_is_not_what_was_recorded_is_left_out_and_listed(
    tmp_path: Path, check: Check
) -> None:
    selection = sample_selection(tmp_path / "p", audience="owner")
    photo = next(selection.pieces()).photographs[0]  # the two share one digest
    for damaged in next(selection.pieces()).photographs:
        damaged.path.write_bytes(damaged.path.read_bytes()[:-1] + b"?")
    bag = write(selection, tmp_path)
    named = f"data/originals/{photo.sha256[:2]}/{photo.sha256}.jpg"
    report = check(bag)
    assert report.problems == ()
    assert [line.split("  ")[0] for line in report.left_out] == [named]
    assert not (bag / named).exists()
    assert named in (bag / "about.txt").read_text(encoding="utf-8")


def whole_archive(folder: Path, files: list[PayloadFile]) -> Selection:
    selection = sample_selection(folder / "p", audience="owner")
    return replace(selection, whole_archive=True, preserved=lambda: iter(files))


def test_a_whole_archive_is_its_own_files_and_no_piece_is_written_again(
    tmp_path: Path, check: Check
) -> None:
    source = tmp_path / "a.jpg"
    source.write_bytes(b"picture")
    files = [
        PayloadFile(path="records/0001.json", content=b"{}"),
        PayloadFile(path="originals/aa/a.jpg", source=source),
        PayloadFile(path="archive.toml", content=b'name = "x"\n'),
    ]
    bag = write(whole_archive(tmp_path, files), tmp_path)
    assert payload(bag) == {
        "data/records/0001.json",
        "data/originals/aa/a.jpg",
        "data/archive.toml",
        *(f"data/schemas/{kind}.schema.json" for kind in ("record", "party", "photograph")),
        "data/card/index.txt",
        f"data/card/cards/{SLUG}.txt",
    }
    assert check(bag).problems == ()
    assert info(bag)["Archivist-Scope"] == "archive"


@pytest.mark.parametrize("how", ["other bytes", "other bytes in memory", "gone", "said so"])
def test_of_an_archive_what_is_damaged_is_left_out_and_the_rest_goes_on(
    tmp_path: Path, check: Check, how: str
) -> None:
    source = tmp_path / "a.bin"
    source.write_bytes(b"other")
    wrong = PayloadFile(path="originals/aa/a.bin", sha256="0" * 64)
    file = {
        "other bytes": replace(wrong, source=source),
        "other bytes in memory": replace(wrong, content=b"other"),
        "gone": replace(wrong, source=tmp_path / "nowhere.bin"),
        "said so": replace(wrong, missing="it is damaged\nin two lines"),
    }[how]
    whole = PayloadFile(path="archive/archive.toml", content=b'name = "x"')
    bag = write(whole_archive(tmp_path, [file, whole]), tmp_path)
    report = check(bag)
    assert report.problems == ()
    (line,) = report.left_out
    assert line.startswith("data/originals/aa/a.bin  ")
    assert (bag / "data/archive/archive.toml").is_file()
    assert not (bag / "data/originals").exists()


def test_a_file_that_is_whole_by_one_digest_is_kept_though_the_other_is_recorded_wrongly(
    tmp_path: Path, check: Check
) -> None:
    source = tmp_path / "a.bin"
    source.write_bytes(b"whole")
    digest = hashlib.sha256(b"whole").hexdigest()
    file = PayloadFile("originals/aa/a.bin", source, b"", digest, "0" * 128)
    package = FolderPackage(tmp_path / "bag")
    BAGIT.make(BagOptions()).export_selection(whole_archive(tmp_path, [file]), package)
    assert check(tmp_path / "bag").problems == ()
    (told,) = package.omitted
    assert "SHA-512" in told


def test_a_whole_archive_does_not_go_into_a_bag_for_each_piece(tmp_path: Path) -> None:
    with pytest.raises(SelectionError, match="one bag"):
        write(whole_archive(tmp_path, []), tmp_path, one_each=True)


class _FullDisk(FolderPackage):
    """A package on a disk that is full after so many files."""

    def __init__(self, folder: Path, room: int) -> None:
        super().__init__(folder)
        self.room = room

    def write(self, path: str, content: bytes | str) -> WrittenFile:
        self._use()
        return super().write(path, content)

    def copy(self, path: str, source: Path, sha256: str = "") -> WrittenFile:
        self._use()
        return super().copy(path, source, sha256)

    def _use(self) -> None:
        self.room -= 1
        if self.room < 0:
            raise OSError(errno.ENOSPC, "No space left on device")


def test_wherever_the_disk_runs_full_nothing_is_left_that_claims_to_be_a_bag(
    tmp_path: Path,
) -> None:
    selection = sample_selection(tmp_path / "p")
    whole = _FullDisk(tmp_path / "whole", 1000)
    exporter = BAGIT.make(BagOptions())
    exporter.export_selection(selection, whole)
    needed = 1000 - whole.room
    assert (tmp_path / "whole" / "bagit.txt").exists()
    for room in range(needed):
        folder = tmp_path / f"room-{room}"
        with pytest.raises(OSError, match="No space left"):
            exporter.export_selection(selection, _FullDisk(folder, room))
        assert not (folder / "bagit.txt").exists()


def test_nothing_selected_makes_no_bag_and_says_so(tmp_path: Path) -> None:
    exporter = BAGIT.make(BagOptions())
    with pytest.raises(PackageError, match="nothing to put"):
        exporter.export_selection(sample_selection(tmp_path, ()), FolderPackage(tmp_path / "bag"))
    assert not (tmp_path / "bag" / "bagit.txt").exists()


@given(st.integers(min_value=0, max_value=10**18))
def test_sizes_are_written_short_with_a_unit(size: int) -> None:
    number, unit = readable_size(size).split(" ")
    assert unit in ("B", "kB", "MB", "GB", "TB")
    assert float(number) < 1000 or unit == "TB"


@pytest.mark.parametrize(
    "name",
    [
        *(f"{k}manifest-{a}.txt" for k in ("", "tag") for a in ("sha256", "sha512")),
        *("about.txt", "bagit-profile.json", "bag-info.txt", "bagit.txt"),
    ],
)
def test_whichever_file_of_a_bag_of_ours_is_gone_it_is_missed(
    tmp_path: Path, check: Check, name: str
) -> None:
    bag = write(sample_selection(tmp_path / "p"), tmp_path)
    (bag / name).unlink()
    assert name in {problem.path for problem in check(bag).problems}
