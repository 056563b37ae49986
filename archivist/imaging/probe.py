"""What a photograph says of itself: size, dates, captions, camera, without decoding it."""

from __future__ import annotations

from pathlib import Path

import msgspec

from archivist.errors import SourceError
from archivist.imaging import decoder, formats, iptc, xmp
from archivist.imaging.exif import Clock
from archivist.imaging.header import Header, read_header
from archivist.imaging.taken import SCANNER, read_clock
from archivist.imaging.words import is_cameras_own, keywords_in
from archivist.imaging.xmp import Properties
from archivist.model.base import Value
from archivist.model.photographs import Caption, TakenAt

_IPTC_CAPTIONS = ((iptc.TITLE, "title"), (iptc.HEADLINE, "headline"), (iptc.CAPTION, "caption"))


class Probe(Value, frozen=True, kw_only=True):
    """What a file says of itself; empty where it does not say.

    `extension` (with its dot) and `media_type` fit the bytes, whatever the name says; both empty
    where the bytes are no format known here. `width` and `height` are after EXIF orientation, 0
    where `undecodable` says why the picture cannot be shown. `taken` are all witnesses to when it
    was taken, `captions` all words that came with it, keywords last, each said once. `remarks` name
    what was left out or is odd, for the owner to read.
    """

    format: str = ""
    media_type: str = ""
    extension: str = ""
    width: int = 0
    height: int = 0
    orientation: int = 1
    pages: int = 1
    taken: tuple[TakenAt, ...] = ()
    captions: tuple[Caption, ...] = ()
    photographer: str = ""
    camera_make: str = ""
    camera_model: str = ""
    camera_serial: str = ""
    has_gps: bool = False
    remarks: tuple[str, ...] = ()
    undecodable: str = ""

    @property
    def camera(self) -> str:
        """Maker and model; many models begin with the maker's name already."""
        make, model = self.camera_make, self.camera_model
        if model.casefold().startswith(make.casefold()):
            return model
        return f"{make} {model}".strip()


def probe(path: Path) -> Probe:
    """What the file at `path` says of itself, reading little more than its head.

    A file that is no image, is cut short or has no decoder is no error: `undecodable` says so.

    Raises:
        SourceError: the file cannot be read at all (it is a folder, or access is refused).
    """
    try:
        header = read_header(path)
        if header is None:
            return Probe(undecodable=_not_an_image(path))
    except OSError as error:
        raise SourceError(
            f"{path} could not be read ({error.strerror or error}); nothing was changed.",
            "Make the file readable and try again.",
        ) from error
    kind = header.format
    if not kind.is_image:
        return Probe(
            format=kind.name,
            media_type=kind.media_type,
            extension=kind.extension,
            undecodable=f"this is {kind.called}, not a photograph; it is kept as it is",
        )
    return _described(path, header)


def _not_an_image(path: Path) -> str:
    with path.open("rb") as stream:
        head = stream.read(1024)
    if not head:
        return "the file is empty (0 bytes)"
    if formats.looks_like_text(head):
        named = f" although it is named {path.suffix}" if path.suffix else ""
        return f"this is text, not a photograph,{named}; it is kept as it is".replace(",;", ";")
    if not any(head):
        return "the file begins with nothing but zero bytes, as a failed copy leaves it"
    return "the bytes are no image format known here; it is kept as it is"


def _described(path: Path, header: Header) -> Probe:
    kind, exif = header.format, header.exif
    properties, datasets = xmp.read_xmp(header.xmp), iptc.read_iptc(header.iptc)
    width, height, orientation, undecodable = _size(path, header)
    taken, remarks = _taken(header, properties, datasets)
    make = exif.make or properties.get("tiff:Make", "")
    model = exif.model or properties.get("tiff:Model", "")
    captions, more = _captions(header, properties, datasets, make, model)
    return Probe(
        format=kind.name,
        media_type=kind.media_type,
        extension=kind.extension,
        width=width,
        height=height,
        orientation=orientation,
        pages=header.pages,
        taken=taken,
        captions=captions,
        photographer=exif.artist
        or _first(datasets, iptc.BYLINE)
        or properties.get("dc:creator", ""),
        camera_make=make,
        camera_model=model,
        camera_serial=exif.serial
        or properties.get("exifEX:BodySerialNumber", "")
        or properties.get("aux:SerialNumber", ""),
        has_gps=exif.has_gps or "exif:GPSLatitude" in properties,
        remarks=(*header.remarks, *remarks, *more),
        undecodable=undecodable,
    )


def _size(path: Path, header: Header) -> tuple[int, int, int, str]:
    """Width and height after orientation, the orientation, and why it cannot be shown."""
    kind, orientation = header.format, header.exif.orientation
    if not decoder.can_decode(kind):
        return 0, 0, orientation, f"{kind.called}; it is kept as it is; no decoder here"
    try:
        with decoder.open_picture(path, kind) as image:
            orientation = decoder.orientation_of(image, header)
            width, height = image.size
            if header.flaw and not decoder.decodes(image):
                raise decoder.Undecodable(header.flaw)
    except decoder.Undecodable as reason:
        return 0, 0, orientation, f"{kind.called} that cannot be shown: {reason}"
    if orientation >= 5 and kind is not formats.TIFF:  # Pillow gives a TIFF's size upright
        width, height = height, width
    return width, height, orientation, ""


def _taken(
    header: Header, properties: Properties, datasets: iptc.Datasets
) -> tuple[tuple[TakenAt, ...], list[str]]:
    clocks = [
        msgspec.structs.replace(clock, witness=f"{SCANNER}, {clock.witness}")
        if header.exif.scanned and clock.witness.startswith("EXIF DateTime")
        else clock
        for clock in header.exif.clocks
    ]
    clocks += [
        Clock(witness=f"XMP {name}", words=properties[name])
        for name in xmp.CLOCKS
        if name in properties
    ]
    day = _first(datasets, iptc.DATE_CREATED)
    if day:
        time = _first(datasets, iptc.TIME_CREATED)
        clocks.append(Clock(witness="IPTC date created", words=f"{day} {time}".strip()))
    read = [read_clock(clock) for clock in clocks]
    taken = tuple(statement for statement, _ in read if statement)
    return taken, [remark for _, remark in read if remark]


def _captions(
    header: Header, properties: Properties, datasets: iptc.Datasets, make: str, model: str
) -> tuple[tuple[Caption, ...], list[str]]:
    """Each wording once, with every place where it stood; the camera's own words apart."""
    found = list(header.exif.captions)
    for key, name in _IPTC_CAPTIONS:
        found += [(f"IPTC {name}", words) for words in datasets.get(key, ())]
    found += [(f"XMP {name}", properties[name]) for name in xmp.CAPTIONS if name in properties]
    found += list(header.comments)
    places: dict[str, list[str]] = {}
    remarks = []
    for where, words in found:
        if is_cameras_own(words, make, model):
            remarks.append(f"{where} '{words}' is the camera's own wording, and no caption")
        elif words:
            places.setdefault(words, []).append(where)
    captions = [Caption(words=words, where=", ".join(where)) for words, where in places.items()]
    keywords, remark = keywords_in(
        {
            "IPTC keyword": datasets.get(iptc.KEYWORDS, ()),
            f"XMP {xmp.SUBJECT}": properties.get(xmp.SUBJECT, "").splitlines(),
        }
    )
    captions += [keyword for keyword in keywords if keyword.words not in places]
    return tuple(captions), [*remarks, *([remark] if remark else [])]


def _first(datasets: iptc.Datasets, key: tuple[int, int]) -> str:
    return next(iter(datasets.get(key, ())), "")
