"""XMP files that lie beside pictures (ISO 16684-1, part 3: '.xmp'), for formats that hold no words
and for programs that change no picture."""

from __future__ import annotations

from pathlib import Path

from archivist.imaging import xmp
from archivist.imaging.exif import Clock
from archivist.imaging.taken import SIDECAR, read_clock
from archivist.imaging.words import is_cameras_own, keywords_in
from archivist.model.base import Value
from archivist.model.photographs import Caption, TakenAt

SUFFIX = ".xmp"
MEDIA_TYPE = "application/rdf+xml"
"""What XMP is served as by itself (RFC 3870; ISO 16684-1)."""

LARGEST = 1 << 22
"""Bytes above which a file holds more than words (a raw developer's masks), and is not read."""


class Sidecar(Value, frozen=True, kw_only=True):
    """What a sidecar says of its picture; empty where it says nothing.

    `remarks` name what was left out, for the owner to read.
    """

    taken: tuple[TakenAt, ...] = ()
    captions: tuple[Caption, ...] = ()
    photographer: str = ""
    remarks: tuple[str, ...] = ()


def read_sidecar(path: Path) -> Sidecar:
    """What the sidecar at `path` says; a file that is no XMP says nothing.

    Raises:
        OSError: it cannot be read.
    """
    if path.stat().st_size > LARGEST:
        return Sidecar(remarks=(f"it is larger than {LARGEST >> 20} MB and was not read",))
    properties = xmp.read_xmp(path.read_bytes())
    if not properties:
        return Sidecar(remarks=("no words or dates were found in it",))
    make, model = properties.get("tiff:Make", ""), properties.get("tiff:Model", "")
    read = [
        read_clock(Clock(witness=f"{SIDECAR} {name}", words=properties[name]))
        for name in xmp.CLOCKS
        if name in properties
    ]
    places: dict[str, list[str]] = {}
    for name in xmp.CAPTIONS:
        words = properties.get(name, "")
        if words and not is_cameras_own(words, make, model):
            places.setdefault(words, []).append(f"{SIDECAR} {name}")
    subjects = properties.get(xmp.SUBJECT, "").splitlines()
    keywords, left_out = keywords_in({f"{SIDECAR} {xmp.SUBJECT}": subjects})
    captions = [Caption(words=w, where=", ".join(where)) for w, where in places.items()]
    remarks = [*(remark for _, remark in read), left_out]
    return Sidecar(
        taken=tuple(statement for statement, _ in read if statement),
        captions=(*captions, *(keyword for keyword in keywords if keyword.words not in places)),
        photographer=properties.get("dc:creator", ""),
        remarks=tuple(remark for remark in remarks if remark),
    )
