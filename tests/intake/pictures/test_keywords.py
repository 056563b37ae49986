"""Keywords of photographs: kept word for word; what is nothing but a number or a view counts."""

from __future__ import annotations

import shutil
import subprocess
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from archivist.catalogue.archive import Archive
from archivist.intake.proposal import ChangeObject
from archivist.intake.views import view_called
from archivist.model import Certainty, ObjectRecord, Photograph, View
from archivist.reading.tables import load_tables
from tests.intake.test_photographs_studied import by_path, drawn, write

Look = Callable[..., Any]

SIDECAR = """<x:xmpmeta xmlns:x="adobe:ns:meta/">
<rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">
<rdf:Description rdf:about="" xmlns:dc="http://purl.org/dc/elements/1.1/">
<dc:subject><rdf:Bag>{items}</rdf:Bag></dc:subject></rdf:Description></rdf:RDF></x:xmpmeta>"""
"""Keywords as ISO 16684-1 has them: an unordered array."""


@pytest.fixture
def stocked(archive: Archive, sheet: Look, take_in: Look) -> Archive:
    take_in(sheet([["Stock No", "What it is"], ["HW 0401", "Jug"], ["HW 0402", "Dish"]]))
    return archive


def tagged(path: Path, seed: int, *keywords: str) -> Path:
    """A photograph with a sidecar that holds the keywords."""
    write(path, drawn(seed))
    items = "".join(f"<rdf:li>{word}</rdf:li>" for word in keywords)
    path.with_suffix(".xmp").write_text(SIDECAR.format(items=items), encoding="utf-8")
    return path


def depictions(archive: Archive, photograph: Photograph) -> list[tuple[str, View, Certainty]]:
    names = {record.id: record.name for record in archive.catalogue.all(ObjectRecord)}
    return [(names[d.object], d.view, d.certainty) for d in photograph.depictions]


def test_a_keyword_that_is_a_stock_number_or_a_view_counts_and_the_others_are_kept(
    stocked: Archive, tmp_path: Path, take_in: Look
) -> None:
    root = tmp_path / "card"
    tagged(root / "IMG_1.JPG", 1, "spring fair", "HW 0401", "Base", "made 1750 in the old works")
    tagged(root / "IMG_2.JPG", 2, "like HW 0402", "base of a lamp")
    take_in(root)
    shown = by_path(stocked, root)
    assert depictions(stocked, shown["IMG_1.JPG"]) == [("HW 0401", View.BASE, Certainty.CERTAIN)]
    assert not shown["IMG_2.JPG"].depictions, "a keyword that is more than a number is only kept"
    assert [(c.words, c.where) for c in shown["IMG_1.JPG"].captions] == [
        ("spring fair", "XMP sidecar dc:subject"),
        ("HW 0401", "XMP sidecar dc:subject"),
        ("Base", "XMP sidecar dc:subject"),
        ("made 1750 in the old works", "XMP sidecar dc:subject"),
    ]
    record = next(r for r in stocked.catalogue.all(ObjectRecord) if r.name == "HW 0401")
    assert not record.attributions, "nothing is read of the piece from keywords"


def test_keywords_of_two_pieces_make_a_group_photograph(
    stocked: Archive, tmp_path: Path, look: Look
) -> None:
    root = tmp_path / "card"
    tagged(root / "IMG_1.JPG", 1, "HW 0401", "HW 0402")
    proposal = look(root).proposal
    assert [g.several for g in proposal.found.groups] == [True]
    assert not any(isinstance(item, ChangeObject) for item in proposal.items)


def test_a_name_goes_before_keywords_and_keywords_before_captions_and_folders(
    stocked: Archive, tmp_path: Path, take_in: Look
) -> None:
    root = tmp_path / "card"
    tagged(root / "HW 0402 mark.JPG", 1, "HW 0401", "base")
    tagged(root / "HW 0402" / "IMG_2.JPG", 2, "HW 0401", "base", "mark")
    (root / "HW 0402" / "IMG_2.txt").write_text("the side", encoding="utf-8")
    take_in(root)
    shown = by_path(stocked, root)
    assert [d[:2] for d in depictions(stocked, shown["HW 0402 mark.JPG"])] == [
        ("HW 0402", View.MARK)
    ]
    assert depictions(stocked, shown["HW 0402/IMG_2.JPG"]) == [
        ("HW 0401", View.MARK, Certainty.PROBABLE)  # two views: the closer one, and not for certain
    ]


@pytest.mark.skipif(shutil.which("exiftool") is None, reason="ExifTool is not installed")
@pytest.mark.parametrize("tag", ["IPTC:Keywords", "XMP-dc:Subject"])
def test_keywords_that_another_program_wrote_are_read(
    stocked: Archive, tmp_path: Path, take_in: Look, tag: str
) -> None:
    path = write(tmp_path / "card" / "IMG_1.JPG", drawn(1))
    words = [f"-{tag}={word}" for word in ("HW 0402", "Größe", "Mündung", "青磁")]
    coded = ["-codedcharacterset=utf8"] if tag.startswith("IPTC") else []
    command = ["exiftool", "-q", "-overwrite_original", "-charset", "utf8", *coded, *words]
    subprocess.run([*command, str(path)], check=True)
    take_in(path.parent)
    photograph = by_path(stocked, path.parent)["IMG_1.JPG"]
    assert [c.words for c in photograph.captions] == ["HW 0402", "Größe", "Mündung", "青磁"]
    assert [d[:2] for d in depictions(stocked, photograph)] == [("HW 0402", View.MOUTH)]


@pytest.mark.parametrize(
    ("words", "view"),
    [("Foot rim", View.FOOT_RIM), ("base", View.BASE), ("base of a lamp", None), ("base 2", None)],
)
def test_a_view_is_called_by_its_words_alone(words: str, view: View | None) -> None:
    seen = view_called(words, load_tables())
    assert (seen.view if seen else None) is view
