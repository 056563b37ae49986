"""The readers of metadata blocks take any bytes for what they are worth, and fail on none."""

from __future__ import annotations

import io
import struct

from hypothesis import given
from hypothesis import strategies as st

from archivist.imaging import formats, iptc, png
from archivist.imaging.exif import read_exif
from archivist.imaging.tiff import Tiff
from archivist.imaging.words import readable
from archivist.imaging.xmp import read_xmp


@given(st.sampled_from([b"II*\0", b"MM\0*", b"II+\0", b"MM\0+", b""]), st.binary(max_size=200))
def test_any_bytes_are_read_as_exif_or_refused(head: bytes, body: bytes) -> None:
    try:
        exif = read_exif(io.BytesIO(head + body))
    except ValueError:
        assert not (head + body).startswith((b"II", b"MM"))
    else:
        assert 1 <= exif.orientation <= 8


@given(st.binary(max_size=200))
def test_any_bytes_are_read_as_iptc_and_photoshop_resources(block: bytes) -> None:
    for found in (iptc.read_iptc(block), iptc.read_iptc(b"\x1c\x02\x78" + block)):
        assert all(words for values in found.values() for words in values)
    assert len(iptc.from_photoshop(b"8BIM" + block)) <= len(block)


@given(
    st.one_of(
        st.binary(max_size=200), st.text(alphabet="<>/x:&;\"'= ", max_size=80).map(str.encode)
    )
)
def test_any_bytes_are_read_as_xmp(packet: bytes) -> None:
    assert all(isinstance(words, str) for words in read_xmp(packet).values())


@given(st.sampled_from([b"tEXt", b"zTXt", b"iTXt"]), st.binary(max_size=100))
def test_any_bytes_are_read_as_png_text(kind: bytes, data: bytes) -> None:
    keyword, words = png.text_of(png.Chunk(kind=kind, size=len(data), data=data))
    assert len(keyword) <= len(data)
    assert isinstance(words, str)


@given(st.binary(max_size=64), st.sampled_from(["", ".jpg", ".tga", ".nef"]))
def test_any_head_is_recognised_or_not(head: bytes, suffix: str) -> None:
    kind = formats.recognise(head, suffix)
    assert kind is None or kind.called
    formats.looks_like_text(head)


@given(st.binary(max_size=60))
def test_any_bytes_are_made_readable(data: bytes) -> None:
    assert "\0" not in readable(data)
    if not data.startswith(b"\0") and data.isalpha():
        assert readable(data) == data.decode("ascii")


def test_old_windows_text_is_read_as_it_was_written() -> None:
    assert readable("Köln – €".encode("cp1252")) == "Köln – €"
    assert readable("Köln – 壺".encode()) == "Köln – 壺"


def test_a_text_that_unpacks_without_end_is_left_alone() -> None:
    import zlib

    packed = zlib.compress(bytes(png.LARGEST_TEXT + 1))
    assert png.inflate(packed) == b""
    assert png.inflate(zlib.compress(b"words")) == b"words"


def test_bigtiff_is_read() -> None:
    # BigTIFF (libtiff design page): version 43, offsets of 8 bytes, entries of 20.
    head = struct.pack("<2sHHHQ", b"II", 43, 8, 0, 16)
    words = b"a dish\0"
    entries = struct.pack("<HHQ8s", 0x010E, 2, len(words), words.ljust(8, b"\0"))
    entries += struct.pack("<HHQHxxxxxx", 0x0112, 3, 1, 6)
    data = head + struct.pack("<Q", 2) + entries + struct.pack("<Q", 0)
    exif = read_exif(io.BytesIO(data))
    assert exif.orientation == 6
    assert exif.captions == (("EXIF ImageDescription", "a dish"),)
    assert len(Tiff(io.BytesIO(data)).directories()) == 1
