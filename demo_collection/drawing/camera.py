"""From light to file: film looks, turning, JPEG, and what cameras write beside the picture."""

import io
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

import numpy as np
import piexif
from numpy.typing import NDArray
from PIL import Image, ImageFilter

Array = NDArray[Any]


@dataclass(frozen=True)
class Look:
    """How a camera or a film shows light."""

    exposure: float = 1.0
    balance: tuple[float, float, float] = (1.0, 1.0, 1.0)
    contrast: float = 1.0
    saturation: float = 0.86
    grain: float = 0.006
    vignette: float = 0.12
    blur: float = 0.35
    quality: int = 80
    fade: float = 0.0


def develop(linear: Array, look: Look, seed: int) -> Image.Image:
    """Linear colours (height, width, 3) to a picture with the faults of the camera."""
    high, wide = linear.shape[:2]
    y, x = np.mgrid[-1 : 1 : high * 1j, -1 : 1 : wide * 1j].astype(np.float32)
    fall = 1 - look.vignette * np.clip((x * x + y * y) / 2, 0, 1) ** 1.3
    value = np.maximum(linear, 0) * look.exposure * fall[..., None]
    value = value * np.array(look.balance, np.float32)
    value = np.where(value < 0.55, value, 0.55 + 0.45 * (1 - np.exp(-(value - 0.55) / 0.45)))
    grey = value @ np.array([0.30, 0.59, 0.11], np.float32)
    value = grey[..., None] + (value - grey[..., None]) * look.saturation
    screen = np.where(
        value <= 0.0031308, 12.92 * value, 1.055 * np.maximum(value, 1e-5) ** (1 / 2.4) - 0.055
    )
    curve = screen + look.contrast * 0.16 * (screen * (1 - screen) * (screen - 0.42) * 3.2)
    curve = look.fade * 0.10 + curve * (1 - look.fade * 0.14)
    picture = Image.fromarray((np.clip(curve, 0, 1) * 255 + 0.5).astype(np.uint8))
    if look.blur:
        picture = picture.filter(ImageFilter.GaussianBlur(look.blur))
    random = np.random.default_rng(seed)
    noise = (
        random.normal(size=(high, wide, 1)) * look.grain
        + random.normal(size=(high, wide, 3)) * look.grain * 0.4
    )
    noisy = np.asarray(picture, np.float32) / 255 + noise
    return Image.fromarray((np.clip(noisy, 0, 1) * 255 + 0.5).astype(np.uint8))


# How the stored pixels must be turned so that the orientation tag sets them upright again.
STORED = {
    1: None,
    3: Image.Transpose.ROTATE_180,
    6: Image.Transpose.ROTATE_90,
    8: Image.Transpose.ROTATE_270,
}


@dataclass(frozen=True)
class Written:
    """What the camera wrote beside the picture; an empty maker writes no EXIF at all."""

    maker: str = ""
    model: str = ""
    serial: str = ""
    software: str = ""
    taken: str = ""
    orientation: int = 1
    place: tuple[float, float] | None = None
    caption: str = ""
    focal: float = 0.0
    artist: str = ""
    xmp_title: str = ""
    iptc_caption: str = ""


def _degrees(value: float) -> tuple[tuple[int, int], ...]:
    value = abs(value)
    degrees = int(value)
    minutes = int((value - degrees) * 60)
    seconds = Fraction(round(((value - degrees) * 60 - minutes) * 6000), 100)
    return ((degrees, 1), (minutes, 1), (seconds.numerator, seconds.denominator))


def exif_bytes(written: Written) -> bytes:
    """The EXIF block of a picture."""
    main = {
        piexif.ImageIFD.Make: written.maker,
        piexif.ImageIFD.Model: written.model,
        piexif.ImageIFD.Orientation: written.orientation,
        piexif.ImageIFD.XResolution: (300, 1),
        piexif.ImageIFD.YResolution: (300, 1),
        piexif.ImageIFD.ResolutionUnit: 2,
    }
    detail: dict[int, object] = {piexif.ExifIFD.ExifVersion: b"0230", piexif.ExifIFD.ColorSpace: 1}
    if written.taken:
        main[piexif.ImageIFD.DateTime] = written.taken
        detail[piexif.ExifIFD.DateTimeOriginal] = written.taken
        detail[piexif.ExifIFD.DateTimeDigitized] = written.taken
    if written.software:
        main[piexif.ImageIFD.Software] = written.software
    if written.caption:
        main[piexif.ImageIFD.ImageDescription] = written.caption.encode("utf-8")
    if written.artist:
        main[piexif.ImageIFD.Artist] = written.artist
    if written.serial:
        detail[piexif.ExifIFD.BodySerialNumber] = written.serial
    if written.focal:
        detail[piexif.ExifIFD.FocalLength] = (int(written.focal * 10), 10)
        detail[piexif.ExifIFD.FNumber] = (80, 10)
        detail[piexif.ExifIFD.ExposureTime] = (1, 15)
        detail[piexif.ExifIFD.ISOSpeedRatings] = 200
    where: dict[int, object] = {}
    if written.place:
        north, east = written.place
        where = {
            piexif.GPSIFD.GPSVersionID: (2, 3, 0, 0),
            piexif.GPSIFD.GPSLatitudeRef: "N" if north >= 0 else "S",
            piexif.GPSIFD.GPSLatitude: _degrees(north),
            piexif.GPSIFD.GPSLongitudeRef: "E" if east >= 0 else "W",
            piexif.GPSIFD.GPSLongitude: _degrees(east),
        }
    block: bytes = piexif.dump({"0th": main, "Exif": detail, "GPS": where})
    return block


def _segment(marker: int, content: bytes) -> bytes:
    return bytes([0xFF, marker]) + (len(content) + 2).to_bytes(2, "big") + content


def _iptc(caption: str) -> bytes:
    """An APP13 segment with an IPTC caption (2:120) in UTF-8 (1:90)."""
    text = caption.encode("utf-8")
    records = b"\x1c\x01\x5a\x00\x03\x1b%G" + b"\x1c\x02\x78" + len(text).to_bytes(2, "big") + text
    resource = b"8BIM\x04\x04\x00\x00" + len(records).to_bytes(4, "big") + records
    return _segment(0xED, b"Photoshop 3.0\x00" + resource + b"\x00" * (len(records) % 2))


def _xmp(title: str) -> bytes:
    packet = (
        '<?xpacket begin="\ufeff" id="W5M0MpCehiHzreSzNTczkc9d"?>'
        '<x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:RDF '
        'xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#"><rdf:Description rdf:about="" '
        'xmlns:dc="http://purl.org/dc/elements/1.1/"><dc:title><rdf:Alt><rdf:li '
        f'xml:lang="x-default">{title}</rdf:li></rdf:Alt></dc:title></rdf:Description></rdf:RDF>'
        '</x:xmpmeta><?xpacket end="w"?>'
    )
    return _segment(0xE1, b"http://ns.adobe.com/xap/1.0/\x00" + packet.encode("utf-8"))


def jpeg(picture: Image.Image, quality: int, written: Written) -> bytes:
    """A JPEG file with what the camera wrote."""
    turn = STORED[written.orientation]
    stored = picture.transpose(turn) if turn is not None else picture
    extra = {"exif": exif_bytes(written)} if written.maker else {}
    buffer = io.BytesIO()
    stored.save(buffer, "JPEG", quality=quality, subsampling=2, optimize=True, **extra)
    data = buffer.getvalue()
    added = b""
    if written.xmp_title:
        added += _xmp(written.xmp_title)
    if written.iptc_caption:
        added += _iptc(written.iptc_caption)
    if added:
        position = _after_first_segments(data)
        data = data[:position] + added + data[position:]
    return data


def _after_first_segments(data: bytes) -> int:
    """Where JFIF and EXIF segments end."""
    position = 2
    while data[position] == 0xFF and data[position + 1] in (0xE0, 0xE1):
        position += 2 + int.from_bytes(data[position + 2 : position + 4], "big")
    return position
