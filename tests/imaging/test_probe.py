from __future__ import annotations

import struct
import sys
import zlib
from collections.abc import Callable
from pathlib import Path

import piexif
import pytest
from PIL import Image
from PIL.PngImagePlugin import PngInfo

from archivist.errors import SourceError
from archivist.imaging import decoder
from archivist.imaging.jpeg import segment_bytes
from archivist.imaging.probe import probe
from archivist.imaging.words import MOST_KEYWORDS, is_keyword

pytestmark = pytest.mark.filterwarnings("ignore::Warning:PIL")

XMP = """<?xpacket begin=""?><x:xmpmeta xmlns:x="adobe:ns:meta/">
<rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">
<rdf:Description xmlns:dc="http://purl.org/dc/elements/1.1/"
 xmlns:xmp="http://ns.adobe.com/xap/1.0/" xmlns:aux="http://ns.adobe.com/exif/1.0/aux/"
 xmp:CreateDate="2011-05-06T07:08:09+02:00" aux:SerialNumber="77-A">
<dc:description><rdf:Alt><rdf:li xml:lang="nl">schaal</rdf:li>
<rdf:li xml:lang="x-default">celadon dish, drilled</rdf:li></rdf:Alt></dc:description>
<dc:creator><rdf:Seq><rdf:li>J. Nobody</rdf:li></rdf:Seq></dc:creator>
</rdf:Description></rdf:RDF></x:xmpmeta>"""


def with_segments(jpeg: bytes, *segments: tuple[int, bytes]) -> bytes:
    return jpeg[:2] + b"".join(segment_bytes(*segment) for segment in segments) + jpeg[2:]


@pytest.fixture
def jpeg(tmp_path: Path, photograph: Image.Image) -> bytes:
    photograph.save(tmp_path / "plain.jpg", quality=90)
    return (tmp_path / "plain.jpg").read_bytes()


def test_the_package_imports_no_imaging_library() -> None:
    import subprocess

    code = "import sys, archivist.imaging; sys.exit('PIL' in sys.modules or 'lxml' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


def test_dates_captions_and_camera_come_from_exif(tmp_path: Path, photograph: Image.Image) -> None:
    block = piexif.dump(
        {
            "0th": {
                piexif.ImageIFD.ImageDescription: b"tea bowl, K\xc3\xb6ln",
                piexif.ImageIFD.XPTitle: "foot rim".encode("utf-16-le"),
                piexif.ImageIFD.Artist: b"A. Nobody",
                piexif.ImageIFD.Make: b"Invented",
                piexif.ImageIFD.Model: b"One",
                piexif.ImageIFD.DateTime: b"2005:01:02 03:04:05",
            },
            "Exif": {
                piexif.ExifIFD.DateTimeOriginal: b"2004:05:06 07:08:09",
                piexif.ExifIFD.SubSecTimeOriginal: b"25",
                piexif.ExifIFD.OffsetTimeOriginal: b"+02:00",
                piexif.ExifIFD.BodySerialNumber: b"SN-1",
                piexif.ExifIFD.UserComment: b"UNICODE\0" + "crack at the mouth".encode("utf-16-be"),
            },
            "GPS": {
                piexif.GPSIFD.GPSLatitudeRef: b"N",
                piexif.GPSIFD.GPSLatitude: ((52, 1), (0, 1), (0, 1)),
                piexif.GPSIFD.GPSDateStamp: b"2004:05:06",
                piexif.GPSIFD.GPSTimeStamp: ((5, 1), (8, 1), (85, 10)),
            },
        }
    )
    path = tmp_path / "bowl.jpg"
    photograph.save(path, exif=block)
    said = probe(path)
    assert [(t.witness, t.date.edtf) for t in said.taken] == [
        ("EXIF DateTimeOriginal", "2004-05-06T07:08:09+02:00"),
        ("EXIF DateTime", "2005-01-02T03:04:05"),
        ("EXIF GPS time", "2004-05-06T05:08:08Z"),
    ]
    assert {c.where: c.words for c in said.captions} == {
        "EXIF ImageDescription": "tea bowl, Köln",
        "EXIF XPTitle": "foot rim",
        "EXIF UserComment": "crack at the mouth",
    }
    assert (said.camera_make, said.camera_model, said.camera_serial) == ("Invented", "One", "SN-1")
    assert said.photographer == "A. Nobody"
    assert said.has_gps
    assert (said.width, said.height, said.extension) == (240, 160, ".jpg")
    assert not said.undecodable


def test_words_come_from_xmp_iptc_and_comments_each_said_once(tmp_path: Path, jpeg: bytes) -> None:
    caption = b"celadon dish, drilled"
    iptc = b"\x1c\x02\x78" + struct.pack(">H", len(caption)) + caption
    iptc += b"\x1c\x02\x37\0\x08" + b"20110506" + b"\x1c\x02\x3c\0\x0b" + b"070809+0200"
    resource = b"8BIM\x04\x04\0\0" + struct.pack(">I", len(iptc)) + iptc + b"\0" * (len(iptc) % 2)
    path = tmp_path / "dish.jpg"
    path.write_bytes(
        with_segments(
            jpeg,
            (0xE1, b"http://ns.adobe.com/xap/1.0/\0" + XMP.encode()),
            (0xED, b"Photoshop 3.0\0" + resource),
            (0xFE, b"box 7"),
        )
    )
    said = probe(path)
    assert [(c.where, c.words) for c in said.captions] == [
        ("IPTC caption, XMP dc:description", "celadon dish, drilled"),
        ("JPEG comment", "box 7"),
    ]
    assert [(t.witness, t.date.edtf) for t in said.taken] == [
        ("XMP xmp:CreateDate", "2011-05-06T07:08:09+02:00"),
        ("IPTC date created", "2011-05-06T07:08:09+02:00"),
    ]
    assert (said.photographer, said.camera_serial) == ("J. Nobody", "77-A")


def dataset(number: int, words: str) -> bytes:
    """A dataset of IPTC-IIM 4.2, record 2: marker, record, number, two bytes of length."""
    data = words.encode()
    return b"\x1c\x02" + bytes([number]) + struct.pack(">H", len(data)) + data


def test_keywords_come_from_iptc_and_xmp_each_once_after_the_captions(
    tmp_path: Path, jpeg: bytes
) -> None:
    iptc = dataset(25, "HW 0401") + dataset(120, "celadon dish") + dataset(25, "spring fair")
    resource = b"8BIM\x04\x04\0\0" + struct.pack(">I", len(iptc)) + iptc + b"\0" * (len(iptc) % 2)
    bag = "<dc:subject><rdf:Bag><rdf:li>foot</rdf:li><rdf:li> spring  fair </rdf:li>"
    bag += "<rdf:li/></rdf:Bag></dc:subject></rdf:Description>"
    xmp = XMP.replace("</rdf:Description>", bag, 1)
    path = tmp_path / "dish.jpg"
    segments = ((0xE1, b"http://ns.adobe.com/xap/1.0/\0" + xmp.encode()),)
    path.write_bytes(with_segments(jpeg, *segments, (0xED, b"Photoshop 3.0\0" + resource)))
    captions = probe(path).captions
    assert [(c.where, c.words) for c in captions if is_keyword(c)] == [
        ("IPTC keyword", "HW 0401"),
        ("IPTC keyword, XMP dc:subject", "spring fair"),
        ("XMP dc:subject", "foot"),
    ]
    assert "celadon dish" in {c.words for c in captions if not is_keyword(c)}


def test_thousands_of_keywords_are_cut_and_that_is_said(tmp_path: Path, jpeg: bytes) -> None:
    iptc = b"".join(dataset(25, f"word {n}") for n in range(1000))
    resource = b"8BIM\x04\x04\0\0" + struct.pack(">I", len(iptc)) + iptc
    path = tmp_path / "dish.jpg"
    path.write_bytes(with_segments(jpeg, (0xED, b"Photoshop 3.0\0" + resource)))
    said = probe(path)
    assert len(said.captions) == MOST_KEYWORDS
    assert any("800 of 1000 keywords" in remark for remark in said.remarks)


def test_an_entity_bomb_in_xmp_is_not_expanded(tmp_path: Path, jpeg: bytes) -> None:
    layers = "".join(
        f'<!ENTITY {b} "{f"&{a};" * 20}">' for a, b in zip("abcdef", "bcdefg", strict=True)
    )
    bomb = f'<!DOCTYPE x [<!ENTITY a "aaaa">{layers}]>' + XMP.split("?>", 1)[1].replace(
        "celadon dish, drilled", "&g;"
    )
    path = tmp_path / "bomb.jpg"
    path.write_bytes(with_segments(jpeg, (0xE1, b"http://ns.adobe.com/xap/1.0/\0" + bomb.encode())))
    assert sum(len(caption.words) for caption in probe(path).captions) < 100


def test_what_the_camera_writes_into_every_file_is_no_caption(
    tmp_path: Path, photograph: Image.Image
) -> None:
    block = piexif.dump(
        {
            "0th": {
                piexif.ImageIFD.ImageDescription: b"INVENTED DIGITAL CAMERA         ",
                piexif.ImageIFD.Make: b"INVENTED OPTICAL CO.",
            }
        }
    )
    photograph.save(tmp_path / "a.jpg", exif=block)
    said = probe(tmp_path / "a.jpg")
    assert said.captions == ()
    assert "INVENTED DIGITAL CAMERA" in said.remarks[0]


def test_words_and_exif_come_from_png(tmp_path: Path, photograph: Image.Image) -> None:
    texts = PngInfo()
    texts.add_text("Description", "jar with cover")
    texts.add_itxt("Title", "壺", zip=True)
    texts.add_itxt("XML:com.adobe.xmp", XMP)
    exif = Image.Exif()
    exif[0x0132] = "2005:01:02 03:04:05"
    exif[0x0112] = 6
    photograph.save(tmp_path / "jar.png", pnginfo=texts, exif=exif)
    said = probe(tmp_path / "jar.png")
    assert {c.words for c in said.captions} == {"jar with cover", "壺", "celadon dish, drilled"}
    assert said.taken[0].date.edtf == "2005-01-02T03:04:05"
    assert (said.width, said.height, said.orientation) == (160, 240, 6)


def test_pages_and_frames_are_counted(tmp_path: Path, photograph: Image.Image) -> None:
    others = [photograph.rotate(angle) for angle in (10, 20)]
    for name in ("a.tif", "a.gif", "a.webp", "a.png"):
        photograph.save(tmp_path / name, save_all=True, append_images=others)
        assert probe(tmp_path / name).pages == 3, name


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "empty"),
        (b"Dear Sir, the vase was broken.\r\n", "text, not a photograph"),
        ("花瓶, sold 1987".encode(), "text, not a photograph"),
        (b"\xff\xfeh\0i\0", "text, not a photograph"),
        (bytes(5000), "zero bytes"),
        (b"\x93\x01\xfa\x00\x7f" * 40, "no image format known here"),
        (b"%PDF-1.4\n", "PDF document"),
        (b"PK\x03\x04\x14\0", "zip archive or an office document"),
        (b"\xff\xd8\xff", "cannot be shown"),
        (b"\x89PNG\r\n\x1a\n", "cannot be shown"),
        (b"II*\0\x08\0\0\0", "cannot be shown"),
        (b"GIF89a", "cannot be shown"),
    ],
)
def test_what_is_no_photograph_is_named_and_not_refused(
    tmp_path: Path, content: bytes, words: str
) -> None:
    path = tmp_path / "Foto 12 – 壺.jpg"
    path.write_bytes(content)
    said = probe(path)
    assert words in said.undecodable
    assert (said.width, said.height) == (0, 0)


@pytest.mark.parametrize("name", ["a.jpg", "a.png", "a.tif", "a.gif", "a.webp", "a.bmp"])
def test_a_file_cut_short_is_found_out_without_losing_what_it_says(
    tmp_path: Path, photograph: Image.Image, name: str
) -> None:
    exif = Image.Exif()
    exif[0x0132] = "2005:01:02 03:04:05"
    if name == "a.tif":  # its directory would lie at the end, and be gone
        photograph.save(tmp_path / name)
    else:
        photograph.save(tmp_path / name, exif=exif)
    whole = (tmp_path / name).read_bytes()
    assert not probe(tmp_path / name).undecodable
    (tmp_path / name).write_bytes(whole[: len(whole) * 2 // 3])
    said = probe(tmp_path / name)
    assert "cannot be shown" in said.undecodable
    if name in ("a.jpg", "a.png"):
        assert said.taken[0].date.edtf == "2005-01-02T03:04:05"


def test_a_png_that_lost_only_its_end_mark_is_still_a_picture(
    tmp_path: Path, photograph: Image.Image
) -> None:
    photograph.save(tmp_path / "a.png")
    whole = (tmp_path / "a.png").read_bytes()
    (tmp_path / "a.png").write_bytes(whole[:-12])
    with Image.open(tmp_path / "a.png") as image:
        try:
            image.load()
        except OSError:
            pytest.skip("this version of Pillow refuses it")
    assert not probe(tmp_path / "a.png").undecodable


@pytest.mark.parametrize(
    ("head", "name", "called"),
    [
        (b"\0\0\0\x18ftypcrx \0\0\0\1crx isom", "a.cr3", "a CR3 raw photograph"),
        (b"II*\0\x10\0\0\0CR\x02\0" + bytes(40), "a.cr2", "a CR2 raw photograph"),
        (b"FUJIFILMCCD-RAW 0201", "a.raf", "a RAF raw photograph"),
        (b"II*\0\x08\0\0\0" + bytes(40), "a.NEF", "a NEF raw photograph"),
        (b"\xff\x0a" + bytes(30), "a.jxl", "a JPEG XL image"),
    ],
)
def test_a_format_without_decoder_is_named_and_kept(
    tmp_path: Path, head: bytes, name: str, called: str
) -> None:
    (tmp_path / name).write_bytes(head)
    assert probe(tmp_path / name).undecodable == f"{called}; it is kept as it is; no decoder here"


def test_heic_without_its_decoder_is_named_and_keeps_its_date(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    exif = piexif.dump({"Exif": {piexif.ExifIFD.DateTimeOriginal: b"2019:01:02 03:04:05"}})
    media = b"\0\0\0\0" + exif
    boxes = b"\0\0\0\x18ftypheic\0\0\0\0mif1heic" + b"\0\0\0\x08meta"
    boxes += struct.pack(">I", 8 + len(media)) + b"mdat" + media
    (tmp_path / "a.heic").write_bytes(boxes)
    monkeypatch.setattr(decoder, "prepare", lambda: frozenset({"JPEG", "PNG"}))
    said = probe(tmp_path / "a.heic")
    assert said.undecodable == "a HEIC photograph; it is kept as it is; no decoder here"
    assert said.taken[0].date.edtf == "2019-01-02T03:04:05"


def test_raw_that_opens_like_a_tiff_is_known_by_its_tags(
    tmp_path: Path, write_tiff: Callable[..., None]
) -> None:
    path = tmp_path / "renamed.tif"
    write_tiff(
        path, bytes(48), (4, 4), bits=8, samples=3, photometric=2, more={0xC612: (1, b"\1\4\0\0")}
    )
    assert probe(path).undecodable == "a DNG raw photograph; it is kept as it is; no decoder here"


def test_extension_and_media_type_fit_the_bytes_and_not_the_name(
    tmp_path: Path, photograph: Image.Image
) -> None:
    photograph.save(tmp_path / "a.png")
    (tmp_path / "a.png").rename(tmp_path / "a.jpg")
    said = probe(tmp_path / "a.jpg")
    assert (said.format, said.extension, said.media_type) == ("PNG", ".png", "image/png")


def png_claiming(width: int, height: int) -> bytes:
    def chunk(kind: bytes, data: bytes) -> bytes:
        return (
            struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))
        )

    head = struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0)
    pixels = zlib.compress(bytes(1000))
    return (
        b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", pixels) + chunk(b"IEND", b"")
    )


@pytest.mark.parametrize("side", [23_000, 40_000, 2_000_000])
def test_a_decompression_bomb_is_named_and_not_opened(tmp_path: Path, side: int) -> None:
    (tmp_path / "bomb.png").write_bytes(png_claiming(side, side))
    assert "megapixels" in probe(tmp_path / "bomb.png").undecodable


def test_a_folder_is_an_error_that_names_it(tmp_path: Path) -> None:
    with pytest.raises(SourceError, match="could not be read"):
        probe(tmp_path)


def test_a_directory_that_points_to_itself_comes_to_an_end(tmp_path: Path) -> None:
    loop = struct.pack("<2sHIHHHII", b"II", 42, 8, 1, 0x0112, 3, 1, 6) + struct.pack("<I", 8)
    (tmp_path / "loop.tif").write_bytes(loop)
    assert "cannot be shown" in probe(tmp_path / "loop.tif").undecodable
