"""Canvases, one a photograph, and the ranges that gather them by view.

IIIF Presentation API 3.0, 5.3 Canvas and 5.4 Range; the shapes are those of the IIIF Cookbook:
0005 (image services), 0025 (ranges of fragments), 0021 (a tag on a region), 0117 (thumbnail).
"""

from __future__ import annotations

from collections.abc import Container, Sequence
from dataclasses import dataclass
from itertools import chain, count
from pathlib import PurePosixPath
from typing import Any

from archivist import wording
from archivist.hooks import DisclosedPhotograph, Piece
from archivist.model import VIEW_ORDER, Region, View
from archivist.names import slug
from archivist_plugins.iiif.pyramid import Pyramid, size_path
from archivist_plugins.iiif.texts import LanguageMap, headed, language_map

FOLDER = "iiif"
"""The folder of this exporter in a release, and so the first part of every address."""


@dataclass(frozen=True)
class Addresses:
    """The identifiers of everything, below `base` (ends in '/')."""

    base: str

    @property
    def collection(self) -> str:
        return f"{self.base}{FOLDER}/collection.json"

    def of(self, piece_slug: str, *parts: str) -> str:
        """The address of something of a piece."""
        return "/".join([f"{self.base}{FOLDER}", piece_slug, *parts])


@dataclass(frozen=True)
class Shown:
    """A photograph on its canvas: its folder, its pyramid, and all that it shows of the piece."""

    stem: str
    pyramid: Pyramid
    photographs: tuple[DisclosedPhotograph, ...]

    @property
    def first(self) -> DisclosedPhotograph:
        return self.photographs[0]

    @property
    def page(self) -> int:
        """The page of the file that is shown."""
        return page_of(self.first)


def page_of(photograph: DisclosedPhotograph) -> int:
    """The page of the file that shows the piece, from 0."""
    return photograph.region.page if photograph.region else 0


def can_be_shown(photograph: DisclosedPhotograph) -> bool:
    """Whether the photograph has pixels that can be decoded."""
    return photograph.width > 0 and photograph.height > 0 and not photograph.photograph.undecodable


def shown(piece: Piece, tile: int) -> tuple[Shown, ...]:
    """The canvases of a piece. One file that shows several views of it is one canvas."""
    by_file: dict[tuple[str, str, int], list[DisclosedPhotograph]] = {}
    for photograph in piece.photographs:
        if can_be_shown(photograph):
            key = (photograph.photograph.id, photograph.sha256, page_of(photograph))
            by_file.setdefault(key, []).append(photograph)
    canvases: dict[str, Shown] = {}
    for photographs in by_file.values():
        first = photographs[0]
        region = first.region
        size = (first.width, first.height)
        if region is not None and region.page > 0:
            size = (region.reference_width, region.reference_height)
        stem = _free(slug(PurePosixPath(first.name).stem, longest=32) or "photograph", canvases)
        canvases[stem] = Shown(stem, Pyramid(*size, tile), tuple(photographs))
    return tuple(canvases.values())


def _free(stem: str, taken: Container[str]) -> str:
    """`stem`, with a number where it is taken."""
    numbered = (f"{stem}-{number}" for number in count(2))
    return next(name for name in chain([stem], numbered) if name not in taken)


def canvas(piece: Piece, shows: Shown, addresses: Addresses, language: str) -> dict[str, Any]:
    """One photograph: painted whole, and a tag on each part of it that shows the piece."""
    address = addresses.of(piece.slug, "canvas", shows.stem)
    service = addresses.of(piece.slug, shows.stem)
    width, height = shows.pyramid.width, shows.pyramid.height
    labels = dict.fromkeys(p.label or p.depiction.view.value for p in shows.photographs)
    about = [
        headed("View", [p.depiction.view.value for p in shows.photographs], "en"),
        *_about(shows.first, language),
    ]
    made: dict[str, Any] = {
        "id": address,
        "type": "Canvas",
        "label": language_map([wording.listed(labels)], language),
        "metadata": about,
        "thumbnail": [thumbnail(shows, piece.slug, addresses)],
        "width": width,
        "height": height,
        "items": [
            {
                "id": f"{address}/page",
                "type": "AnnotationPage",
                "items": [
                    {
                        "id": f"{address}/page/photograph",
                        "type": "Annotation",
                        "motivation": "painting",
                        "body": {
                            "id": f"{service}/full/max/0/default.jpg",
                            "type": "Image",
                            "format": "image/jpeg",
                            "width": width,
                            "height": height,
                            "service": [_service(service)],
                        },
                        "target": address,
                    }
                ],
            }
        ],
    }
    tags = [
        {
            "id": f"{address}/tags/{number}",
            "type": "Annotation",
            "motivation": "tagging",
            "body": {
                "type": "TextualBody",
                "value": wording.listed([piece.record.stock_number, piece.record.title])
                or piece.record.id,
                "format": "text/plain",
            },
            "target": f"{address}#xywh={xywh(photograph.region, width, height)}",
        }
        for number, photograph in enumerate(shows.photographs, start=1)
        if photograph.region is not None
    ]
    if tags:
        made["annotations"] = [{"id": f"{address}/tags", "type": "AnnotationPage", "items": tags}]
    return made


def _about(photograph: DisclosedPhotograph, language: str) -> list[dict[str, LanguageMap]]:
    """What is known of a photograph besides its view."""
    pairs = {
        "Caption": photograph.depiction.caption,
        "Taken": wording.taken_shown(photograph),
        "About this copy": photograph.how,
    }
    return [headed(name, [words], language) for name, words in pairs.items() if words]


def views(piece: Piece, canvases: Sequence[Shown], addresses: Addresses) -> dict[str, Any]:
    """The range of all views, each a range of the canvases, or parts of them, that show it."""
    by_view: dict[View, list[dict[str, Any]]] = {view: [] for view in VIEW_ORDER}
    for shows in canvases:
        for photograph in shows.photographs:
            by_view[photograph.depiction.view].append(
                _place(piece, shows, photograph.region, addresses)
            )
    return {
        "id": addresses.of(piece.slug, "range", "views"),
        "type": "Range",
        "label": language_map(["Views"], "en"),
        "items": [
            {
                "id": addresses.of(piece.slug, "range", "views", slug(view.value)),
                "type": "Range",
                "label": language_map([view.value], "en"),
                "items": items,
            }
            for view, items in by_view.items()
            if items
        ],
    }


def _place(
    piece: Piece, shows: Shown, region: Region | None, addresses: Addresses
) -> dict[str, Any]:
    """A canvas, or the part of it that shows the piece."""
    place = {"id": addresses.of(piece.slug, "canvas", shows.stem), "type": "Canvas"}
    if region is None:
        return place
    value = f"xywh={xywh(region, shows.pyramid.width, shows.pyramid.height)}"
    return {
        "type": "SpecificResource",
        "source": place,
        "selector": {"type": "FragmentSelector", "value": value},
    }


def xywh(region: Region, width: int, height: int) -> str:
    """The region on a picture of `width` by `height` pixels, never smaller than what it covers."""
    across, down = region.reference_width, region.reference_height
    left = region.x * width // across
    top = region.y * height // down
    right = -(-(region.x + region.width) * width // across)
    bottom = -(-(region.y + region.height) * height // down)
    return f"{left},{top},{right - left},{bottom - top}"


def thumbnail(shows: Shown, piece_slug: str, addresses: Addresses) -> dict[str, Any]:
    """A small picture that is there, and the service it belongs to."""
    width, height = shows.pyramid.thumbnail()
    service = addresses.of(piece_slug, shows.stem)
    return {
        "id": f"{service}/{size_path(width, height)}",
        "type": "Image",
        "format": "image/jpeg",
        "width": width,
        "height": height,
        "service": [_service(service)],
    }


def _service(address: str) -> dict[str, str]:
    return {"id": address, "type": "ImageService3", "profile": "level0"}
