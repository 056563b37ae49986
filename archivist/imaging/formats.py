"""Which kind of file it is, by its first bytes and never by its name alone.

Sources of the signatures: ISO/IEC 10918-1 (JPEG), the PNG specification 3rd edition, TIFF 6.0 and
its BigTIFF extension, GIF89a, RFC 9649 (WebP), ISO/IEC 23008-12 (HEIF) and 14496-12 (brands),
ISO/IEC 15444-1 (JPEG 2000), ISO/IEC 18181-2 (JPEG XL). Those of camera makers' raw files are
common practice, no source; their media types are those of the shared MIME-info database
(freedesktop.org), as none but DNG's stands in a register.
"""

from __future__ import annotations

import re

from archivist.model.base import Value


class Format(Value, frozen=True, kw_only=True):
    """A kind of file. `extension` is the usual one, with its dot.

    `called` completes 'this is ...'; `pillow` are the names under which Pillow decodes it, empty
    where nothing here does; `is_image` is False for what is recognised only to be named.
    """

    name: str
    media_type: str
    extension: str
    called: str
    pillow: tuple[str, ...] = ()
    is_image: bool = True


def _image(name: str, media_type: str, extension: str, called: str, *pillow: str) -> Format:
    return Format(
        name=name, media_type=media_type, extension=extension, called=called, pillow=pillow
    )


def _other(name: str, media_type: str, extension: str, called: str) -> Format:
    return Format(
        name=name, media_type=media_type, extension=extension, called=called, is_image=False
    )


_RAW_MAKERS = {
    "CR2": "canon-cr2", "CR3": "canon-cr3", "DCR": "kodak-dcr", "DNG": "adobe-dng",
    "K25": "kodak-k25", "KDC": "kodak-kdc", "MRW": "minolta-mrw", "NEF": "nikon-nef",
    "NRW": "nikon-nrw", "ORF": "olympus-orf", "PEF": "pentax-pef", "RAF": "fuji-raf",
    "RAW": "panasonic-rw", "RW2": "panasonic-rw2", "SR2": "sony-sr2", "SRF": "sony-srf",
    "ARW": "sony-arw", "X3F": "sigma-x3f",
}  # fmt: skip


def is_raw(media_type: str) -> bool:
    """Whether a media type is that of a camera's raw file."""
    return media_type in _RAW_MEDIA_TYPES


_RAW_MEDIA_TYPES = frozenset(f"image/x-{maker}" for maker in (*_RAW_MAKERS.values(), "dcraw"))


def _raw(extension: str) -> Format:
    name = extension[1:].upper()
    media_type = f"image/x-{_RAW_MAKERS.get(name, 'dcraw')}"
    return _image(f"RAW {name}", media_type, extension, f"a {name} raw photograph")


JPEG = _image("JPEG", "image/jpeg", ".jpg", "a JPEG photograph", "JPEG", "MPO")
PNG = _image("PNG", "image/png", ".png", "a PNG image", "PNG")
TIFF = _image("TIFF", "image/tiff", ".tif", "a TIFF image", "TIFF")
GIF = _image("GIF", "image/gif", ".gif", "a GIF image", "GIF")
WEBP = _image("WebP", "image/webp", ".webp", "a WebP image", "WEBP")
BMP = _image("BMP", "image/bmp", ".bmp", "a BMP image", "BMP")
HEIC = _image("HEIC", "image/heic", ".heic", "a HEIC photograph", "HEIF")
AVIF = _image("AVIF", "image/avif", ".avif", "an AVIF photograph", "AVIF")
JP2 = _image("JPEG 2000", "image/jp2", ".jp2", "a JPEG 2000 image", "JPEG2000")
JXL = _image("JPEG XL", "image/jxl", ".jxl", "a JPEG XL image")
PSD = _image("PSD", "image/vnd.adobe.photoshop", ".psd", "a layered PSD image", "PSD")
PCX = _image("PCX", "image/vnd.zbrush.pcx", ".pcx", "a PCX image", "PCX")
PNM = _image("PNM", "image/x-portable-anymap", ".pnm", "a PNM image", "PPM")
TGA = _image("TGA", "image/x-tga", ".tga", "a TGA image", "TGA")

_HEADS: tuple[tuple[re.Pattern[bytes], Format], ...] = tuple(
    (re.compile(pattern, re.DOTALL), kind)
    for pattern, kind in (
        (rb"\xff\xd8\xff", JPEG),
        (rb"\x89PNG\r\n\x1a\n", PNG),
        (rb"II\*\0.{4}CR", _raw(".cr2")),
        (rb"II[*+]\0|MM\0[*+]", TIFF),
        (rb"GIF8[79]a", GIF),
        (rb"RIFF.{4}WEBP", WEBP),
        (rb"BM.{12}[\x0c\x28\x34\x38\x40\x6c\x7c]\0\0\0", BMP),
        (rb".{4}ftyp(?:avif|avis)", AVIF),
        (rb".{4}ftyp(?:mif1|msf1).{4}(?:.{4}){0,8}?avi[fs]", AVIF),
        (rb".{4}ftyp(?:hei[cxms]|hev[cxms]|mif1|msf1)", HEIC),
        (rb".{4}ftypcrx ", _raw(".cr3")),
        (rb"\0\0\0\x0cjP  \r\n\x87\n|\xff\x4f\xff\x51", JP2),
        (rb"\xff\x0a|\0\0\0\x0cJXL \r\n\x87\n", JXL),
        (rb"8BPS\0[\x01\x02]", PSD),
        (rb"FUJIFILMCCD-RAW", _raw(".raf")),
        (rb"IIR[OS]|MMOR", _raw(".orf")),
        (rb"IIU\0", _raw(".rw2")),
        (rb"FOVb", _raw(".x3f")),
        (rb"\0MRM", _raw(".mrw")),
        (rb"\x0a[\x00\x02-\x05]\x01[\x01\x02\x04\x08]", PCX),
        (rb"P[1-6]\s+(?:#[^\n]*\n\s*)*\d+\s+\d+", PNM),
        (rb"%PDF-", _other("PDF", "application/pdf", ".pdf", "a PDF document")),
        (rb"%!PS|\xc5\xd0\xd3\xc6", _other("EPS", "application/postscript", ".eps", "a PostScript drawing")),  # noqa: E501
        (rb"PK\x03\x04", _other("zip", "application/zip", ".zip", "a zip archive or an office document")),  # noqa: E501
        (rb"\xd0\xcf\x11\xe0", _other("OLE", "application/x-ole-storage", "", "an old office document")),  # noqa: E501
        (rb"RIFF.{4}AVI ", _other("AVI", "video/x-msvideo", ".avi", "a film")),
        (rb".{4}(?:ftyp|moov|mdat|wide)", _other("film", "video/mp4", ".mp4", "a film")),
        (rb"(?:\xef\xbb\xbf)?\s*<(?:!DOCTYPE html|html|HTML)", _other("HTML", "text/html", ".html", "a web page")),  # noqa: E501
        (rb"(?:\xef\xbb\xbf)?\s*(?:<\?xml[^>]*>\s*)?(?:<!--.*?-->\s*)*<svg", _other("SVG", "image/svg+xml", ".svg", "an SVG drawing")),  # noqa: E501
    )
)  # fmt: skip

_TGA_HEAD = re.compile(rb".[\x00\x01](?:[\x01-\x03]|[\x09-\x0b]).{13}[\x08\x0f\x10\x18\x20]", re.S)

RAW_EXTENSIONS = frozenset((
    ".3fr", ".arw", ".cr2", ".dcr", ".dng", ".erf", ".fff", ".iiq", ".k25", ".kdc", ".mef", ".mos",
    ".nef", ".nrw", ".pef", ".raw", ".rwl", ".sr2", ".srf", ".srw",
))  # fmt: skip
"""Camera makers' raw files that look like TIFF from the outside."""


def recognise(head: bytes, suffix: str = "") -> Format | None:
    """The format of a file that begins with `head` (64 bytes suffice), or None.

    `suffix` is the file name's, and decides only where the bytes cannot: TGA has no signature, and
    many raw files are TIFF to look at.
    """
    suffix = suffix.lower()
    for pattern, kind in _HEADS:
        if pattern.match(head):
            if kind is TIFF and suffix in RAW_EXTENSIONS:
                return _raw(suffix)
            return kind
    if suffix == TGA.extension and _TGA_HEAD.match(head):
        return TGA
    return None


def raw_format(suffix: str) -> Format:
    """The raw format of a TIFF-like file whose tags say that it holds a sensor's data."""
    suffix = suffix.lower()
    return _raw(suffix if suffix in RAW_EXTENSIONS else ".dng")


def looks_like_text(head: bytes) -> bool:
    """Whether the bytes read as text: UTF-8 (or UTF-16 with its mark), without control codes."""
    if head.startswith((b"\xff\xfe", b"\xfe\xff")):
        return True
    try:
        text = head.decode("utf-8")
    except UnicodeDecodeError as error:
        if error.start < len(head) - 3:  # a character cut off at the end is no fault
            return False
        text = head[: error.start].decode("utf-8")
    return bool(text) and all(c.isprintable() or c in "\t\r\n\f" for c in text)
