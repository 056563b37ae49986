"""The pictures of a piece as pages show them: where they lie, in which sizes, and what is to zoom.

Where the IIIF exporter wrote image services beside us, these are used as they are and nothing is
decoded again. Where it did not, two sizes are written here, in the same form of address, and there
is nothing to zoom into.
"""

from __future__ import annotations

from collections.abc import Mapping
from io import BytesIO
from pathlib import Path, PurePosixPath
from typing import Any

import msgspec

from archivist import wording
from archivist.finding.extents import Scale, scale
from archivist.hooks import DisclosedPhotograph, Package, Piece
from archivist.model import View
from archivist.names import slug

IIIF = "iiif"
"""The folder of the IIIF exporter in a release."""

SMALL = 400
"""Longest side in pixels of the picture that is measured."""

OWN_SIZES = (480, 1600)
"""Longest side in pixels of the pictures written here where there is no IIIF tree."""


class Size(msgspec.Struct, frozen=True, array_like=True):
    """Width and height of a whole picture that lies there, in pixels."""

    width: int
    height: int


class Picture(msgspec.Struct, frozen=True, omit_defaults=True):
    """One picture of a piece.

    `base` is the address of its image service relative to the library's root; the picture of each
    of `sizes` (smallest first) lies at `BASE/full/W,H/0/default.jpg`. `tiles` is what `info.json`
    says of tiles, empty where there are none; `zoom` whether there is an image service at all.
    `region` is x, y, width and height of the part that shows the piece; `scale` how many
    millimetres a pixel stands for, where that can be told.
    """

    base: str
    view: str
    label: str
    width: int
    height: int
    sizes: tuple[Size, ...]
    notes: tuple[str, ...] = ()
    region: tuple[int, int, int, int] | None = None
    zoom: bool = False
    tiles: tuple[dict[str, Any], ...] = ()
    scale: Scale | None = None

    @property
    def view_name(self) -> str:
        """The view as readers see it."""
        return "view not named" if self.view == View.UNKNOWN else self.view

    @property
    def alt(self) -> str:
        """What the picture shows, for whoever cannot see it."""
        return self.view_name if self.label == self.view else f"{self.view_name}: {self.label}"

    def size(self, wanted: int) -> Size:
        """The smallest size whose longer side has `wanted` pixels, else the largest."""
        large = (s for s in self.sizes if max(s.width, s.height) >= wanted)
        return next(large, self.sizes[-1])

    def file(self, there: Mapping[str, Path], wanted: int) -> Path | None:
        """The file of `size(wanted)` among those of other exporters, None where it is not there."""
        return there.get(self.address(self.size(wanted)).removeprefix("../"))

    def address(self, size: Size) -> str:
        """Where the picture of `size` lies, relative to the library's root."""
        return f"{self.base}/full/{size.width},{size.height}/0/default.jpg"


def pictures(piece: Piece, package: Package, folder: str) -> tuple[Picture, ...]:
    """The pictures of `piece` in the order in which they are shown.

    Those that are not in an image service are written below `folder`.

    Raises:
        SourceError: where a photograph cannot be decoded.
    """
    written = {file.path: file for file in package.companions()}
    there = {path: file.location for path, file in written.items()}
    found: list[Picture] = []
    services: dict[tuple[str, str, int], str] = {}
    for photograph in shown_photographs(piece):
        page = photograph.region.page if photograph.region else 0
        key = (photograph.photograph.id, photograph.sha256, page)
        stem = slug(PurePosixPath(photograph.name).stem, longest=32) or "photograph"
        service = services.setdefault(key, stem)
        base = f"{IIIF}/{piece.slug}/{service}"
        if f"{base}/info.json" in there:
            info = written[f"{base}/info.json"].content().data
            found.append(_served(piece, photograph, base, info, there))
        else:
            found.append(_written(photograph, package, f"{folder}/{stem}"))
    return tuple(found)


def shown_photographs(piece: Piece) -> tuple[DisclosedPhotograph, ...]:
    """Those photographs of `piece` of which there are `pictures`, in the same order."""
    return tuple(
        photograph
        for photograph in piece.photographs
        if min(photograph.width, photograph.height) > 0 and not photograph.photograph.undecodable
    )


def _served(
    piece: Piece,
    photograph: DisclosedPhotograph,
    base: str,
    described: bytes,
    there: Mapping[str, Path],
) -> Picture:
    """The picture as the image service at `base` has it, `described` by its info.json."""
    info = msgspec.json.decode(described)
    sizes = [Size(size["width"], size["height"]) for size in info["sizes"]]
    picture = _picture(
        photograph,
        f"../{base}",
        (info["width"], info["height"]),
        sizes,
        info.get("tiles", ()),
        True,
    )
    file = picture.file(there, SMALL)
    return picture if file is None else _scaled(piece, picture, file)


def _written(photograph: DisclosedPhotograph, package: Package, base: str) -> Picture:
    """The picture written here in two sizes."""
    from archivist.imaging.derivatives import fit, save_jpeg
    from archivist.imaging.pixels import open_upright

    page = photograph.region.page if photograph.region else 0
    image = open_upright(photograph.content(), page=page, reduced_to=OWN_SIZES[-1])
    sizes: list[Size] = []
    for longest in OWN_SIZES:
        fitted = fit(image, longest)
        size = Size(*fitted.size)
        if size in sizes:
            continue
        target = BytesIO()
        save_jpeg(fitted, target)
        package.write(f"{base}/full/{size.width},{size.height}/0/default.jpg", target.getvalue())
        sizes.append(size)
    region = photograph.region
    full = (
        (region.reference_width, region.reference_height)
        if region is not None and region.page > 0
        else (photograph.width, photograph.height)
    )
    return _picture(photograph, base, full, sizes, (), False)


def _picture(
    photograph: DisclosedPhotograph,
    base: str,
    full: tuple[int, int],
    sizes: list[Size],
    tiles: Any,
    zoom: bool,
) -> Picture:
    view = photograph.depiction.view.value
    taken = wording.taken_shown(photograph)
    return Picture(
        base=base,
        view=view,
        label=photograph.label or view,
        width=full[0],
        height=full[1],
        sizes=tuple(sorted(sizes, key=lambda size: size.width)),
        notes=tuple(filter(None, (f"taken {taken}" if taken else "", photograph.how))),
        region=_region(photograph, *full),
        zoom=zoom,
        tiles=tuple(tiles),
    )


def _region(
    photograph: DisclosedPhotograph, width: int, height: int
) -> tuple[int, int, int, int] | None:
    """The part that shows the piece, in pixels of a picture of `width` by `height`."""
    region = photograph.region
    if region is None:
        return None
    across, down = region.reference_width, region.reference_height
    return (
        region.x * width // across,
        region.y * height // down,
        max(1, region.width * width // across),
        max(1, region.height * height // down),
    )


def _scaled(piece: Piece, picture: Picture, file: Path) -> Picture:
    """The picture with its scale, where the piece's sizes and its outline give one."""
    found = scale(piece.record, picture.view, (picture.width, picture.height), picture.region, file)
    return msgspec.structs.replace(picture, scale=found) if found else picture
