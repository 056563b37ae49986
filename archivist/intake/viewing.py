"""What a person says of a photograph: its view, where on it the piece is, who may see it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import msgspec

from archivist.catalogue.catalogue import Catalogue
from archivist.errors import RecordError, SelectionError
from archivist.model import Certainty, ObjectRecord, Photograph, Region, View


@dataclass(frozen=True)
class Said:
    """What was said of photographs, each named by the beginning of its SHA-256.

    `views` are words of `View`, `regions` 'x,y,width,height' in upright full-size pixels,
    `released` audiences beyond what the view allows, `captions` words for readers.
    """

    views: Mapping[str, str] = field(default_factory=dict)
    regions: Mapping[str, str] = field(default_factory=dict)
    released: Mapping[str, str] = field(default_factory=dict)
    captions: Mapping[str, str] = field(default_factory=dict)


def reviewed(catalogue: Catalogue, record: ObjectRecord, said: Said) -> tuple[Photograph, ...]:
    """The photographs of `record` with what a person said of them; those named only.

    Raises:
        SelectionError: where a digest's beginning is of none of its photographs or of several.
        RecordError: for a view that is none, or a region that does not lie on the picture.
    """
    shown = catalogue.photographs_of(record.id)
    named = dict.fromkeys((*said.views, *said.regions, *said.released, *said.captions))
    return tuple(
        _with(photograph_named(shown, record, digest), record, digest, said) for digest in named
    )


def photograph_named(shown: Sequence[Photograph], record: ObjectRecord, digest: str) -> Photograph:
    """The one of `shown`, the photographs of `record`, whose SHA-256 begins with `digest`.

    Raises:
        SelectionError: where there is none, or several.
    """
    found = [p for p in shown if digest and p.sha256.startswith(digest.lower())]
    if len(found) != 1:
        raise SelectionError(
            f"{len(found)} photographs of {record.name} have a digest that begins with '{digest}'.",
            f"'archivist show {record.name}' lists them.",
        )
    return found[0]


def _with(photograph: Photograph, record: ObjectRecord, digest: str, said: Said) -> Photograph:
    changes: dict[str, Any] = {"reviewed": True}
    if digest in said.views:
        changes |= {"view": _view(said.views[digest]), "certainty": Certainty.CERTAIN}
    if digest in said.regions:
        changes["region"] = _region(photograph, said.regions[digest])
    if digest in said.captions:
        changes["caption"] = said.captions[digest]
    depictions = []
    for depiction in photograph.depictions:
        if depiction.object == record.id:
            audiences = said.released.get(digest, "").split(",")
            new = [a.strip() for a in audiences if a.strip()]
            released = (*depiction.released, *(a for a in new if a not in depiction.released))
            depiction = msgspec.structs.replace(depiction, **changes, released=released)
        depictions.append(depiction)
    return msgspec.structs.replace(photograph, depictions=tuple(depictions))


def _view(words: str) -> View:
    try:
        return View(words.strip().casefold().replace("-", " "))
    except ValueError:
        raise RecordError(f"'{words}' is not a view.", f"Views are: {', '.join(View)}.") from None


def _region(photograph: Photograph, words: str) -> Region:
    numbers = words.replace(" ", "").split(",")
    region = None
    if len(numbers) == 4 and all(number.isdecimal() for number in numbers):
        region = region_on(photograph, [int(number) for number in numbers])
    if region is None:
        raise RecordError(
            f"'{words}' is no region of a picture of {photograph.width} by {photograph.height}.",
            "Write x,y,width,height in pixels from the top left, e.g. 120,80,400,600.",
        )
    return region


def region_on(photograph: Photograph, numbers: Sequence[int]) -> Region | None:
    """The region of x, y, width, height on a picture; None where it does not lie on it."""
    x, y, width, height = numbers
    try:
        return Region(
            x=x,
            y=y,
            width=width,
            height=height,
            reference_width=photograph.width,
            reference_height=photograph.height,
        )
    except ValueError:
        return None
