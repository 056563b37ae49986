"""XMP beside pictures, text beside pictures, raw files beside their JPEGs: joined, and all kept."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from PIL import Image

from archivist.catalogue.archive import Archive
from archivist.catalogue.holdings import occurrences, original
from archivist.digests import digest_file
from archivist.intake.pictures.findings import Relation
from archivist.intake.proposal import TellPhotograph
from archivist.model import Certainty, View
from tests.imaging.raw_files import write_raw
from tests.intake.test_photographs_studied import by_path, drawn, write

Look = Callable[..., Any]

PACKET = """<?xpacket begin="\ufeff" id="W5M0MpCehiHzreSzNTczkc9d"?>
<x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">
<rdf:Description rdf:about="" xmlns:dc="http://purl.org/dc/elements/1.1/"
  xmlns:exif="http://ns.adobe.com/exif/1.0/" exif:DateTimeOriginal="{taken}">
 <dc:title><rdf:Alt><rdf:li xml:lang="x-default">{title}</rdf:li></rdf:Alt></dc:title>
 <dc:description><rdf:Alt><rdf:li xml:lang="de">Fuß</rdf:li>
  <rdf:li xml:lang="x-default">{words}</rdf:li></rdf:Alt></dc:description>
 <dc:creator><rdf:Seq><rdf:li>Odile Brandt</rdf:li></rdf:Seq></dc:creator>
</rdf:Description></rdf:RDF></x:xmpmeta>
<?xpacket end="w"?>"""
"""Laid out as the examples of ISO 16684-1 are."""


def sidecar(
    path: Path,
    words: str = "foot",
    title: str = "HW 0401",
    taken: str = "2009-03-14T10:00:00",
    encoding: str = "utf-8",
) -> Path:
    path.parent.mkdir(parents=True, exist_ok=True)
    packet = PACKET.format(words=words, title=title, taken=taken)
    path.write_bytes(packet.encode(encoding))
    return path


@pytest.fixture
def stocked(archive: Archive, sheet: Look, take_in: Look) -> Archive:
    take_in(sheet([["Stock No", "What it is"], ["HW 0401", "Jug"], ["HW 0402", "Dish"]]))
    return archive


@pytest.mark.parametrize("name", ["IMG_1.xmp", "IMG_1.JPG.xmp", "img_1.jpg.XMP"])
@pytest.mark.parametrize("encoding", ["utf-8", "utf-16"])
def test_words_dates_and_creator_of_a_sidecar_go_with_its_picture(
    stocked: Archive, tmp_path: Path, take_in: Look, look: Look, name: str, encoding: str
) -> None:
    root = tmp_path / "card"
    write(root / "IMG_1.JPG", drawn(1))
    write(root / "IMG_2.JPG", drawn(2))
    sidecar(root / name, encoding=encoding)
    take_in(root)
    photograph = by_path(stocked, root)["IMG_1.JPG"]
    assert [(c.words, c.where) for c in photograph.captions] == [
        ("HW 0401", "XMP sidecar dc:title"),
        ("foot", "XMP sidecar dc:description"),
    ]
    assert photograph.photographer == "Odile Brandt"
    (taken,) = [t for t in photograph.taken if t.preferred]
    assert (taken.date.edtf, taken.witness) == (
        "2009-03-14T10:00:00",
        "XMP sidecar exif:DateTimeOriginal",
    )
    (shown,) = photograph.depictions
    assert shown.view is View.FOOT_RIM
    assert not by_path(stocked, root)["IMG_2.JPG"].captions
    sha256 = digest_file(root / name).sha256
    kept = original(stocked.catalogue, sha256)
    assert kept is not None
    assert kept.media_type == "application/rdf+xml"
    assert [o.path for o in occurrences(stocked.catalogue, sha256)] == [name]
    assert look(root).path is None


def test_where_sidecar_and_camera_disagree_both_are_shown(tmp_path: Path, look: Look) -> None:
    root = tmp_path / "card"
    write(root / "IMG_1.JPG", drawn(1), "2004:03:14 10:00:00")
    sidecar(root / "IMG_1.xmp")
    told = look(root)
    (photograph,) = told.proposal.photographs
    assert photograph.taken == "2004-03-14T10:00:00"
    assert photograph.taken_certainty is Certainty.POSSIBLE
    assert photograph.taken_others == ("XMP sidecar exif:DateTimeOriginal: 2009-03-14T10:00:00",)
    (doubt,) = [d for d in told.proposal.doubts if d.about == "taken"]
    assert doubt.reasons == (
        "IMG_1.JPG: EXIF DateTimeOriginal: 2004-03-14T10:00:00, "
        "XMP sidecar exif:DateTimeOriginal: 2009-03-14T10:00:00",
    )


def test_words_that_come_to_lie_beside_a_known_picture_are_added_once(
    stocked: Archive, tmp_path: Path, take_in: Look, look: Look
) -> None:
    root = tmp_path / "card"
    write(root / "IMG_1.JPG", drawn(1))
    write(root / "IMG_2.JPG", drawn(2))
    take_in(root)
    sidecar(root / "IMG_1.xmp")
    (root / "IMG_2.JPG.txt").write_text("the mark", encoding="utf-8")
    told = look(root)
    assert sum(isinstance(i, TellPhotograph) for i in told.proposal.items) == 2
    take_in(root)
    shown = by_path(stocked, root)
    assert [c.words for c in shown["IMG_1.JPG"].captions] == ["HW 0401", "foot"]
    assert [c.words for c in shown["IMG_2.JPG"].captions] == ["the mark"]
    assert shown["IMG_1.JPG"].depictions, "the number in its sidecar names a piece"
    assert look(root).path is None


def test_sidecars_without_a_picture_or_without_words_are_kept_and_named(
    archive: Archive, tmp_path: Path, take_in: Look, look: Look
) -> None:
    root = tmp_path / "card"
    write(root / "IMG_1.JPG", drawn(1))
    sidecar(root / "gone.xmp")
    (root / "IMG_1.xmp").write_bytes(b"\0 no XMP at all")
    told = look(root)
    named = {t.trouble.place: t.trouble for t in told.proposal.troubles}
    assert "no picture of its name" in named["gone.xmp"].reason
    assert "no words or dates" in named["IMG_1.xmp"].reason
    assert named["gone.xmp"].harmless
    assert take_in(root).files == 3


def test_a_raw_file_is_the_original_of_the_jpeg_beside_it(
    stocked: Archive, tmp_path: Path, take_in: Look, look: Look
) -> None:
    root = tmp_path / "HW 0401"
    picture = drawn(1).resize((480, 360), Image.Resampling.LANCZOS)
    write_raw(root / "DSC_0001.NEF", picture, kind="nef", taken="2009:03:14 10:00:00")
    write(root / "DSC_0001.JPG", picture.resize((960, 720)), "2009:03:14 10:00:00")
    write(root / "for web/a1.jpg", picture.resize((240, 180)), quality=70)
    told = look(root)
    (same,) = told.proposal.duplicates
    assert same.keeper == "DSC_0001.NEF"
    relations = {o.path: o.relation for o in same.others}
    assert relations["DSC_0001.JPG"] is Relation.RAW_PAIR
    assert set(relations) == {"DSC_0001.JPG", "for web/a1.jpg"}
    notes = [t.trouble for t in told.proposal.troubles]
    assert [t.place for t in notes if "preview within it" in t.reason] == ["DSC_0001.NEF"]
    assert all(t.harmless for t in notes)
    take_in(root)
    shown = by_path(stocked, root)
    raw = shown["DSC_0001.NEF"]
    assert raw.media_type == "image/x-nikon-nef"
    assert not raw.derived_from
    assert shown["DSC_0001.JPG"].derived_from == raw.sha256
    assert shown["for web/a1.jpg"].derived_from == raw.sha256
    assert {p.depictions[0].object for p in shown.values()} == {raw.depictions[0].object}


def test_a_raw_file_in_a_folder_of_its_own_is_known_by_the_preview_within_it(
    tmp_path: Path, look: Look
) -> None:
    root = tmp_path / "2009"
    picture = drawn(1).resize((480, 360), Image.Resampling.LANCZOS)
    for number, kind, ending in ((1, "dng", "DNG"), (2, "cr2", "CR2"), (3, "hidden", "ARW")):
        picture = drawn(number).resize((480, 360), Image.Resampling.LANCZOS)
        write_raw(root / f"raw/{number}.{ending}", picture, kind=kind)
        write(root / f"jpg/b{number}.jpg", picture.resize((960, 720)))
    told = look(root)
    pairs = {s.keeper: [o.path for o in s.others] for s in told.proposal.duplicates}
    assert pairs == {
        "raw/1.DNG": ["jpg/b1.jpg"],
        "raw/2.CR2": ["jpg/b2.jpg"],
        "raw/3.ARW": ["jpg/b3.jpg"],
    }


def test_a_raw_file_has_a_small_picture_on_the_contact_sheet(tmp_path: Path) -> None:
    from archivist.intake.contact_sheet.thumbnails import thumbnail

    path = write_raw(tmp_path / "a.cr2", drawn(1), kind="cr2")
    assert thumbnail(path).startswith("data:image/jpeg;base64,")


def test_pages_and_documents_of_a_tree_are_named(tmp_path: Path, look: Look) -> None:
    root = tmp_path / "tree"
    root.mkdir()
    drawn(9).save(root / "pages.tif", save_all=True, append_images=[drawn(10), drawn(11)])
    (root / "letter.pdf").write_bytes(b"%PDF-1.4\n%%EOF\n")
    named = {t.trouble.place: t.trouble for t in look(root).proposal.troubles}
    assert "3 pages" in named["pages.tif"].reason
    assert "a PDF document" in named["letter.pdf"].reason
    assert all(trouble.harmless for trouble in named.values())
