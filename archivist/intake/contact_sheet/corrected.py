"""What a survey found out about photographs, put right by what people said of them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

import msgspec

from archivist.intake.pictures.findings import (
    Copy,
    Findings,
    PictureFile,
    Relation,
    SamePicture,
)
from archivist.intake.proposal import AnyItem, ReviewPhotograph, TellPhotograph
from archivist.model import TakenAt

Copies = Mapping[str, str]
"""Of what a picture (by digest) is a copy, by a person's word; '' of none."""

Times = Mapping[str, TakenAt]
"""When a picture (by digest) was taken, by a person's word."""

SAID = "as its owner says"


def said_of_copies(items: Iterable[AnyItem], digests: Mapping[str, str]) -> dict[str, str]:
    """What `items` say of copies; `digests` are those of photographs by their UUID."""
    return {
        digests[item.photograph]: item.copy_of
        for item in items
        if isinstance(item, ReviewPhotograph)
        and item.copy_of is not None
        and item.photograph in digests
    }


def said_of_times(items: Iterable[AnyItem], digests: Mapping[str, str]) -> dict[str, TakenAt]:
    """What `items` say of times; `digests` are those of photographs by their UUID."""
    return {
        digests[item.photograph]: item.taken
        for item in items
        if isinstance(item, ReviewPhotograph)
        and item.taken is not None
        and item.photograph in digests
    }


def without_guesses(
    items: Iterable[AnyItem], copies: Copies, digests: Mapping[str, str]
) -> list[AnyItem]:
    """The items without guesses of what is a copy of what, where a person has spoken of it."""
    kept: list[AnyItem] = []
    for item in items:
        if isinstance(item, TellPhotograph) and digests.get(item.photograph, "") in copies:
            item = msgspec.structs.replace(item, derived_from="")
            if not item.taken and not item.captions:
                continue
        kept.append(item)
    return kept


def corrected(found: Findings, copies: Copies, times: Times) -> Findings:
    """The findings with what people said in place of guesses."""
    if not copies and not times:
        return found
    return msgspec.structs.replace(
        found,
        photographs=tuple(_timed(file, times.get(file.sha256)) for file in found.photographs),
        duplicates=_copied(found, copies) if copies else found.duplicates,
    )


def _timed(file: PictureFile, taken: TakenAt | None) -> PictureFile:
    if taken is None:
        return file
    return msgspec.structs.replace(
        file,
        taken=taken.date.edtf,
        taken_certainty=taken.certainty,
        taken_ground=f"{SAID}: {taken.witness}",
        taken_others=(),
    )


def _copied(found: Findings, copies: Copies) -> tuple[SamePicture, ...]:
    """The pictures and their copies: those of whom somebody spoke leave where they stood and come
    to the picture that was named."""
    files: dict[str, list[PictureFile]] = {}
    for file in found.photographs:
        files.setdefault(file.sha256, []).append(file)
    told: dict[str, SamePicture] = {}
    for same in found.duplicates:
        left = _left(same, copies)
        if left is not None:
            told[left.sha256] = left
    for sha256, keeper in copies.items():
        if not keeper or sha256 not in files:
            continue
        keeper = _first_of(keeper, told)
        come = [
            Copy(
                path=file.path,
                sha256=sha256,
                relation=Relation.ALTERED,
                relations=(Relation.ALTERED,),
                reasons=(SAID,),
            )
            for file in files[sha256]
        ]
        below = told.pop(sha256, None)
        come += below.others if below is not None else ()
        here = told.get(keeper)
        if here is None:
            there = files.get(keeper)
            path = there[0].path if there else f"sha256:{keeper}"
            here = SamePicture(
                source=files[sha256][0].source,
                keeper=path,
                sha256=keeper,
                others=(),
                because=(SAID,),
            )
        told[keeper] = msgspec.structs.replace(here, others=(*here.others, *come))
    return tuple(sorted(told.values(), key=lambda same: same.keeper))


def _left(same: SamePicture, copies: Copies) -> SamePicture | None:
    """A picture without the copies of which somebody said something else; None where none is left.

    Where the best of them is itself said to be something else the next takes its place.
    """
    others = [c for c in same.others if c.sha256 not in copies or c.sha256 == same.sha256]
    if not copies.get(same.sha256):
        return msgspec.structs.replace(same, others=tuple(others)) if others else None
    rest = [copy for copy in others if copy.sha256 != same.sha256]
    if not rest:
        return None
    first = rest[0]
    return msgspec.structs.replace(
        same,
        keeper=first.path,
        sha256=first.sha256,
        others=tuple(rest[1:]),
        because=("the next best; the best is something else, as its owner says",),
    )


def _first_of(sha256: str, told: Mapping[str, SamePicture]) -> str:
    """The original of a picture that is said to be an original, where that is a copy itself."""
    for same in told.values():
        if any(copy.sha256 == sha256 for copy in same.others):
            return same.sha256
    return sha256
