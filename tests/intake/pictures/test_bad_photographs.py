"""Photographs that lie, and folders that say two things: nothing is lost, nothing is believed."""

from __future__ import annotations

import io
import shutil
import struct
from collections.abc import Callable
from pathlib import Path
from typing import Any

import msgspec
import piexif
import pytest
from PIL import Image

from archivist.catalogue.archive import Archive
from archivist.imaging.probe import probe
from archivist.intake.apply import apply
from archivist.intake.pictures.look import look_at
from archivist.intake.proposal import AddPhotograph, DescribeView
from archivist.model import Certainty, View
from tests.intake.test_photographs_studied import by_path, drawn, write

Look = Callable[..., Any]


@pytest.fixture
def stocked(archive: Archive, sheet: Look, take_in: Look) -> Archive:
    rows = [["HW 0401", "Jug"], ["HW 0402", "Dish"], ["HW 0403", "Bowl"]]
    take_in(sheet([["Stock No", "What it is"], *rows]))
    return archive


def exif_block(
    note: bytes = b"", note_count: int | None = None, taken: bytes = b"2009:03:14 10:00:00\0"
) -> bytes:
    """EXIF with a maker's note before the date, little-endian (Exif 2.3, 4.6); `note_count` is what
    the note's tag claims to hold."""
    head = b"II*\0" + struct.pack("<I", 8)
    camera_at = 8 + 2 + 12 + 4
    values_at = camera_at + 2 + 2 * 12 + 4
    count = len(note) if note_count is None else note_count
    main = struct.pack("<HHHIII", 1, 0x8769, 4, 1, camera_at, 0)
    camera = struct.pack("<H", 2)
    camera += struct.pack("<HHII", 0x9003, 2, len(taken), values_at)
    camera += struct.pack("<HHII", 0x927C, 7, count, values_at + len(taken))
    return head + main + camera + struct.pack("<I", 0) + taken + note


def with_exif(path: Path, block: bytes, *, claims: int | None = None) -> Path:
    """A JPEG whose EXIF segment claims to be so many bytes long."""
    stream = io.BytesIO()
    drawn(1).save(stream, "JPEG", quality=90)
    data = stream.getvalue()
    payload = b"Exif\0\0" + block
    length = len(payload) + 2 if claims is None else claims
    segment = b"\xff\xe1" + struct.pack(">H", length) + payload
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(data[:2] + segment + data[2:])
    return path


@pytest.mark.parametrize(
    ("note", "claims"),
    [
        (b"", None),
        (b"x" * 65_000, None),
        (b"short", 60_000),
        (b"short", 0xFFFFFFFF),
        (b"short", 0),
    ],
    ids=["empty", "64 kB", "claims 60 kB", "claims 4 GB", "claims nothing"],
)
def test_a_makers_note_of_any_size_costs_no_date(
    tmp_path: Path, note: bytes, claims: int | None
) -> None:
    said = probe(with_exif(tmp_path / "a.jpg", exif_block(note, claims)))
    assert [t.date.edtf for t in said.taken] == ["2009-03-14T10:00:00"]
    assert (said.width, said.undecodable) == (320, "")


@pytest.mark.parametrize("claims", [2, 8, 40, 5_000, 65_535])
def test_exif_that_lies_about_its_length_costs_neither_picture_nor_survey(
    archive: Archive, tmp_path: Path, take_in: Look, claims: int
) -> None:
    root = tmp_path / "card"
    with_exif(root / "lies.jpg", exif_block(b"x" * 100), claims=claims)
    write(root / "sound.jpg", drawn(2), "2009:03:14 10:00:00")
    done = take_in(root)
    assert (done.photographs, done.files) == (2, 2)
    shown = by_path(archive, root)
    assert all(p.width == 320 or p.undecodable for p in shown.values())
    assert shown["sound.jpg"].taken


def test_a_tag_that_lies_about_its_count_costs_itself_alone(tmp_path: Path) -> None:
    block = bytearray(exif_block(taken=b"2009:03:14 10:00:00\0"))
    struct.pack_into("<I", block, block.index(struct.pack("<HH", 0x9003, 2)) + 4, 0x7FFFFFFF)
    said = probe(with_exif(tmp_path / "a.jpg", bytes(block)))
    assert not said.taken
    assert said.width == 320


def test_a_thumbnail_of_another_picture_is_not_what_the_picture_looks_like(
    tmp_path: Path, look: Look
) -> None:
    root = tmp_path / "card"
    other = write(root / "other.jpg", drawn(5))
    thumb = io.BytesIO()
    drawn(5).resize((160, 120)).save(thumb, "JPEG")
    exif = piexif.dump({"1st": {piexif.ImageIFD.Compression: 6}, "thumbnail": thumb.getvalue()})
    drawn(1).save(root / "edited.jpg", quality=92, exif=exif)
    drawn(1).save(root / "plain.jpg", quality=92)
    sizes = (320, 240)
    assert (
        look_at(root / "edited.jpg", *sizes).frequencies
        == look_at(root / "plain.jpg", *sizes).frequencies
    )
    found = look(root).proposal.duplicates
    joined = [{s.keeper, *(o.path for o in s.others)} for s in found]
    assert joined == [{"edited.jpg", "plain.jpg"}]
    assert other.exists()


@pytest.mark.parametrize(
    ("words", "believed", "certainty"),
    [
        ("0000:00:00 00:00:00", "", None),
        ("    :  :     :  :  ", "", None),
        ("1970:01:01 00:00:00", "1970-01-01T00:00:00", Certainty.DOUBTFUL),
        ("1980:01:01 00:00:00", "1980-01-01T00:00:00", Certainty.DOUBTFUL),
        ("2099:12:31 23:59:59", "2099-12-31T23:59:59", Certainty.DOUBTFUL),
        ("2009:02:30 10:00:00", "", None),
    ],
)
def test_a_date_that_cannot_be_is_at_most_doubtful_and_gives_way_to_a_folder(
    tmp_path: Path, look: Look, words: str, believed: str, certainty: Certainty | None
) -> None:
    write(tmp_path / "loose/a.jpg", drawn(1), words)
    write(tmp_path / "dated/2009-03-14/b.jpg", drawn(2), words)
    (alone,) = look(tmp_path / "loose").proposal.photographs
    assert alone.taken == believed
    assert certainty is None or alone.taken_certainty is certainty
    (dated,) = look(tmp_path / "dated").proposal.photographs
    assert dated.taken == "2009-03-14?"
    assert dated.taken_ground == "folder"


def test_a_folder_with_two_stock_numbers_is_asked_about_and_decides_nothing(
    stocked: Archive, tmp_path: Path, look: Look
) -> None:
    root = tmp_path / "old"
    for n in range(3):
        write(root / f"HW 0401 and HW 0402/IMG_{n}.JPG", drawn(n))
    told = look(root)
    added = [i for i in told.proposal.items if isinstance(i, AddPhotograph)]
    assert [i.photograph.depictions for i in added] == [()] * 3
    question = next(q for q in told.proposal.questions if q.asks.startswith("Which piece"))
    assert {c.answer for c in question.choices} == {"Jug", "Dish"}


def test_a_photograph_that_two_pieces_claim_is_of_both_and_of_neither_for_certain(
    stocked: Archive, tmp_path: Path, look: Look, take_in: Look
) -> None:
    root = tmp_path / "old"
    first = write(root / "HW 0401/a.jpg", drawn(1))
    (root / "HW 0402").mkdir()
    shutil.copy(first, root / "HW 0402/b.jpg")
    write(root / "HW 0403/c.jpg", drawn(3))
    told = look(root)
    item = next(
        i for i in told.proposal.items
        if isinstance(i, AddPhotograph) and i.path.endswith("a.jpg")
    )  # fmt: skip
    assert item.certainty is Certainty.POSSIBLE
    assert {d.certainty for d in item.photograph.depictions} == {Certainty.POSSIBLE}
    assert len(item.photograph.depictions) == 2
    assert any("name different pieces" in reason for reason in item.reasons)
    doubt = next(d for d in told.proposal.doubts if d.about == "groups")
    assert set(doubt.paths) == {"HW 0401/a.jpg", "HW 0402/b.jpg"}
    take_in(root)
    assert len(by_path(stocked, root)["HW 0402/b.jpg"].depictions) == 2


@pytest.mark.parametrize("clock", [True, False], ids=["with a clock", "without"])
def test_numbers_of_a_card_that_began_again_keep_their_order(
    stocked: Archive, tmp_path: Path, look: Look, clock: bool
) -> None:
    # DCF (JEITA CP-3461B): file numbers go from 0001 to 9999 and begin again.
    root = tmp_path / "100CANON"
    for piece in (401, 402, 403):
        for n, number in enumerate((9998, 9999, 1, 2)):
            taken = f"2009:03:14 10:0{piece - 400}:0{n}" if clock else ""
            path = root / f"HW 0{piece}/IMG_{number:04d}.JPG"
            write(path, drawn(10 * piece + n), taken)
    told = look(root)
    question = next(q for q in told.proposal.questions if "overall view" in q.asks)
    yes = [i for i in question.choices[0].items if isinstance(i, DescribeView)]
    assert [i.path for i in yes] == [f"HW 0{p}/IMG_9998.JPG" for p in (401, 402, 403)]
    groups = [set(g.paths) for g in told.proposal.groups]
    assert all(len(paths) == 4 for paths in groups)
    said = tuple(
        msgspec.structs.replace(q, answer="yes") if q is question else q
        for q in told.proposal.questions
    )
    again = msgspec.structs.replace(told.proposal, questions=said)
    apply(stocked, again, told.path.name, "Ines Tidewell")
    shown = by_path(stocked, root)
    assert shown["HW 0402/IMG_9998.JPG"].depictions[0].view is View.OVERALL
    assert shown["HW 0402/IMG_0001.JPG"].depictions[0].view is View.UNKNOWN


def test_pieces_of_a_card_that_began_again_are_parted_by_time(tmp_path: Path, look: Look) -> None:
    root = tmp_path / "100CANON"
    numbers = [9996, 9997, 9998, 9999, 1, 2, 3, 4]
    for n, number in enumerate(numbers):
        minute = 0 if n < 6 else 30
        write(root / f"IMG_{number:04d}.JPG", drawn(n), f"2009:03:14 10:{minute:02d}:{5 * n:02d}")
    groups = [set(g.paths) for g in look(root).proposal.groups]
    joined = next(g for g in groups if "IMG_9999.JPG" in g)
    assert "IMG_0001.JPG" in joined, "0001 follows 9999"
    assert "IMG_0004.JPG" not in joined


def test_an_image_of_no_pixels_is_named(tmp_path: Path, look: Look) -> None:
    (tmp_path / "card").mkdir()
    Image.new("RGB", (1, 1)).save(tmp_path / "card/dot.png")
    (tmp_path / "card/none.jpg").write_bytes(b"\xff\xd8\xff\xd9")
    named = {t.trouble.place for t in look(tmp_path / "card").proposal.troubles}
    assert "none.jpg" in named
