"""What is wanted of EXIF (Exif 2.3, CIPA DC-008-2012) and of TIFF's own tags.

Each tag is read by itself, so that one broken tag costs no other.
"""

from __future__ import annotations

from typing import BinaryIO

from archivist.imaging.tiff import Directory, Tiff
from archivist.imaging.words import readable, utf16
from archivist.model.base import Value

IMAGE_WIDTH, IMAGE_HEIGHT, ORIENTATION = 0x0100, 0x0101, 0x0112
EXIF_DIRECTORY, GPS_DIRECTORY, INTEROPERABILITY = 0x8769, 0x8825, 0xA005
SUB_DIRECTORIES, NEW_SUBFILE_TYPE, PHOTOMETRIC, DNG_VERSION = 0x014A, 0x00FE, 0x0106, 0xC612
XMP, IPTC, PHOTOSHOP = 0x02BC, 0x83BB, 0x8649
_SENSOR = (32803, 34892)
"""PhotometricInterpretation of colour filter array and linear raw (TIFF/EP, DNG)."""

_MODEL, _SOFTWARE = 0x0110, 0x0131
_USER_COMMENT = 0x9286
_CAPTIONS = {0x010E: "EXIF ImageDescription", 0x9C9B: "EXIF XPTitle", 0x9C9C: "EXIF XPComment",
             0x9C9F: "EXIF XPSubject"}  # fmt: skip
_UTF16 = frozenset({0x9C9B, 0x9C9C, 0x9C9F})
_SERIALS = (0xA431, 0xC62F)
_FILE_SOURCE, _SCANNERS = 0xA300, (b"\1", b"\2")
"""FileSource: 1 is a scanner of transparencies, 2 one of prints, 3 a camera (Exif 2.3, 4.6.5)."""

_CLOCKS = (
    ("EXIF DateTimeOriginal", 0x9003, 0x9291, 0x9011),
    ("EXIF DateTimeDigitized", 0x9004, 0x9292, 0x9012),
    ("EXIF DateTime", 0x0132, 0x9290, 0x9010),
)
"""Witness, and the tags of its date, its fraction of a second and its offset from UTC."""


class Clock(Value, frozen=True, kw_only=True):
    """A time as a tag states it: the words, the digits after the second, the offset from UTC."""

    witness: str
    words: str
    fraction: str = ""
    offset: str = ""


class Exif(Value, frozen=True, kw_only=True):
    """The facts of one EXIF block; empty where it does not say.

    `adobe_rgb`: DCF's optional colour space (interoperability index R03), which stands in for an
    ICC profile. `xmp` and `iptc` are blocks that TIFF keeps in tags. `raw`: the file holds a
    camera sensor's data. `scanned`: the file says that a scanner made it, so that its clocks tell
    when a print or slide was scanned.
    """

    orientation: int = 1
    make: str = ""
    model: str = ""
    serial: str = ""
    artist: str = ""
    captions: tuple[tuple[str, str], ...] = ()
    clocks: tuple[Clock, ...] = ()
    has_gps: bool = False
    adobe_rgb: bool = False
    xmp: bytes = b""
    iptc: bytes = b""
    photoshop: bytes = b""
    raw: bool = False
    scanned: bool = False


def read_exif(stream: BinaryIO, start: int = 0) -> Exif:
    """What the TIFF structure at `start` says.

    Raises:
        ValueError: it does not begin as a TIFF.
    """
    tiff = Tiff(stream, start)
    main = tiff.directory(tiff.first)
    camera = tiff.directory(tiff.number(main, EXIF_DIRECTORY))
    gps = tiff.directory(tiff.number(main, GPS_DIRECTORY))
    interoperability = tiff.directory(tiff.number(camera, INTEROPERABILITY))

    def text(tag: int) -> str:
        # Writers put tags into the wrong directory often enough to look into both.
        for directory in (main, camera):
            words = tiff.raw(directory.entries.get(tag))
            if words:
                return utf16(words) if tag in _UTF16 else readable(words)
        return ""

    clocks = [
        Clock(witness=witness, words=text(date), fraction=text(fraction), offset=text(offset))
        for witness, date, fraction, offset in _CLOCKS
        if text(date)
    ]
    clocks += _gps_clock(tiff, gps)
    captions = [(where, text(tag)) for tag, where in _CAPTIONS.items()]
    captions.append(
        ("EXIF UserComment", _user_comment(tiff.raw(camera.entries.get(_USER_COMMENT))))
    )
    orientation = tiff.number(main, ORIENTATION, 1)
    return Exif(
        orientation=orientation if 1 <= orientation <= 8 else 1,
        make=text(0x010F),
        model=text(_MODEL),
        serial=next((text(tag) for tag in _SERIALS if text(tag)), ""),
        artist=text(0x013B),
        captions=tuple((where, words) for where, words in captions if words),
        clocks=tuple(clocks),
        has_gps=any(tag in gps.entries for tag in (1, 2, 3, 4)),
        adobe_rgb=readable(tiff.raw(interoperability.entries.get(1))) == "R03",
        xmp=tiff.raw(main.entries.get(XMP)),
        iptc=tiff.raw(main.entries.get(IPTC)),
        photoshop=tiff.raw(main.entries.get(PHOTOSHOP)),
        raw=_holds_sensor_data(tiff, main),
        scanned=tiff.raw(camera.entries.get(_FILE_SOURCE))[:1] in _SCANNERS
        or any("scan" in text(tag).casefold() for tag in (_MODEL, _SOFTWARE)),
    )


def _gps_clock(tiff: Tiff, gps: Directory) -> list[Clock]:
    """GPSDateStamp with GPSTimeStamp, which are UTC; nothing where the day is missing."""
    day = readable(tiff.raw(gps.entries.get(29)))
    if not day:
        return []
    time = tiff.numbers(gps.entries.get(7))
    parts = list(zip(time[0::2], time[1::2], strict=True)) if len(time) == 6 else []
    if not parts or any(below == 0 for _, below in parts):
        return [Clock(witness="EXIF GPS time", words=day, offset="+00:00")]
    hour, minute, second = (above // below for above, below in parts)
    above, below = parts[2]
    fraction = f"{above % below * 1000 // below:03}".rstrip("0")
    words = f"{day} {hour:02}:{minute:02}:{second:02}"
    return [Clock(witness="EXIF GPS time", words=words, fraction=fraction, offset="+00:00")]


def _user_comment(data: bytes) -> str:
    """UserComment: eight bytes naming the character code, then the words (Exif 2.3, 4.6.5)."""
    code, body = data[:8], data[8:]
    if code == b"UNICODE\0":
        mark = body[:2]
        # The standard leaves the byte order open; blanks and Latin letters give it away.
        little = mark == b"\xff\xfe" or (mark != b"\xfe\xff" and body[1:2] == b"\0")
        return utf16(body, "utf-16-le" if little else "utf-16-be").lstrip("\ufeff")
    if code == b"JIS\0\0\0\0\0":
        return body.decode("iso2022_jp", "replace").strip("\0 ")
    words = readable(body)
    return words if words.isprintable() or "\n" in words else ""


def _holds_sensor_data(tiff: Tiff, main: Directory) -> bool:
    if DNG_VERSION in main.entries or tiff.number(main, PHOTOMETRIC) in _SENSOR:
        return True
    # Raw files open with a small preview and keep the sensor's picture in a sub-directory.
    return SUB_DIRECTORIES in main.entries and bool(tiff.number(main, NEW_SUBFILE_TYPE) & 1)
