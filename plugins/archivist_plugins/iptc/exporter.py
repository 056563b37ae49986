"""Writes the photographs of a piece with their words within them, and the list of them."""

from __future__ import annotations

import msgspec

from archivist.hooks import DisclosedPhotograph, Exporter, Package, Piece, Selection
from archivist.model import Value
from archivist_plugins.iptc.datasets import resources
from archivist_plugins.iptc.embedding import Carrying, NotWritable, into_jpeg, into_png
from archivist_plugins.iptc.fields import fields
from archivist_plugins.iptc.packet import packet

LIST = "delivery.json"

NO_PLACE = "copied unchanged: words are written into JPEG and PNG only"


class Delivered(Value, frozen=True, kw_only=True):
    """One photograph as it was delivered.

    `sha256` is of the file beside this list, `made_from` of the picture it was made from and
    `original` of the original in the archive. `carries` names what was written into it, `replaces`
    what of the same kind it held before; `remark` says why nothing could be written.
    """

    file: str
    view: str
    sha256: str
    size: int
    made_from: str
    original: str
    how: str = ""
    carries: tuple[str, ...] = ()
    replaces: tuple[str, ...] = ()
    remark: str = ""


class Iptc(Exporter):
    """Writes `SLUG/NAME` for each photograph, and `SLUG/delivery.json`."""

    def export_piece(self, piece: Piece, selection: Selection, package: Package) -> None:
        """Writes the photographs of one piece; nothing where it has none.

        Raises:
            FixityError: where a photograph is not what was recorded.
        """
        made = [_deliver(photo, piece, selection, package) for photo in piece.photographs]
        if made:
            listed = msgspec.json.format(msgspec.json.encode(made), indent=2) + b"\n"
            package.write(f"{piece.slug}/{LIST}", listed)


def _deliver(
    photo: DisclosedPhotograph, piece: Piece, selection: Selection, package: Package
) -> Delivered:
    """Writes one photograph; what has no place for words is copied as it is."""
    path = f"{piece.slug}/{photo.name}"
    carrying, carries, remark = _carrying(photo, piece, selection)
    if carrying is None:
        written = package.copy(path, photo.path, photo.sha256)
    else:
        written = package.write(path, carrying.content)
    return Delivered(
        file=photo.name,
        view=photo.depiction.view.value,
        sha256=written.sha256,
        size=written.size,
        made_from=photo.sha256,
        original=photo.original_sha256,
        how=photo.how,
        carries=carries,
        replaces=carrying.replaced if carrying else (),
        remark=remark,
    )


def _carrying(
    photo: DisclosedPhotograph, piece: Piece, selection: Selection
) -> tuple[Carrying | None, tuple[str, ...], str]:
    """The file with its words, what these are, and why there are none where there are none."""
    if photo.media_type not in ("image/jpeg", "image/png"):
        return None, (), NO_PLACE
    data = photo.content().data
    told = fields(piece, photo, selection)
    try:
        if photo.media_type == "image/png":
            return into_png(data, packet(told)), ("XMP",), ""
        return into_jpeg(data, packet(told), resources(told)), ("XMP", "IPTC"), ""
    except NotWritable as reason:
        return None, (), f"copied unchanged: {reason}"
