"""Delivery copies: words are put in, pixels stay, and the list says what was done to each."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace as changed
from PIL import Image

from archivist.hooks import Piece
from archivist.imaging import jpeg
from archivist.model import Aspect, Attribution, Certainty, Date, Note, Term
from archivist.testing import BOWL, export, sample_piece, sample_selection, with_picture
from archivist_plugins.iptc import IPTC
from archivist_plugins.iptc.datasets import LONGEST, resources
from archivist_plugins.iptc.embedding import NotWritable, into_jpeg, into_png
from archivist_plugins.iptc.fields import CUT, Artwork, Fields, artwork, fields, shortened
from archivist_plugins.iptc.packet import LARGEST, packet


@pytest.fixture
def piece(tmp_path: Path) -> Piece:
    return sample_piece(tmp_path / "pictures")


def _with_picture(piece: Piece, path: Path, media_type: str) -> Piece:
    photo = with_picture(piece.photographs[0], path, name=path.name, media_type=media_type)
    return replace(piece, photographs=(photo,))


def _delivered(piece: Piece, folder: Path) -> tuple[list[dict[str, Any]], dict[str, bytes]]:
    """The list, and the files by name."""
    files = export(IPTC, sample_selection(folder, [piece]), folder)
    contents = {Path(path).name: file.location.read_bytes() for path, file in files.items()}
    return json.loads(contents.pop("delivery.json")), contents


def _dated(**said: Any) -> Piece:
    record = changed(BOWL, attributions=(Attribution(aspect=Aspect.DATE, preferred=True, **said),))
    return Piece(record, (), (), "bowl", "https://x.test/1")


FULL = Fields(
    artwork=Artwork(title="Bowl"),
    caption="Bowl: mark",
    headline="Bowl",
    photographer="",
    credit="Ines Tidewell",
    notice="Rights holder: Ines Tidewell",
    rights_uri="",
    terms="",
)


def test_the_compressed_picture_of_a_jpeg_is_byte_for_byte_the_same(
    piece: Piece, tmp_path: Path
) -> None:
    listed, files = _delivered(piece, tmp_path)
    assert [entry["carries"] for entry in listed] == [["XMP", "IPTC"]] * 2
    for photo in piece.photographs:
        before = list(jpeg.segments(photo.path.read_bytes()))
        after = list(jpeg.segments(files[photo.name]))
        ours = [s for s in after if s.marker in (jpeg.APP1, jpeg.APP13)]
        assert len(ours) == 2
        rest = [(s.marker, s.payload, s.scan) for s in after if s not in ours]
        assert rest == [(s.marker, s.payload, s.scan) for s in before]


def test_the_pixels_of_a_png_are_the_same(piece: Piece, tmp_path: Path) -> None:
    path = tmp_path / "overall-01.png"
    Image.radial_gradient("L").convert("RGB").save(path)
    listed, files = _delivered(_with_picture(piece, path, "image/png"), tmp_path / "out")
    (tmp_path / "made.png").write_bytes(files["overall-01.png"])
    with Image.open(path) as before, Image.open(tmp_path / "made.png") as after:
        assert before.tobytes() == after.tobytes()
        assert "XML:com.adobe.xmp" in after.info
    assert listed[0]["carries"] == ["XMP"]


def test_other_formats_are_copied_unchanged_and_listed(piece: Piece, tmp_path: Path) -> None:
    path = tmp_path / "overall-01.tif"
    Image.radial_gradient("L").save(path)
    listed, files = _delivered(_with_picture(piece, path, "image/tiff"), tmp_path / "out")
    assert files["overall-01.tif"] == path.read_bytes()
    assert "carries" not in listed[0]
    assert "JPEG and PNG only" in listed[0]["remark"]


def test_a_jpeg_that_breaks_off_is_copied_unchanged_and_listed(
    piece: Piece, tmp_path: Path
) -> None:
    path = tmp_path / "overall-01.jpg"
    path.write_bytes(piece.photographs[0].path.read_bytes()[:-200])
    listed, files = _delivered(_with_picture(piece, path, "image/jpeg"), tmp_path / "out")
    assert files["overall-01.jpg"] == path.read_bytes()
    assert "breaks off" in listed[0]["remark"]


def test_words_that_a_file_came_with_are_replaced_and_that_is_said(
    piece: Piece, tmp_path: Path
) -> None:
    first = into_jpeg(piece.photographs[0].path.read_bytes(), packet(FULL), resources(FULL))
    path = tmp_path / "overall-01.jpg"
    path.write_bytes(first.content)
    listed, files = _delivered(_with_picture(piece, path, "image/jpeg"), tmp_path / "out")
    assert listed[0]["replaces"] == ["XMP", "IPTC"]
    row = list(jpeg.segments(files["overall-01.jpg"]))
    assert len([s for s in row if s.marker in (jpeg.APP1, jpeg.APP13)]) == 2


def test_several_pictures_in_one_file_are_not_shifted(piece: Piece) -> None:
    data = piece.photographs[0].path.read_bytes()
    previews = jpeg.segment_bytes(jpeg.APP2, b"MPF\0" + b"II*\0" + b"\0" * 20)
    own = jpeg.segment_bytes(jpeg.APP13, b"Photoshop 3.0\0")
    with pytest.raises(NotWritable, match="several pictures"):
        into_jpeg(data[:2] + previews + own + data[2:], packet(FULL), resources(FULL))
    made = into_jpeg(data[:2] + previews + data[2:], packet(FULL), resources(FULL)).content
    assert made.index(b"MPF\0") > made.index(b"xpacket"), "its places count from itself on"


def test_exif_stays_first_and_keeps_its_bytes(tmp_path: Path) -> None:
    path = tmp_path / "turned.jpg"
    turned = Image.Exif()
    turned[0x0112] = 6
    Image.linear_gradient("L").save(path, exif=turned)
    row = list(jpeg.segments(into_jpeg(path.read_bytes(), packet(FULL), resources(FULL)).content))
    starts = [s.payload[:10] for s in row if s.marker == jpeg.APP1]
    assert starts == [b"Exif\0\0MM\0*", b"http://ns."]


def test_what_stands_after_the_picture_is_kept(piece: Piece) -> None:
    data = piece.photographs[0].path.read_bytes() + b"after the end"
    made = into_jpeg(data, packet(FULL), resources(FULL)).content
    assert made.endswith(b"\xff\xd9after the end")


def test_a_png_without_a_picture_is_not_written() -> None:
    with pytest.raises(NotWritable):
        into_png(b"\x89PNG\r\n\x1a\n", b"")


def test_a_piece_without_photographs_gives_nothing(piece: Piece, tmp_path: Path) -> None:
    bare = replace(piece, photographs=())
    assert export(IPTC, sample_selection(tmp_path, [bare]), tmp_path) == {}


# What is said


def _artwork(piece: Piece) -> Artwork:
    return artwork(piece, sample_selection(Path(), [piece]))


def test_a_date_that_is_held_certain_and_plain_is_a_date() -> None:
    art = _artwork(_dated(as_stated="1811", date=Date(edtf="1811", earliest=1811, latest=1811)))
    assert (art.created, art.circa) == ("1811", "")


@pytest.mark.parametrize(
    ("date", "certainty", "told"),
    [
        (Date(edtf="1811", earliest=1811, latest=1811), Certainty.PROBABLE, "1811 (probable)"),
        (Date(edtf="1775/1825", earliest=1775, latest=1825), Certainty.CERTAIN, "1775–1825"),
        (Date(edtf="-0205", earliest=-205, latest=-205), Certainty.CERTAIN, "206 BCE"),
    ],
)
def test_any_other_date_stays_in_words(date: Date, certainty: Certainty, told: str) -> None:
    art = _artwork(_dated(date=date, certainty=certainty))
    assert (art.created, art.circa) == ("", told)


def test_a_rejected_date_is_no_date() -> None:
    date = Date(edtf="1811", earliest=1811, latest=1811)
    art = _artwork(_dated(date=date, certainty=Certainty.REJECTED))
    assert (art.created, art.circa) == ("", "")


def test_what_a_mark_claims_is_told_with_the_mark_and_never_as_a_date(piece: Piece) -> None:
    art = _artwork(piece)
    assert "held to be later than it claims" in art.physical
    assert "Chenghua" not in art.circa + art.created + "".join(art.style)


def test_making_and_damage_keep_their_own_headings(piece: Piece) -> None:
    lines = _artwork(piece).physical.splitlines()
    assert any(line.startswith("Making: firing gap") for line in lines)
    assert any(line.startswith("Damage: hairline") for line in lines)


def test_a_doubted_style_keeps_its_doubt() -> None:
    record = changed(
        BOWL,
        attributions=(
            Attribution(
                aspect=Aspect.CULTURE, term=Term(label="Korean"), certainty=Certainty.POSSIBLE
            ),
        ),
    )
    assert _artwork(Piece(record, (), (), "b", "https://x.test")).style == ("Korean (possible)",)


def test_a_view_that_nobody_knows_is_not_put_into_the_caption(piece: Piece) -> None:
    selection = sample_selection(piece.photographs[0].path.parent, [piece])
    unknown = replace(piece.photographs[0], label="unknown")
    assert fields(piece, unknown, selection).caption == "Bowl with celadon glaze"
    assert fields(piece, piece.photographs[1], selection).caption == "Bowl with celadon glaze: mark"


def test_an_address_that_leads_nowhere_is_not_given(piece: Piece) -> None:
    selection = sample_selection(piece.photographs[0].path.parent, [piece])
    assert artwork(piece, selection).address == ""
    published = replace(selection, archive=replace(selection.archive, base_uri="https://x.test/"))
    assert artwork(piece, published).address == piece.uri


def test_a_description_of_40000_words_fits_and_says_that_it_was_cut(piece: Piece) -> None:
    words = Note(as_stated="<glaze> & foot " * 20_000)
    long = replace(piece, record=changed(BOWL, descriptions=(words,)))
    selection = sample_selection(piece.photographs[0].path.parent, [long])
    made = packet(fields(long, piece.photographs[0], selection))
    assert len(made) <= LARGEST
    assert CUT.strip() in made.decode()
    assert "Chenghua" in made.decode()


def test_a_thousand_makers_fit(piece: Piece) -> None:
    makers = tuple(f"maker {n} " + "&" * 300 for n in range(1_000))
    many = replace(FULL, artwork=Artwork(title="x" * 99_999, creators=makers, style=makers))
    assert len(packet(many)) <= LARGEST


@given(text=st.text(st.characters(codec="utf-8"), max_size=80), longest=st.integers(8, 60))
def test_a_shortened_text_fits_and_begins_as_the_whole(text: str, longest: int) -> None:
    short = shortened(text, longest)
    assert len(short.encode()) <= longest
    assert short == text or (short.endswith(CUT) and text.startswith(short.removesuffix(CUT)))


def test_no_dataset_is_longer_than_the_standard_allows() -> None:
    long = replace(FULL, caption="年" * 3_000, credit="é" * 99, notice="x" * 999)
    data = resources(long)
    block = data[data.index(b"\x1c\x01\x5a") :]
    while block[:1] == b"\x1c":
        length = int.from_bytes(block[3:5], "big")
        if block[1] == 2 and block[2]:
            assert length <= LONGEST[block[2]]
            block[5 : 5 + length].decode("utf-8")
        block = block[5 + length :]
    assert block[:1] in (b"8", b"\0")
